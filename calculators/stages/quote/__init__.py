"""Quote and job plan: one file a calculator, named after it."""
