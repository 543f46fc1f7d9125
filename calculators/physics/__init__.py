"""The science: pure functions on floats and NumPy arrays in SI units."""
