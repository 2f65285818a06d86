"""A blade: its rocker and its hollow together."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker


@dataclass(frozen=True)
class Blade:
    """The shape of one blade.

    Parameters
    ----------
    rocker : Rocker
        The lengthwise curve.
    hollow : Hollow
        The groove along the bottom.
    """

    rocker: Rocker
    hollow: Hollow

    def __post_init__(self) -> None:
        if not isinstance(self.rocker, Rocker):
            raise ValueError(f"rocker is {self.rocker!r}; it must be a Rocker")
        if not isinstance(self.hollow, Hollow):
            raise ValueError(f"hollow is {self.hollow!r}; it must be a Hollow")
