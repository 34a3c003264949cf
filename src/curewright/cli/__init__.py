"""Arguments to a job, its answer to text and an exit code."""
