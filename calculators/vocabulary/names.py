"""Names that a reader gives to things, as they are compared: capitals and spaces forgiven."""


def name_key(name: str) -> str:
    """A name however it was typed: one word for one thing."""
    return " ".join(name.split()).casefold()
