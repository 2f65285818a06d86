"""Match: the hollow that gives another rocker the bite, the hold or the yaw hold of the present blade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from bladelab.advice.quantities import stance_of
from bladelab.physics.contact import solve_contacts
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker
from bladelab.units import as_fraction

if TYPE_CHECKING:
    import pandas as pd

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


def match_hollow(
    blade: Blade, rocker: Rocker, stance: Stance, ice: Ice, keep: Keep = "bite", gliding: bool = True
) -> Hollow:
    """Find the hollow that makes another rocker score like this blade in one stance.

    Definition
    ----------
    The radius r with score(Blade(rocker, Hollow(r, w))) = score(blade), w the width of this blade. All three
    scores fall as r grows, so there is at most one; should there be more, the one nearest to the present
    hollow is given.

    Parameters
    ----------
    blade : Blade
        The present blade.
    rocker : Rocker
        The rocker that is to get the hollow.
    stance : Stance
        One stance (no arrays).
    ice : Ice
        At one temperature.
    keep : {"bite", "hold", "yaw_hold"}
        The score to keep: the greatest depth of the edge, the hold angle, or the yaw hold.
    gliding : bool
        As in `solve_contact`.

    Returns
    -------
    Hollow
        Of the same width. The score agrees to 1e-6 relative, mostly to 1e-10.

    Raises
    ------
    ValueError
        If no hollow does it (the message gives the range that can be reached), if the score says nothing in
        this stance (an upright blade has hold angle 0 whatever its hollow), or if an argument holds arrays.
    """
    _refuse_arrays(blade, stance, ice)
    if keep not in MEASURES:
        raise ValueError(f"keep is {keep!r}; it must be one of {', '.join(map(repr, MEASURES))}")
    hollow, reason = _matches(blade, rocker, _one_of(stance), ice, [keep], np.array([gliding]))[0][1:]
    if hollow is None:
        raise ValueError(reason)
    return hollow


def _one_of(stance: Stance) -> Stance:
    return Stance(*(np.array([v]) for v in _parts(stance)))


def _parts(stance: Stance) -> tuple[Any, ...]:
    return stance.load_N, stance.position_mm, stance.lean_deg


def _matches(
    blade: Blade, rocker: Rocker, stances: Stance, ice: Ice, keeps: Sequence[str], gliding: Any
) -> list[tuple[float, Hollow | None, str]]:
    """Match many stances (n,) at once, each by its own score: (present score, hollow or None, reason).

    `gliding` is an array (n,).
    """
    width, present, n = blade.hollow.width_mm, blade.hollow.radius_mm, len(keeps)
    columns = np.arange(n)
    _, first, inverse = np.unique(
        [np.broadcast_to(v, n) for v in (*_parts(stances), gliding)],
        axis=1,
        return_index=True,
        return_inverse=True,
    )

    def scores(*wanted: tuple[Rocker, Any]) -> list[tuple[Any, Any]]:
        """Return score and reason for each rocker and its radii, of their shape (rows, n); in one call."""
        # Stances that differ only in what is kept are solved once where their radii are the same.
        alike = all((radius == radius[:, :1]).all() for _, radius in wanted)
        at, back = (first, inverse) if alike else (columns, columns)
        here = Stance(*(np.broadcast_to(v, n)[at] for v in _parts(stances)))
        out = []
        for table in _measured([(of, radius[:, at]) for of, radius in wanted], width, here, ice, gliding[at]):
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


def _measured(
    wanted: Sequence[tuple[Rocker, Any]], width: float, stances: Stance, ice: Ice, gliding: Any
) -> list[dict[str, Any]]:
    """Return for each rocker and its radii (rows, n) every measure and the reason, (rows, n); in one call."""
    kinds = [(kind, np.nonzero(gliding == kind)[0]) for kind in (False, True) if (gliding == kind).any()]
    solved = iter(
        solve_contacts(
            [
                (
                    Blade(of, Hollow(radius[:, at], width)),
                    Stance(*(np.broadcast_to(v, len(gliding))[at] for v in _parts(stances))),
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


def _refuse_arrays(blade: Blade, stance: Stance, ice: Ice) -> None:
    shapes = {
        "the hollow": np.shape(blade.hollow.radius_mm) + np.shape(blade.hollow.width_mm),
        "the stance": stance.shape,
        "the ice": np.shape(ice.temperature_C),
    }
    for what, shape in shapes.items():
        if shape:
            raise ValueError(f"{what} holds an array of shape {shape}; a match needs one number each")


def nearest_usual(hollow: Hollow) -> Hollow:
    """Return the usual hollow nearest to this one (by ratio), as a shop would grind it; the same width."""
    usual = np.array(USUAL_HOLLOWS_MM)
    usual = usual[usual > hollow.width_mm / 2]
    return Hollow(float(usual[np.abs(np.log(usual / hollow.radius_mm)).argmin()]), hollow.width_mm)


@dataclass(frozen=True)
class Match:
    """What the match came to in one moment, for one score kept.

    Attributes
    ----------
    moment : Moment
    keep : str
        "bite", "hold" or "yaw_hold".
    target : float
        The present blade's score, in `unit`.
    unit : str
    hollow : Hollow or None
        The exact match; None where there is none.
    usual : Hollow or None
        The usual fraction nearest to it.
    remains_percent : float
        How much more (less: negative) of the score the usual fraction gives than the present blade, per cent;
        NaN without a match.
    ratio : float
        Radius of the matched hollow over the present one: above 1 shallower, below 1 deeper; NaN without a
        match.
    reason : str
        "" or why there is no match.
    """

    moment: Moment
    keep: str
    target: float
    unit: str
    hollow: Hollow | None
    usual: Hollow | None
    remains_percent: float
    ratio: float
    reason: str

    @property
    def verdict(self) -> str:
        """ "shallower", "deeper", "the same" (within 0.5 %) or "none"."""
        if self.hollow is None:
            return "none"
        if abs(self.ratio - 1) < 0.005:
            return "the same"
        return "shallower" if self.ratio > 1 else "deeper"


def match_everywhere(
    blade: Blade, rocker: Rocker, mass_kg: float, ice: Ice, moments: Sequence[Moment] = MOMENTS
) -> list[Match]:
    """Match every score in every moment: the test of "more steel on the ice lets the hollow be shallower".

    Parameters
    ----------
    blade : Blade
        The present blade.
    rocker : Rocker
        The rocker that is to get the hollow.
    mass_kg : float
        The skater's mass with equipment, kg.
    ice : Ice
    moments : sequence of Moment

    Returns
    -------
    list of Match
        Moment by moment, in each the bite, the hold and the yaw hold. A match that does not exist has its
        reason; upright moments have none by hold.

    Raises
    ------
    ValueError
        If the present blade can't be solved in one of the moments, or an argument holds arrays.
    """
    pairs = [(moment, keep) for moment in moments for keep in MEASURES]
    stances = stance_of([moment for moment, _ in pairs], mass_kg)
    _refuse_arrays(blade, pairs[0][0].stance(mass_kg), ice)
    gliding = np.array([moment.gliding for moment, _ in pairs])
    matches = _matches(blade, rocker, stances, ice, [keep for _, keep in pairs], gliding)
    usual = [nearest_usual(hollow) if hollow else None for _, hollow, _ in matches]
    radius = np.array([h.radius_mm if h else blade.hollow.radius_mm for h in usual])
    (checked,) = _measured([(rocker, radius[None])], blade.hollow.width_mm, stances, ice, gliding)
    found = []
    for i, ((moment, keep), (target, hollow, reason)) in enumerate(zip(pairs, matches, strict=True)):
        left = 100 * (checked[keep][0, i] / target - 1) if hollow else float("nan")
        ratio = hollow.radius_mm / blade.hollow.radius_mm if hollow else float("nan")
        found.append(Match(moment, keep, target, MEASURES[keep][1], hollow, usual[i], left, ratio, reason))
    return found


def match_table(matches: Sequence[Match]) -> pd.DataFrame:
    """Return matches as a table: moment, what is kept, the present score, the hollow that keeps it, and the
    verdict."""
    import pandas as pd

    rows = [
        {
            "moment": match.moment.name,
            "kept": MEASURES[match.keep][2],
            "score": match.target,
            "unit": match.unit,
            "hollow_mm": match.hollow.radius_mm if match.hollow else float("nan"),
            "ratio": match.ratio,
            "verdict": match.verdict,
            "nearest_usual": as_fraction(match.usual.radius_mm) if match.usual else "",
            "remains_percent": match.remains_percent,
        }
        for match in matches
    ]
    return pd.DataFrame(rows)
