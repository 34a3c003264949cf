"""The cure record on paper: a judgement, what it stands on and who signs for it, as one PDF/A-3 with everything attached."""
