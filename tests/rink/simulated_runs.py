"""Glide-outs with known friction and drag, timed with an error.

``python -m tests.rink.simulated_runs`` draws 1,000 of them with start speeds, slopes and errors of timing at
random, and prints how many of the 95 % intervals hold the friction and the drag area.
"""

import sys

import numpy as np
from scipy.integrate import solve_ivp

from bladelab import fit_glide_out

GRAVITY, AIR = 9.81, 1.29
MARKS = np.arange(0.0, 26.0, 5.0)


def run(mu, cda, mass, start, marks=MARKS):
    """Times at the marks, s, from the first on, by the closed form v = sqrt(a/b) tan(c - sqrt(ab) t)."""
    a, b = GRAVITY * mu, AIR * cda / (2 * mass)
    root, c = np.sqrt(a * b), np.arctan(start * np.sqrt(b / a))
    # x = ln(cos(c - sqrt(ab) t) / cos(c)) / b, solved for t.
    return (c - np.arccos(np.cos(c) * np.exp(b * (marks - marks[0])))) / root


def run_by_steps(ice, air, start, marks=MARKS):
    """The same from dv/dt = -(ice + air v^2), step by step; for any sign of either."""

    def motion(_, state):
        return [1 / state[1], -(ice + air * state[1] ** 2) / state[1]]

    ends = (marks[0], marks[-1])
    return solve_ivp(motion, ends, [0.0, start], t_eval=marks, rtol=1e-11, atol=1e-13).y[0]


def held(count, seed=1):
    """Whether each of `count` drawn glide-outs holds the friction and the drag area, (count, 2)."""
    rng = np.random.default_rng(seed)
    found = []
    for _ in range(count):
        mu, cda, mass = rng.uniform(0.004, 0.008), rng.uniform(0.25, 0.65), rng.uniform(45, 100)
        slope, noise = rng.uniform(-0.001, 0.001), rng.choice([0.01, 0.03, 0.1])
        ways = np.array([1, -1] * 3)
        times = np.array([run(mu + way * slope, cda, mass, rng.uniform(2.8, 3.6)) for way in ways])
        times += rng.uniform(0, 60, (6, 1)) + noise * rng.standard_normal(times.shape)
        fit = fit_glide_out(MARKS, times, mass, ways)
        intervals = zip((mu, cda), (fit.mu_interval, fit.cda_interval_m2), strict=True)
        found.append([low < true < high for true, (low, high) in intervals])
    return np.array(found)


if __name__ == "__main__":
    whole = held(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)
    print(f"{len(whole)} glide-outs: friction held in {100 * whole[:, 0].mean():.1f} %, ", end="")
    print(f"drag area in {100 * whole[:, 1].mean():.1f} %")
