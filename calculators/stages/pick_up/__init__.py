"""Signal pick-up: the feeds of the factory unit, brought to the processor."""
