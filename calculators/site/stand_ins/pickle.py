"""Stands in for the standard library's module: nothing in a page keeps Python's objects."""
