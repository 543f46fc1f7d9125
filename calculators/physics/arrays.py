"""The arrays that the science works on."""

import numpy as np
from numpy.typing import NDArray

type FloatArray = NDArray[np.float64]
type ComplexArray = NDArray[np.complex128]
type IndexArray = NDArray[np.int64]


def power_of(sums: ComplexArray) -> FloatArray:
    """Power, a ratio, of complex gains or of a spectrum.

    sums: ratios, of any shape. Source: definition.
    """
    return np.asarray(sums.real**2 + sums.imag**2, dtype=np.float64)


def side_by_side(*columns: FloatArray) -> FloatArray:
    """Columns of numbers as one array, shape (n, columns): what `numpy.stack` does, at half the work.

    Source: definition.
    """
    return np.ascontiguousarray(np.array(columns).T)
