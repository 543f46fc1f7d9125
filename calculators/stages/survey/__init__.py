"""Vehicle survey: one file a calculator, named after it."""
