"""Text with line and column: YAML in, phrases and quantities read from it, messages out."""
