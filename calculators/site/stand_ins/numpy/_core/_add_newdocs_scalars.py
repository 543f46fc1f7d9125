"""Stands in for NumPy's module of this name: docstrings for compiled types."""
