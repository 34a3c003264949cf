"""The same thirty requirements by general tools: plain NumPy, pandas and polars, each as a good engineer would write them with that tool.

``logic`` turns what a tool finds (crossings, extremes, slopes) into outcomes; it was written from the paper's rules, not
from the judge. What touches all samples is done by the tool itself. Two things favour the peers: all channels share one
time axis, handed over ready made as one table; and single values are looked up in bare arrays whatever the tool.
"""
