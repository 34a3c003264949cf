"""Heat and cure through the thickness of a stack: the grid, the method of integration, and the plain function that runs it."""
