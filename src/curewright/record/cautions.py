"""What every record says at its foot, because its numbers could be mistaken for permission."""

CAUTIONS = (
    "Advisory only: not a control and not a safety function. Never use it for door, pressure, heat or purge interlocks; "
    "verify against independent instruments.",
    "Curewright computes and explains; disposition belongs to the material review board.",
    "Pressure, nitrogen, fire and exotherm can kill: follow the site's procedures, local codes and licensed practice. "
    "A gauge that reads about zero is no proof of zero.",
)
