"""What stands in a cell: codes for faults, blanks, scaled numbers, states, units and their lack."""

from tests.torture.case import Bad, Case, Truth, case, clock, lines, truth


def plain(t: Truth, separator: str = ";", sign: str = ",") -> bytes:
    """A plain wide export."""
    return lines(["Time", *t.cells], *t.rows(clock(t), sign), separator=separator, end="\r\n").encode()


NUMBERS = (
    "99999",
    "-99999",
    "88888",
    "-88888",
    "99999999",
    "999999999",
    "9999",
    "-9999",
    "999.9",
    "32767",
    "-32768",
    "3276.7",
)
WORDS = (
    "OVER",
    "OL",
    "*OC*",
    "*NA*",
    "----",
    "Bad",
    "I/O Timeout",
    "#N/A",
    "1.#QNAN",
    "NaN",
    "Inf",
    "-Inf",
    "null",
    "#NUM!",
)


@case
def codes_that_are_numbers() -> Case:
    """Every numeric code that makers document, one after another (practice: S68, S69, and from memory)."""
    t = truth("codes_that_are_numbers", n=26)
    for i, code in enumerate(NUMBERS):
        t.cells["TC1"][2 * i + 1] = Bad(code)
    return t.case(plain(t, ",", "."), answers=t.answers(codes=NUMBERS))


@case
def codes_that_are_words() -> Case:
    """Every word and sign that makers write for a fault (practice: S71, and from memory)."""
    t = truth("codes_that_are_words", n=30)
    for i, code in enumerate(WORDS):
        t.cells["TC2"][2 * i + 1] = Bad(code)
    return t.case(plain(t), answers=t.answers(codes=WORDS))


@case
def codes_written_with_decimals() -> Case:
    """The code 9999 is written 9999,0 and +9999,00 among comma decimals: it is met by its value."""
    t = truth("codes_written_with_decimals")
    t.cells["TC1"][4], t.cells["TC1"][5] = Bad("9999,0"), Bad("+9999,00")
    return t.case(plain(t), answers=t.answers(codes=("9999",)))


@case
def open_circuit_with_run_up() -> Case:
    """An opening thermocouple climbs through plausible values (kept, for people to look at) and 88888 to 99999."""
    t = truth("open_circuit_with_run_up", "TC1", "TC2")
    t.cells["TC1"][5:] = ["61.7", "248.3", Bad("88888"), Bad("99999"), Bad("99999"), Bad("99999"), Bad("99999")]
    return t.case(plain(t), answers=t.answers(codes=("88888", "-88888", "99999")))


@case
def clipped_at_full_scale() -> Case:
    """Saved as full scale: 1372 for type K is outside of what the layout calls a value."""
    t = truth("clipped_at_full_scale")
    t.cells["TC2"][7:9] = [Bad("1372.0"), Bad("1372.0")]
    return t.case(plain(t, ",", "."), answers=t.answers(more={"bad outside": {"TC2": "-20 to 400"}}))


@case
def blank_means_lost() -> Case:
    """A recorder that leaves the cell empty when the channel has failed."""
    t = truth("blank_means_lost")
    t.cells["TC1"][3:5] = [Bad(""), Bad("")]
    return t.case(plain(t), answers=t.answers(blank="lost"))


@case
def blank_means_not_sampled() -> Case:
    """Two scan rates in one table: every third row has the slow channels."""
    t = truth("blank_means_not_sampled")
    t.cells["Press"] = [cell if i % 3 == 0 else None for i, cell in enumerate(t.cells["Press"])]
    return t.case(plain(t))


@case
def tenths_as_whole_numbers() -> Case:
    """1773 means 177.3; the code is 32767 before scaling."""
    t = truth("tenths_as_whole_numbers", "TC1", "TC2")
    rows = [[row[0], row[1].replace(".", ""), row[2].replace(".", "")] for row in t.rows(clock(t))]
    rows[4][1], t.cells["TC1"][4] = "32767", Bad("32767")
    told = t.answers(codes=("32767",), more={"scale": {"TC1": "0.1", "TC2": "0.1"}})
    return t.case(lines(["Time", *t.cells], *rows).encode(), answers=told)


@case
def three_senses_of_vacuum() -> Case:
    """The same bag as -28, 28 and 2: gauge, of vacuum, absolute."""
    t = truth("three_senses_of_vacuum", "TC1")
    t.cells |= {"V1": ["-28.0", "-28.1"] * 6, "V2": ["28.0", "28.1"] * 6, "V3": ["1.92", "1.82"] * 6}
    t.units |= {"V1": "inHg gauge", "V2": "inHg of vacuum", "V3": "inHg absolute"}
    return t.case(plain(t, ",", "."))


@case
def units_of_two_worlds() -> Case:
    """degF, psi gauge and kPa absolute beside degC."""
    t = truth("units_of_two_worlds", "TC1", "TC2", "Press", "Vac")
    t.units |= {"TC1": "degF", "Press": "psi gauge", "Vac": "kPa absolute"}
    return t.case(plain(t, "\t", "."))


@case
def signs_exponents_and_bare_points() -> Case:
    """+20.5, .5, 5., -0.0 and 1.773E+02, as spreadsheets and small loggers save numbers."""
    t = truth("signs_exponents_and_bare_points", "TC1", "TC2")
    shown = [
        "+20.5",
        ".5",
        "5.",
        "-0.0",
        "1.773E+02",
        "1.8e1",
        "0020.5",
        "-12.25",
        "20.50000000000000000",
        "3E0",
        "7",
        "1e-1",
    ]
    meant = ["20.5", "0.5", "5", "0", "177.3", "18", "20.5", "-12.25", "20.5", "3", "7", "0.1"]
    rows = [[row[0], text, row[2]] for row, text in zip(t.rows(clock(t)), shown, strict=True)]
    t.cells["TC1"] = list(meant)
    return t.case(lines(["Time", *t.cells], *rows).encode())


@case
def minus_of_typography() -> Case:
    """− (U+2212) instead of -, as programs write it that follow the typography of their country: it has one meaning."""
    t = truth("minus_of_typography", "TC1", "TC2")
    t.cells["TC1"][:3] = ["-2.5", "-1.5", "-0.5"]
    return t.case(plain(t).decode().replace(";-", ";−").encode())


@case
def states_in_words() -> Case:
    """A segment and a valve in words with umlauts, in cp1252."""
    t = truth("states_in_words", "TC1")
    t.cells |= {"Segment": ["Spülen"] * 4 + ["Heizen"] * 4 + ["Halten"] * 4, "Ventil": ["zu"] * 5 + ["auf"] * 7}
    t.states = ("Segment", "Ventil")
    return t.case(plain(t).decode().encode("cp1252"))


@case
def states_as_numbers() -> Case:
    """A segment as 1, 2, 3: a state in words all the same."""
    t = truth("states_as_numbers", "TC1")
    t.cells["Segment"] = ["1"] * 4 + ["2"] * 4 + ["10"] * 4
    t.states = ("Segment",)
    return t.case(plain(t))


@case
def state_on_change_in_a_wide_table() -> Case:
    """A state that is written only when it changes, with a heartbeat."""
    t = truth("state_on_change_in_a_wide_table", "TC1")
    t.cells["Vent"] = ["shut", None, None, None, "open", None, None, None, "open", None, "shut", None]
    t.states = ("Vent",)
    return t.case(plain(t), answers=t.answers(more={"heartbeat": {"Vent": "1 min"}}))


@case
def quality_beside_the_value() -> Case:
    """A quality column in a wide table."""
    t = truth("quality_beside_the_value", "TC1")
    rows = [[*row, "?" if i in (4, 5) else "ok"] for i, row in enumerate(t.rows(clock(t)))]
    t.cells["TC1"][4:6] = [Bad(""), Bad("")]
    told = t.answers(more={"quality of": {"TC1": ("Q1", ("ok",))}})
    return t.case(lines(["Time", "TC1", "Q1"], *rows).encode(), answers=told)


@case
def decimal_sign_stated() -> Case:
    """1,234 is two numbers; a person says that the comma is the decimal sign."""
    t = truth("decimal_sign_stated", "Press")
    t.cells["Press"] = [f"1.{i:03d}" for i in range(234, 246)]
    return t.case(plain(t), answers=t.answers(more={"decimal sign": "comma"}))


@case
def decimal_sign_not_stated() -> Case:
    """1,234 is two numbers and nobody has said which."""
    return decimal_sign_stated_without(decimal_sign_stated())


def decimal_sign_stated_without(stated: Case) -> Case:
    """The same export without that answer."""
    told = {key: value for key, value in stated.answers.more.items() if key != "decimal sign"}
    answers = stated.answers.__class__(**{**stated.answers.__dict__, "more": told})
    return Case("", "", stated.files, answers, stated.tracks, {})


# -------------------------------------------------------------------------------------------------------------------- refused
@case
def thousands_separators() -> Case:
    """1.234,5 kPa."""
    t = truth("thousands_separators", "TC1")
    t.cells["P"], t.units["P"] = [f"1.234,{i % 10}" for i in range(12)], "kPa absolute"
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t), ","), separator=";").encode())


@case
def thousands_with_blanks() -> Case:
    """1 234,5 kPa with a no-break space."""
    t = truth("thousands_with_blanks", "TC1")
    t.cells["P"], t.units["P"] = [f"1\u00a0234,{i % 10}" for i in range(12)], "kPa absolute"
    return t.case(lines(["Time", *t.cells], *t.rows(clock(t), ","), separator=";").encode())


@case
def decimal_signs_mixed() -> Case:
    """20,5 and 20.7 in one column."""
    t = truth("decimal_signs_mixed", "TC1", "TC2")
    rows = t.rows(clock(t), ",")
    rows[6][1] = rows[6][1].replace(",", ".")
    return t.case(lines(["Time", *t.cells], *rows, separator=";").encode())


def one_odd_cell(name: str, text: str) -> Case:
    """An export whose seventh row has that text where a temperature should be."""
    t = truth(name, "TC1", "TC2")
    rows = t.rows(clock(t), ",")
    rows[6][1] = text
    return t.case(lines(["Time", *t.cells], *rows, separator=";").encode())


@case
def words_in_a_column_of_numbers() -> Case:
    """A word that nobody declared."""
    return one_odd_cell("words", "check")


@case
def numbers_of_another_script() -> Case:
    """Full-width digits."""
    return one_odd_cell("script", "２１,５")


@case
def negative_in_brackets() -> Case:
    """(28,0)."""
    return one_odd_cell("brackets", "(28,0)")


@case
def unit_not_stated() -> Case:
    """A column of which nobody has told the unit."""
    t = truth("unit_not_stated", "TC1", "TC2")
    return t.case(plain(t), answers=t.answers(units={"TC1": "degC"}))


@case
def pressure_without_reference() -> Case:
    """bar, and nobody has said of what."""
    t = truth("pressure_without_reference", "TC1", "Press")
    return t.case(plain(t), answers=t.answers(units={"TC1": "degC", "Press": "bar"}))


@case
def vacuum_without_sense() -> Case:
    """inHg in the header, and nobody has said which way it runs."""
    t = truth("vacuum_without_sense", "TC1")
    t.cells["V1"] = ["28.0", "28.1"] * 6
    text = lines(["Time", "TC1 (°C)", "V1 (inHg)"], *t.rows(clock(t)))
    told = t.answers(units={"TC1 (°C)": "degC", "V1 (inHg)": "inHg"})
    return t.case(text.encode(), answers=told)


@case
def unit_against_the_header() -> Case:
    """The row of units says °F, the person degC."""
    t = truth("unit_against_the_header", "TC1", "TC2")
    return t.case(lines(["Time", *t.cells], ["", "°F", "°F"], *t.rows(clock(t))).encode())


@case
def milliamperes() -> Case:
    """Raw current, and nobody has said what it stands for."""
    t = truth("milliamperes", "TC1")
    t.cells["P"] = [f"{4 + i / 10:.2f}" for i in range(12)]
    text = lines(["Time", *t.cells], ["", "°C", "mA"], *t.rows(clock(t)))
    return t.case(text.encode(), answers=t.answers(units={"TC1": "degC", "P": "mA"}))
