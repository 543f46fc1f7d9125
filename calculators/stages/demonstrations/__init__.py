"""Sounds before and after an upgrade, to hear before it is bought."""
