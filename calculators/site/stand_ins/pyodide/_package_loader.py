"""Stands in for Pyodide's module of this name: it would install packages, of which there are none.

Pyodide's loader reads the two places and says that it knows what is installed.
"""


class Place:
    """A folder, for Pyodide's loader to ask its name."""

    def __init__(self, name: str) -> None:
        """Keep the name."""
        self.name = name

    def __str__(self) -> str:
        """Return the name."""
        return self.name


SITE_PACKAGES = Place("/lib/python3.12/site-packages")
DSO_DIR = Place("/usr/lib")


def init_loaded_packages() -> None:
    """Find nothing installed."""
