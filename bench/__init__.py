"""How fast Curewright judges, beside general tools that answer the same questions on the same samples (``make bench``)."""
