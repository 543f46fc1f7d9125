"""Commissioning: one file a calculator, named after it."""
