"""The arrays that the science works on."""

import numpy as np
from numpy.typing import NDArray

type FloatArray = NDArray[np.float64]
type ComplexArray = NDArray[np.complex128]
type IndexArray = NDArray[np.int64]
