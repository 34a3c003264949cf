"""One requirement kind, one file: each reduces what the primitives find to an outcome with its margin."""
