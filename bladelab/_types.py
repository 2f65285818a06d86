"""The types that numbers have."""

from __future__ import annotations

from typing import Any, TypeAlias, TypeVar

import numpy as np
from numpy.typing import NDArray

#: An array of floats of any shape.
Array: TypeAlias = NDArray[np.float64]
#: One number or an array of them: what goes into a formula.
Numbers: TypeAlias = float | Array
#: For a formula that returns what it was given: a number for a number, an array for an array.
SomeNumbers = TypeVar("SomeNumbers", float, Array)
#: An array of truth values, and one of places in another array.
Truths: TypeAlias = NDArray[np.bool_]
Places: TypeAlias = NDArray[np.intp]
#: One number for one case, an array for many: what comes out of a solver, or a field that holds either. Which
#: of the two follows from the call and not from the type, so a type checker lets both pass, as NumPy's own
#: functions do.
OneOrMany: TypeAlias = Any
