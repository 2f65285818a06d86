"""How the skater stands on one blade."""

from __future__ import annotations

from dataclasses import dataclass

from bladelab._checks import numbers, shared_shape
from bladelab._types import OneOrMany
from bladelab._values import by_value


@by_value
@dataclass(frozen=True, eq=False)
class Stance:
    """How the skater stands on one blade; numbers or arrays that broadcast together.

    Parameters
    ----------
    load_N : float or array
        Vertical load on the blade, N, above 0 and at most 1e7.
    position_mm : float or array
        Place of the load along the runner, mm from mid-length, toe positive.
    lean_deg : float or array
        Lean of the blade toward the active edge, degrees, at least 0 and below 90.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, or the shapes do not broadcast.

    Examples
    --------
    >>> Stance(load_N=736.0, position_mm=10.0, lean_deg=30.0).shape
    ()
    >>> Stance([400.0, 736.0]).shape
    (2,)
    """

    load_N: OneOrMany
    position_mm: OneOrMany = 0.0
    lean_deg: OneOrMany = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "load_N", numbers("load_N", self.load_N, "N", 0.0, 1e7, low_open=True))
        object.__setattr__(self, "position_mm", numbers("position_mm", self.position_mm, "mm"))
        object.__setattr__(
            self, "lean_deg", numbers("lean_deg", self.lean_deg, "deg", 0.0, 90.0, high_open=True)
        )
        self.shape  # noqa: B018  refuses shapes that do not go together

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the broadcast fields; () for one stance."""
        names = ("load_N", "position_mm", "lean_deg")
        return shared_shape({name: getattr(self, name) for name in names})
