"""All cases of the torture set, by name."""

from tests.torture import cells, clocks, damage, excel, habits, tables
from tests.torture.case import CASES

MODULES = (tables, clocks, cells, damage, excel, habits)  # importing them registers their cases

__all__ = ["CASES", "MODULES"]
