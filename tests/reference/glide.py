"""Glide friction of one stance, solved by brute force and independently of bladelab.

Contact widths come from inverting the drawn groove, the melt film from scipy's stiff Radau method in h
itself. Constants are written out again, from the handbooks named.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.integrate import quad, solve_ivp

from tests.reference.contact import balance
from tests.reference.standing import Attitude, Case

LATENT_J_M3 = 916.7 * 333.6e3  # CRC Handbook


@dataclass(frozen=True)
class Glide:
    """A case and its ice; SI but for what the names say."""

    case: Case
    speed: float
    cold_C: float
    viscosity: float = 1.792e-3  # LSBU water data, 0 °C
    melt_J_m3: float = LATENT_J_M3
    film_C: float = 0.0
    steel_W_m2: float = 0.0

    @property
    def conductivity(self) -> float:
        return 2.14 + (2.3 - 2.14) * self.cold_C / -10.0  # LSBU water data, 0 and -10 °C

    @property
    def diffusivity(self) -> float:
        return self.conductivity / (916.7 * (2097.0 + 7.4 * self.cold_C))

    def cooling(self, s: float) -> float:
        """Heat drawn into the ice and the steel at s (m) behind the front, W/m2."""
        colder = max(self.film_C - self.cold_C, 0.0)
        into_ice = self.conductivity * colder / np.sqrt(np.pi * self.diffusivity * s / self.speed)
        return float(into_ice) + self.steel_W_m2


class Widths:
    """Bearing width and width of one strip at a tip depth, by inverting the drawn groove."""

    def __init__(self, case: Case) -> None:
        self.pieces = []
        for a, b in pairwise(case.turns):
            u = a + (b - a) * (1 - np.cos(np.linspace(0, np.pi, 20001))) / 2
            v = case.leaned(u)
            order = slice(None) if v[-1] >= v[0] else slice(None, None, -1)
            self.pieces.append((np.abs(u[order] - u[order][0]), np.maximum.accumulate(v[order])))
        # Between the edges the groove rises to its roof; leaned far, it rises up to the far side.
        inner = case.turns[(case.turns > case.arc_end) & (case.turns < case.width - case.arc_end)]
        self.top, self.far = float(case.leaned(case.width)), np.inf
        if len(inner):
            self.top = float(case.leaned(inner[0]))
            self.far = float(case.leaned(case.turns[case.turns >= case.width - case.arc_end]).min())

    def __call__(self, z: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        width = np.sum([np.interp(z, v, u, left=0.0) for u, v in self.pieces], axis=0)
        return width, np.where((self.far < z) & (z < self.top), width / 2, width)


def solve(glide: Glide) -> tuple[float, float, float]:
    """Return the coefficients of ploughing and of the film, and the mean film thickness in micrometres."""
    case = glide.case
    found = balance(case)
    lean, depth = np.radians(case.lean), found.depth
    section = quad(
        lambda u: max(depth - float(case.leaned(np.array(u))), 0.0) / np.cos(lean), 0, case.width, limit=400
    )[0]
    plough = case.hardness * section / case.load
    film, thickness = film_under(glide, found.attitude, depth, lambda _: case.hardness)
    return float(plough), film, thickness


def film_under(
    glide: Glide, attitude: Attitude, depth: float, pressure_at: Callable[[float], float]
) -> tuple[float, float]:
    """Return the film's coefficient and its mean thickness in micrometres.

    pressure_at : the pressure, MPa, at a distance in m behind the front of the contact.
    """
    case = glide.case
    _, toe = (float(end) for end in attitude.reach(np.array(depth)))
    length = (toe - attitude.deepest) * 1e-3
    widths = Widths(case)
    eta, v = glide.viscosity, glide.speed

    # Worked out beforehand, closest at the front, where the widths begin like a root.
    places = length * np.linspace(0.0, 1.0, 20001) ** 2
    depths = depth - attitude.rise(toe - places * 1e3)
    wide, strips = (part * 1e-3 for part in widths(depths))

    def march(s: float, y: np.ndarray) -> list[float]:
        h = max(y[0], 1e-12)
        width = float(np.interp(s, places, wide))
        strip = float(np.interp(s, places, strips))
        melt = (eta * v**2 / h - glide.cooling(s)) / (glide.melt_J_m3 * v)
        squeezed = pressure_at(s) * 1e6 * h**3 / (eta * strip**2 * v) if strip > 0 else 0.0
        return [melt - squeezed, eta * v * width / h, width * h, width]

    # Starts just behind the front from a film of no account: it forgets its start at once.
    start = 1e-5 * length
    cuts = [start]
    if widths.top < depth:  # a kink where the groove floods
        grid = np.linspace(start, length, 20001)
        z = depth - attitude.rise(toe - grid * 1e3)
        cuts.append(float(grid[np.argmax(z >= widths.top)]))
    cuts.append(length)
    y = np.array([1e-9, 0.0, 0.0, 0.0])
    for low, high in pairwise(cuts):
        run = solve_ivp(
            march, (low, high), y, "Radau", rtol=1e-6, atol=[1e-13, 1e-10, 1e-16, 1e-12], max_step=length / 60
        )
        assert run.success, run.message
        y = run.y[:, -1]
    return float(y[1]) / case.load, float(y[2] / y[3]) * 1e6
