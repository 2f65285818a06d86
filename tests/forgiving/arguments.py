"""Random arguments for the public functions: mostly as they should be, now and then odd or out of range."""

from __future__ import annotations

import datetime
import math
import random
from pathlib import Path
from typing import Any

import numpy as np

import bladelab as b
from bladelab.advice.single_change import single_changes

_ODD: tuple[Any, ...] = (
    *(0.0, -1.0, 1e-300, 1e-12, 1e300, math.nan, math.inf, -math.inf),
    *(None, "", "ten", [], [1.0, math.nan], {}),
)


class Chance(random.Random):
    """Draws arguments."""

    folder: Path

    def near(self, low: float, high: float) -> Any:
        """A number as it should be; a few times in a hundred something odd or out of the range."""
        way = self.randrange(40)
        if way == 0:
            return self.choice(_ODD)
        if way == 1:
            return self.choice((low - (high - low), high + (high - low)))
        return self.uniform(low, high)

    def whole(self, low: int, high: int) -> Any:
        """A whole number, seldom an odd thing."""
        return self.choice(_ODD) if self.randrange(40) == 0 else self.randint(low, high)

    def rocker(self) -> b.Rocker:
        zones = [b.Zone(self.near(900, 12000), self.near(30, 120)) for _ in range(self.randint(1, 4))]
        return b.Rocker(tuple(zones), self.choice((0, self.near(0, 30))), self.near(-40, 40))

    def hollow(self) -> b.Hollow:
        return b.Hollow(self.near(3, 40), self.near(2, 4.5), self.near(0, 0.1))

    def blade(self) -> b.Blade:
        return b.Blade(self.rocker(), self.hollow())

    def stance(self) -> b.Stance:
        return b.Stance(self.near(100, 2500), self.near(-110, 110), self.near(0, 70))

    def ice(self) -> b.Ice:
        return b.Ice(self.near(-20, 0))

    def conditions(self) -> b.Conditions:
        moments = tuple(self.sample(b.MOMENTS, self.randint(1, len(b.MOMENTS))))
        return b.Conditions(self.near(25, 130), self.ice(), self.near(0.5, 12), moments)

    def points(self, low: int = 4, high: int = 60) -> tuple[Any, Any]:
        """Places and heights of a noisy arc; seldom with a hole, out of order, or of other lengths."""
        x = np.linspace(-self.uniform(5, 140), self.uniform(5, 140), self.randint(low, high))
        noise = np.random.default_rng(self.randrange(2**32)).normal(size=len(x))
        y = x**2 / (2 * self.uniform(1000, 12000)) + self.uniform(0, 0.05) * noise
        way = self.randrange(30)
        if way == 0:
            y[self.randrange(len(y))] = self.choice((math.nan, math.inf, 1e300))
        elif way == 1:
            x = x[::-1]
        elif way == 2:
            x = x[1:]
        elif way == 3:
            x[:] = x[0]
        return x, y

    def trace(self) -> b.Trace:
        return b.Trace(*self.points(), error_mm=self.choice((None, self.near(0.001, 0.05))))

    def reading(self) -> Any:
        way = self.randrange(3)
        if way == 0:
            return b.groove_from_depth(
                self.near(0.02, 0.4), self.near(2, 4.5), self.near(0, 0.02), self.near(0, 0.1)
            )
        if way == 1:
            return b.groove_from_edges(self.near(0.02, 0.4), self.near(0.02, 0.4), self.near(2, 4.5))
        fits = self.near(6, 30)
        return b.groove_from_arc(fits, self.near(4, 30), self.near(6, 40), self.near(2, 4.5))

    def plan(self) -> b.SeasonPlan:
        return b.SeasonPlan(
            weeks=self.whole(1, 60),
            ice_hours_per_week=self.near(0, 20),
            hours_per_sharpening=self.near(1, 20),
            steel_per_sharpening_mm=self.near(0, 0.2),
            steel_spread=self.near(0, 1),
            rounding=self.near(-0.3, 0.3),
            reprofile_weeks=tuple(self.near(0, 50) for _ in range(self.randint(0, 3))),
            first_cut_mm=self.near(0, 1),
            tolerance_mm=self.near(0.01, 0.3),
            height_mm=self.near(9, 20),
            least_height_mm=self.near(5, 12),
            hours_spread=self.near(0, 0.8),
        )

    def trials(self) -> list[b.Trial]:
        present = self.blade()
        found = []
        for day in range(self.randint(0, 5)):
            ratings = {key: self.whole(r.low, r.high) for key, r in b.RATINGS.items() if self.random() < 0.6}
            found.append(b.Trial(datetime.date(2026, 10, 1 + day), "K07", present, ratings))
            if changes := single_changes(present):
                present = self.choice(changes).blade
        return found
