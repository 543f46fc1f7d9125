"""Handover: one file a calculator, named after it."""
