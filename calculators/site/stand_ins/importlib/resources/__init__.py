"""Stands in for the standard library's package, in the browser, where no resource is a file.

Importing it brings in temporary files, paths, archives and addresses.
"""
