"""The site build: calculators, answers and tables put into pages, and the finished folder made."""
