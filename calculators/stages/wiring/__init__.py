"""Power and wiring: one file a calculator, named after it."""
