"""Stands in for the standard library's package: what a page calls is NumPy's and Python's own."""
