"""Diagrams that calculators show: speakers on an amplifier, and a vehicle's supply wiring."""
