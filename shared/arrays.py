"""The one array type of the equations."""

import numpy as np
from numpy.typing import NDArray

__all__ = ["Array"]

Array = NDArray[np.float64]
