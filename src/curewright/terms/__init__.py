"""The nouns; they import nothing of ours."""
