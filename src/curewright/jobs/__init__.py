"""One function per request: the only place that wires the others together."""
