"""Glass transition temperature from degree of cure: one published law per file."""
