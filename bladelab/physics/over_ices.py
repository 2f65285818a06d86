"""Friction of two blades on every ice held possible, from day to day: how much of a difference is sure.

Both blades meet the same ice, so their difference has its own range over the ices: not that of one blade less
that of the other.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace

import numpy as np

from bladelab._types import Array, Numbers
from bladelab._values import by_value
from bladelab.physics.days import SMALLEST_SHARE, Difference
from bladelab.physics.glide import FrictionCase
from bladelab.physics.ice import Ice
from bladelab.physics.possible_ices import Span, all_possible
from bladelab.physics.stance import Stance
from bladelab.physics.uncertainty import Spread, between, standard_draws
from bladelab.shape.blade import Blade

#: On which of `possible_ices` days are tried, and whose days each of the ices takes, as shares of its own.
_TRIED, _LIKE = (0, 1, 5), (0, 1, 1, 1, 1, 2, 1)
#: Steps of load, place, temperature and hardness, in standard deviations: the hardness both ways.
_DAYS = np.array([[1, 0, 0, 0], [0, 1, 0, 0], [0, 0, -1, 0], [0, 0, 0, 1], [0, 0, 0, -1]], dtype=float)
_ICES = np.concatenate([np.arange(len(_LIKE)), np.repeat(_TRIED, len(_DAYS))])
_STEPS = np.vstack([np.zeros((len(_LIKE), 4)), np.tile(_DAYS, (len(_TRIED), 1))])


def case_over_ices(
    blade: Blade, stance: Stance, ice: Ice, speed_m_s: Numbers, spread: Spread | None = None
) -> FrictionCase:
    """Return what to solve for `OverIces`: one blade on the ices held possible around this one, and on some
    of them with steps of what nobody measures. Its friction has shape (rows,) + that of the stance."""
    spread, across = spread or Spread(), (-1, *(1,) * len(stance.shape))
    ices = all_possible(float(ice.temperature_C), float(ice.hardness_factor))
    believed = {f.name: getattr(ices, f.name)[_ICES].reshape(across) for f in fields(Ice)}
    load, place, cold, hard = (step.reshape(across) for step in _STEPS.T)
    stance = replace(
        stance,
        load_N=stance.load_N * (1 + spread.load * load),
        position_mm=stance.position_mm + spread.position_mm * place,
    )
    colder = np.clip(believed["temperature_C"] + spread.temperature_C * cold, -30.0, 0.0)
    harder = np.clip(believed["hardness_factor"] * (1 + spread.hardness * hard), 0.2, 3.0)
    return blade, stance, Ice(**believed | {"temperature_C": colder, "hardness_factor": harder}), speed_m_s


@by_value
@dataclass(frozen=True, eq=False)
class OverIces:
    """Friction of two blades in one stance on the ices held possible.

    Parameters
    ----------
    present, trial : array (rows,)
        Friction coefficients, as `case_over_ices` asks for them.
    """

    present: Array
    trial: Array

    @property
    def spans(self) -> tuple[Span, Span]:
        """The friction of each blade over the ices."""
        return Span.of(self.present[: len(_LIKE)]), Span.of(self.trial[: len(_LIKE)])

    @property
    def percent(self) -> Span:
        """How much more friction the trial has than the present blade, per cent, over the ices."""
        return Span.of(100 * (self.trial / self.present - 1)[: len(_LIKE)])

    @property
    def disagree(self) -> bool:
        """Whether the trial has more friction on some ices and less on others, both by more than is tiny."""
        percent, tiny = self.percent, 100 * SMALLEST_SHARE
        return percent.low < -tiny and percent.high > tiny

    def widen(self, found: Difference) -> Difference:
        """Return a difference found on one ice with bands that hold on all of them.

        Definition
        ----------
        On each ice 90 % of the days lie within a band; the ends are the least and the greatest of all. On the
        other ices a day moves friction as the steps of each thing do: that comes within some 5 % of drawing
        the days there, at a fiftieth of the cost. The values and the draws stay those of the ice chosen.
        """
        n = len(found.present.draws)
        here, there = ([_drawn(values, n, seed) for seed in (1, 2)] for values in (self.present, self.trial))
        days = np.stack([here[0], there[0], there[0] - here[0], there[1] - here[0]], axis=1)
        low, high = between(days)
        ends = zip(low.min(axis=1).tolist(), high.max(axis=1).tolist(), strict=True)
        bands = (found.present, found.trial, found.same_day, found.other_day)
        present, trial, same_day, other_day = (
            replace(band, low=min(band.low, least), high=max(band.high, most))
            for band, (least, most) in zip(bands, ends, strict=True)
        )
        return replace(found, present=present, trial=trial, same_day=same_day, other_day=other_day)


def _drawn(values: Array, n: int, seed: int) -> Array:
    """Friction on `n` days, (n, ices): a line for each thing, a parabola for the hardness."""
    alone, tried = values[: len(_LIKE)], values[len(_LIKE) :].reshape(len(_TRIED), -1)
    load, place, cold, up, down = (tried / alone[list(_TRIED), None] - 1).T
    draws = standard_draws(n, seed).T
    shares = draws @ np.stack([load, place, -cold, (up - down) / 2]) + draws[:, 3:] ** 2 * (up + down) / 2
    days: Array = alone * (1 + shares[:, list(_LIKE)])
    return days
