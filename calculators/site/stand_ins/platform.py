"""Stands in for the standard library's module: nothing in a page asks on what it runs."""
