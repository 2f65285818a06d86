"""The search behind a match: the hollow at which a score is met, for many stances and scores at once."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Literal

import numpy as np

from bladelab.physics.contact import solve_contacts
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker

Keep = Literal["bite", "hold", "yaw_hold"]

#: What may be kept: its name in a `Contact`, its unit, and how it is said.
MEASURES: dict[str, tuple[str, str, str]] = {
    "bite": ("depth_mm", "mm", "bite"),
    "hold": ("hold_deg", "deg", "hold angle"),
    "yaw_hold": ("yaw_hold_Nm", "N m", "yaw hold"),
}

# Searched for a match: from nearly half the width, where the groove is a half circle, to as good as flat.
_LEAST_OVER_WIDTH, _GREATEST_MM = 0.55, 1000.0
_FIRST_ROWS = 25
# Half the interval, in the logarithm of the radius, in which a match is looked for once it is nearly known.
_WINDOW = 1e-4

_UPRIGHT = (
    "lean_deg is 0 deg; upright, both edges hold alike and the hold angle is 0 with every hollow: it must be "
    "above 0 deg, or keep the bite or the yaw hold"
)


def one_of(stance: Stance) -> Stance:
    return Stance(*(np.array([v]) for v in parts(stance)))


def parts(stance: Stance) -> tuple[Any, ...]:
    return stance.load_N, stance.position_mm, stance.lean_deg


def matches(
    blade: Blade, rocker: Rocker, stances: Stance, ice: Ice, keeps: Sequence[str], gliding: Any
) -> list[tuple[float, Hollow | None, str]]:
    """Match many stances (n,) at once, each by its own score: (present score, hollow or None, reason).

    `gliding` is an array (n,).
    """
    width, present, n = blade.hollow.width_mm, blade.hollow.radius_mm, len(keeps)
    columns = np.arange(n)
    _, first, inverse = np.unique(
        [np.broadcast_to(v, n) for v in (*parts(stances), gliding)],
        axis=1,
        return_index=True,
        return_inverse=True,
    )

    def scores(*wanted: tuple[Rocker, Any]) -> list[tuple[Any, Any]]:
        """Return score and reason for each rocker and its radii, of their shape (rows, n); in one call."""
        # Stances that differ only in what is kept are solved once where their radii are the same.
        alike = all((radius == radius[:, :1]).all() for _, radius in wanted)
        at, back = (first, inverse) if alike else (columns, columns)
        here = Stance(*(np.broadcast_to(v, n)[at] for v in parts(stances)))
        out = []
        for table in measured([(of, radius[:, at]) for of, radius in wanted], width, here, ice, gliding[at]):
            score = np.stack([table[keep][:, back[i]] for i, keep in enumerate(keeps)], axis=1)
            out.append((score, table["reason"][:, back]))
        return out

    low = np.full(n, np.log(_LEAST_OVER_WIDTH * width))
    high = np.full(n, np.log(max(_GREATEST_MM, 2 * present)))
    grid = low + (high - low) * np.linspace(0, 1, _FIRST_ROWS)[:, None]
    (now, refused), (found, unsolved) = scores(
        (blade.rocker, np.full((1, n), present)), (rocker, np.exp(grid))
    )
    if (bad := refused[0] != "").any():
        raise ValueError(f"the present blade can't be solved: {refused[0][bad][0]}")
    target = now[0]
    upright = np.array([keep == "hold" for keep in keeps]) & (np.asarray(stances.lean_deg) == 0)
    scale = np.where(upright, 1.0, target)

    reasons = np.where(upright, _UPRIGHT, "").astype(object)
    exact = np.full(n, np.nan)
    # Each round looks at rows of radii at once and keeps the two that enclose the match. From the second
    # round on, a curve through the values nearest to it says where it lies: then the next interval is tiny,
    # and a straight line across it leaves an error of about 1e-9. Where the curve misleads (at a kink), the
    # rounds go on.
    for rows in (_FIRST_ROWS, 9, 5, 9, 9, 9, 9):
        near = np.isfinite(exact) & (exact - _WINDOW > low) & (exact + _WINDOW < high)
        if rows != _FIRST_ROWS:
            left, right = np.where(near, exact - _WINDOW, low), np.where(near, exact + _WINDOW, high)
            grid = left + (right - left) * np.linspace(0, 1, rows)[:, None]
            ((found, unsolved),) = scores((rocker, np.exp(grid)))
        off = (found - target) / scale
        with np.errstate(invalid="ignore"):
            encloses = off[:-1] * off[1:] <= 0
        distance = np.where(encloses, np.abs((grid[:-1] + grid[1:]) / 2 - np.log(present)), np.inf)
        k = distance.argmin(axis=0)
        there = encloses.any(axis=0)
        if rows == _FIRST_ROWS:
            for i in np.nonzero(~there & (reasons == ""))[0]:
                column = int(i)
                reasons[i] = _no_match(
                    keeps[column], target[i], np.exp(grid[:, i]), found[:, i], unsolved[:, i]
                )
        low, high = np.where(there, grid[k, columns], low), np.where(there, grid[k + 1, columns], high)
        exact = np.where(there, _crossing(grid, off, k), np.where(near, np.nan, exact))
        if (high - low < 2 * _WINDOW)[reasons == ""].all():
            break
    return [
        (float(target[i]), None if reasons[i] else Hollow(float(np.exp(exact[i])), width), str(reasons[i]))
        for i in range(n)
    ]


def measured(
    wanted: Sequence[tuple[Rocker, Any]], width: float, stances: Stance, ice: Ice, gliding: Any
) -> list[dict[str, Any]]:
    """Return for each rocker and its radii (rows, n) every measure and the reason, (rows, n); in one call."""
    kinds = [(kind, np.nonzero(gliding == kind)[0]) for kind in (False, True) if (gliding == kind).any()]
    solved = iter(
        solve_contacts(
            [
                (
                    Blade(of, Hollow(radius[:, at], width)),
                    Stance(*(np.broadcast_to(v, len(gliding))[at] for v in parts(stances))),
                    ice,
                    kind,
                )
                for of, radius in wanted
                for kind, at in kinds
            ]
        )
    )
    tables = []
    for _, radius in wanted:
        table = {keep: np.empty(radius.shape) for keep in MEASURES}
        table["reason"] = np.empty(radius.shape, dtype=object)
        for _, at in kinds:
            contact = next(solved)
            for keep, (name, *_) in MEASURES.items():
                table[keep][:, at] = getattr(contact, name)
            table["reason"][:, at] = contact.reason
        tables.append(table)
    return tables


def _crossing(grid: Any, off: Any, k: Any) -> Any:
    """Return where each column of `off` crosses 0 next to row k: the cubic through four points, off as
    abscissa."""
    rows = np.clip(k - 1, 0, len(grid) - 4) + np.arange(4)[:, None]
    x, f = np.take_along_axis(grid, rows, axis=0), np.take_along_axis(off, rows, axis=0)
    with np.errstate(invalid="ignore", divide="ignore"):
        terms = [x[i] * np.prod([f[j] / (f[j] - f[i]) for j in range(4) if j != i], axis=0) for i in range(4)]
        between = (grid[k, np.arange(len(k))], grid[k + 1, np.arange(len(k))])
        return np.clip(np.nan_to_num(sum(terms), nan=sum(between) / 2), *between)


def _no_match(keep: str, target: float, radius: Any, found: Any, refused: Any) -> str:
    _, unit, said = MEASURES[keep]
    usable = np.isfinite(found)
    if not usable.any():
        return str(refused[-1])
    return (
        f"no hollow gives this rocker the {said} of {target:.4g} {unit}; with hollows of "
        f"{radius[usable].min():.3g} to {radius[usable].max():.4g} mm it reaches "
        f"at least {found[usable].min():.4g} {unit} and at most "
        f"{found[usable].max():.4g} {unit}"
    )


def refuse_arrays(blade: Blade, stance: Stance, ice: Ice) -> None:
    shapes = {
        "the hollow": np.shape(blade.hollow.radius_mm) + np.shape(blade.hollow.width_mm),
        "the stance": stance.shape,
        "the ice": np.shape(ice.temperature_C),
    }
    for what, shape in shapes.items():
        if shape:
            raise ValueError(f"{what} holds an array of shape {shape}; a match needs one number each")
