"""Stands in for the standard library's module: a page cannot start a program."""

PIPE = -1
STDOUT = -2
DEVNULL = -3
