"""Doorcard's calculators: typed functions that run natively, on the command line and in a page."""
