"""Calculators of the stage fabrication: one file each."""
