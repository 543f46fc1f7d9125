"""Stands in for NumPy's compiled Fourier transform till something of it is used: most answers do without."""

from importlib import import_module

__getattr__ = import_module("browser_start").late(__name__)
