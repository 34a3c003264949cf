"""One file for each kind of requirement: its fields, how it is read, written again and said in English."""
