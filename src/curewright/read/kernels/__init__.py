"""Compiled primitives of reading. Each file here stands alone: kept machine code is then renewed when it is edited."""
