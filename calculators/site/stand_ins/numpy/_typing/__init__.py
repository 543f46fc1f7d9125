"""Stands in for NumPy's package of this name: the names that annotations use, and no more.

Working out what the names mean takes longer than importing all of linear algebra, and nobody
checks types in a page.
"""

from typing import Any

import numpy

type NDArray[Kind: numpy.generic] = numpy.ndarray[Any, numpy.dtype[Kind]]
ArrayLike = DTypeLike = NBitBase = Any
