"""The words that several calculators share: what they ask, what they record, the charts made of it."""
