"""Sound treatment: one file a calculator, named after it."""
