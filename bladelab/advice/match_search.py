"""The search behind a match: the hollow at which a score is met, for many stances and scores at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any, Literal, NamedTuple

import numpy as np
from numpy.typing import NDArray

from bladelab._errors import InputError
from bladelab._types import Array, Places, Truths
from bladelab.physics.contact import solve_contacts
from bladelab.physics.ice import Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker

Keep = Literal["bite", "hold", "yaw_hold"]

#: What may be kept: its name in a `Contact`, its unit, and its name in a sentence.
MEASURES: dict[str, tuple[str, str, str]] = {
    "bite": ("depth_mm", "mm", "bite"),
    "hold": ("hold_deg", "deg", "hold angle"),
    "yaw_hold": ("yaw_hold_Nm", "N m", "yaw hold"),
}

# Searched for a match: from nearly half the width, where the groove is a half circle, to as good as flat.
_LEAST_OVER_WIDTH, _GREATEST_MM = 0.55, 1000.0
_FIRST_ROWS = 25  # beyond the usual hollows, which are looked at themselves
# A match is found when two estimates of it, in the logarithm of the radius, differ by less.
_SURE = 1e-8

_UPRIGHT = (
    "lean_deg is 0 deg; upright, both edges hold alike and the hold angle is 0 with every hollow: it must be "
    "above 0 deg, or keep the bite or the yaw hold"
)
_DULL = (
    "the present blade's hold angle is {:.2g} deg; it must be above 0 deg to be kept: edges as dull as these "
    "don't hold, so sharpen the blade before matching it"
)


def single_stance(stance: Stance) -> Stance:
    return stance.changed(lambda v: np.array([v]))


def _some(stances: Stance, n: int, at: Places | slice) -> Stance:
    """Return some of `n` stances, every field an array."""
    return stances.changed(lambda v: np.broadcast_to(v, n)[at])


class Found(NamedTuple):
    """The search result for one stance and one score.

    Attributes
    ----------
    target : float
        The present blade's score.
    hollow : Hollow or None
        None where there is no match, for the `reason` given.
    usual : dict of float to float
        The score that each usual hollow gives, by its radius in mm.
    """

    target: float
    hollow: Hollow | None
    reason: str
    usual: dict[float, float]


def matches(
    blade: Blade, rocker: Rocker, stances: Stance, ice: Ice, keeps: Sequence[str], gliding: Truths
) -> list[Found]:
    """Match many stances (n,) at once, each by its own score; `gliding` is an array (n,)."""
    width, present, n = blade.hollow.width_mm, blade.hollow.radius_mm, len(keeps)
    stances = _some(stances, n, slice(None))
    # First the same radii for all: stances that differ only in what is kept are solved once.
    _, first, same = np.unique(
        [*stances.given.values(), gliding], axis=1, return_index=True, return_inverse=True
    )
    same = same.ravel()  # NumPy 2.0.0 returns it with two axes
    radii, usual = _first_radii(width, present)
    once = np.ones((1, len(first)))
    now, found = solved_values(
        [(blade.rocker, present * once), (rocker, radii[:, None] * once)],
        blade.hollow,
        _some(stances, n, first),
        ice,
        gliding[first],
    )
    if (bad := now["reason"][0] != "").any():
        raise InputError(f"the present blade can't be solved: {now['reason'][0][bad][0]}")
    target, score = _kept(now, keeps, same)[0], _kept(found, keeps, same)
    by_hold = np.array([keep == "hold" for keep in keeps])
    upright = by_hold & (np.asarray(stances.lean_deg) == 0)
    dull = by_hold & ~upright & (target <= 0)
    reasons = np.where(upright, _UPRIGHT, "").astype(object)
    reasons[dull] = [_DULL.format(one) for one in target[dull]]
    grid, off = (
        np.repeat(np.log(radii)[:, None], n, axis=1),
        (score - target) / np.where(upright | dull, 1.0, target),
    )
    k, there = _enclosing(grid, off, present)
    for i in np.nonzero(~there & (reasons == ""))[0]:
        refused = found["reason"][:, same[i]]
        reasons[i] = _no_match(keeps[int(i)], target[i], radii, score[:, i], refused)

    exact, live = np.full(n, np.nan), np.nonzero(reasons == "")[0]
    if len(live):
        between = grid[:, live], off[:, live], k[live]
        kept, here = [keeps[int(i)] for i in live], _some(stances, n, live)
        exact[live] = _narrowed(between, rocker, blade.hollow, here, ice, gliding[live], kept, target[live])
    hollows = [
        None if why else replace(blade.hollow, radius_mm=float(np.exp(log)))
        for log, why in zip(exact, reasons, strict=True)
    ]
    of_usual = [dict(zip(radii[usual].tolist(), column, strict=True)) for column in score[usual].T.tolist()]
    return list(map(Found, target.tolist(), hollows, map(str, reasons), of_usual))


def _first_radii(width: float, present: float) -> tuple[Array, Truths]:
    """Return the radii looked at first, in order, and which of them are usual ones."""
    least, greatest = _LEAST_OVER_WIDTH * width, max(_GREATEST_MM, 2 * present)
    usual = np.array([radius for radius in USUAL_HOLLOWS_MM if radius > width / 2])
    wide = np.geomspace(least, greatest, _FIRST_ROWS)
    radii = np.sort([*usual, *wide[(wide < usual.min(initial=greatest)) | (wide > usual.max(initial=least))]])
    return radii, np.isin(radii, usual)


def _narrowed(
    between: tuple[Array, Array, Places],
    rocker: Rocker,
    present: Hollow,
    stances: Stance,
    ice: Ice,
    gliding: Truths,
    keeps: Sequence[str],
    target: Array,
) -> Array:
    """Return the logarithm of the radius that meets each target, from rows that enclose it.

    A curve through the values nearest to the match says where it lies, and another one how far that can be
    trusted. Each round looks at a few radii within that reach, and keeps the two that enclose the match;
    where the curves misled, the next looks at some between the two it knew.
    """
    grid, off, k = between
    columns = np.arange(len(k))
    exact, doubt = _crossing(grid, off, k)
    low, high = grid[k, columns], grid[k + 1, columns]
    for _ in range(12):
        reach = np.maximum(4 * doubt, 1000 * _SURE)
        near = (exact - reach > low) & (exact + reach < high)
        left, right = np.where(near, exact - reach, low), np.where(near, exact + reach, high)
        grid = left + (right - left) * np.linspace(0, 1, 5)[:, None]
        (found,) = solved_values([(rocker, np.exp(grid))], present, stances, ice, gliding)
        off = _kept(found, keeps, columns) / target - 1
        k, there = _enclosing(grid, off, present.radius_mm)
        crossing, apart = _crossing(grid, off, k)
        sought = doubt >= _SURE  # already found: keep
        there &= sought
        exact = np.where(there, crossing, exact)
        doubt = np.where(there, apart, np.where(sought, np.inf, doubt))
        low, high = np.where(there, grid[k, columns], low), np.where(there, grid[k + 1, columns], high)
        if (doubt < _SURE).all():
            break
    return exact


def _kept(table: dict[str, NDArray[Any]], keeps: Sequence[str], columns: Places) -> Array:
    """Return the scores to be kept, (rows, n), each from its own column of a table."""
    return np.stack([table[keep][:, i] for keep, i in zip(keeps, columns, strict=True)], axis=1)


def _enclosing(grid: Array, off: Array, present: float) -> tuple[Places, Truths]:
    """Return the row k of each column such that `off` crosses 0 between k and the next, nearest to the
    present hollow; and whether there is one.
    """
    with np.errstate(invalid="ignore"):
        encloses: Truths = off[:-1] * off[1:] <= 0
    distance = np.where(encloses, np.abs((grid[:-1] + grid[1:]) / 2 - np.log(present)), np.inf)
    return np.argmin(distance, axis=0), np.any(encloses, axis=0)


def solved_values(
    wanted: Sequence[tuple[Rocker, Array]], hollow: Hollow, stances: Stance, ice: Ice, gliding: Truths
) -> list[dict[str, NDArray[Any]]]:
    """Return for each rocker and its radii (rows, n) every measure and the reason, (rows, n); in one call.

    Of the hollow the width and the edges count.
    """
    kinds = [(kind, np.nonzero(gliding == kind)[0]) for kind in (False, True) if (gliding == kind).any()]
    solved = iter(
        solve_contacts(
            [
                (
                    Blade(of, replace(hollow, radius_mm=radius[:, at])),
                    _some(stances, len(gliding), at),
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


def _crossing(grid: Array, off: Array, k: Places) -> tuple[Array, Array]:
    """Return where each column of `off` crosses 0 next to row k, and how far two estimates lie apart: cubics
    through four points, off as abscissa."""
    columns, last = np.arange(len(k)), len(grid) - 4
    first = np.clip(k - 1, 0, last)
    between = (grid[k, columns], grid[k + 1, columns])
    at = []
    for start in (first, np.where(first < last, first + 1, first - 1)):
        rows = start + np.arange(4)[:, None]
        x, f = np.take_along_axis(grid, rows, axis=0), np.take_along_axis(off, rows, axis=0)
        with np.errstate(invalid="ignore", divide="ignore"):
            terms = [
                x[i] * np.prod([f[j] / (f[j] - f[i]) for j in range(4) if j != i], axis=0) for i in range(4)
            ]
        at.append(sum(terms))
    middle = (between[0] + between[1]) / 2
    exact, other = (np.clip(np.where(np.isnan(x), middle, x), *between) for x in at)
    return exact, np.where(np.isfinite(at).all(axis=0), abs(exact - other), between[1] - between[0])


def _no_match(keep: str, target: float, radius: Array, found: Array, refused: NDArray[np.object_]) -> str:
    _, unit, said = MEASURES[keep]
    usable = np.isfinite(found)
    if not usable.any():
        return str(refused[-1])
    return (
        f"no hollow gives this rocker the {said} of {target:.4g} {unit}; with hollows of "
        f"{radius[usable].min():.3g} to {radius[usable].max():.4g} mm it reaches at least "
        f"{found[usable].min():.4g} {unit} and at most {found[usable].max():.4g} {unit}"
    )


def refuse_arrays(blade: Blade, stance: Stance, ice: Ice) -> None:
    shapes = {
        "the hollow": blade.hollow.shape,
        "the stance": stance.shape,
        "the ice": ice.shape,
    }
    for what, shape in shapes.items():
        if shape:
            raise InputError(f"{what} holds an array of shape {shape}; a match needs one number each")
