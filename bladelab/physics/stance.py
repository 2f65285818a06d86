"""How the skater stands on one blade."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, fields, replace

import numpy as np

from bladelab._checks import keep_numbers, shared_shape
from bladelab._types import Numbers, OneOrMany
from bladelab._values import by_value

SLOWEST_M_S, FASTEST_M_S = 0.2, 30.0
# Ice was pressed for so long in tests of its hardness: Barnes, Tabor & Walker 1971 (abstract).
BRIEFEST_S, LONGEST_S = 1e-4, 1e4


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
    speed_m_s : float or array, optional
        Speed along the blade, m/s, 0.2 to 30. Only a gliding blade on pressed ice needs it.
    standing_s : float or array, optional
        How long the blade has pressed at rest, s, 0.0001 to 10,000. Only a blade at rest on pressed ice needs
        it.

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
    speed_m_s: OneOrMany | None = None
    standing_s: OneOrMany | None = None

    def __post_init__(self) -> None:
        keep_numbers(
            self,
            load_N=("N", 0.0, 1e7, True),
            position_mm=("mm", -np.inf, np.inf),
            lean_deg=("deg", 0.0, 90.0, False, True),
        )
        if self.speed_m_s is not None:
            keep_numbers(self, speed_m_s=("m/s", SLOWEST_M_S, FASTEST_M_S))
        if self.standing_s is not None:
            keep_numbers(self, standing_s=("s", BRIEFEST_S, LONGEST_S))
        self.shape  # noqa: B018  refuses shapes that do not go together

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the broadcast fields; () for one stance."""
        return shared_shape(self.given)

    @property
    def given(self) -> dict[str, OneOrMany]:
        """The fields that are given, by name."""
        values = {f.name: getattr(self, f.name) for f in fields(self)}
        return {name: value for name, value in values.items() if value is not None}

    def changed(self, change: Callable[[OneOrMany], Numbers]) -> Stance:
        """Return the stance with every field that is given changed: broadcast, or one number taken out."""
        return replace(self, **{name: change(value) for name, value in self.given.items()})
