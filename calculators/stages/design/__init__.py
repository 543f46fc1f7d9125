"""System design: one file a calculator, named after it."""
