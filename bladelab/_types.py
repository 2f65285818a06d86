"""The types that numbers have."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

#: An array of floats of any shape.
Array: TypeAlias = NDArray[np.float64]
#: One number, or an array of them: what goes into a formula, and what comes out in the same shape.
Numbers: TypeAlias = float | NDArray[np.float64]
