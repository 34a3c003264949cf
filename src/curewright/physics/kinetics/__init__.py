"""Laws of cure, one to a file, and how a degree of cure is integrated along a temperature trace."""
