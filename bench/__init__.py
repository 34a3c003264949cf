"""How fast Curewright judges, beside general tools that answer the same questions on the same samples (``make bench``)."""

from __future__ import annotations

import os

ONE_THREAD = ("POLARS_MAX_THREADS", "OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")

for _name in ONE_THREAD:  # before anything imports polars or NumPy: one thread for each, unless asked otherwise
    os.environ.setdefault(_name, "1")
