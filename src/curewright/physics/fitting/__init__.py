"""Constants from measurements: bounded least squares with standard errors, and refusal where the data cannot tell."""
