"""The kinds of arrays and numbers that kernels take and give; a number may be Python's or NumPy's, as a kernel runs
plain or compiled.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]
Whole = Any
Real = Any
