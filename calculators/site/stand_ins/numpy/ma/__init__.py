"""Stands in for NumPy's package of this name: no page masks an array."""


def isMaskedArray(array: object) -> bool:  # noqa: N802 (NumPy's name)
    """Say whether an array is masked, as `numpy.median` asks."""
    return False
