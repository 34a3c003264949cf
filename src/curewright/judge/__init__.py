"""Plan against run: one verdict for every requirement and thing."""
