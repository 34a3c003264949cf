"""Array primitives: levels, extremes, slopes, windows, envelopes."""
