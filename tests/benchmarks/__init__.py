"""Measurements of what a reader waits for."""
