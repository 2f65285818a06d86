"""Match: the hollow that gives another rocker the bite, the hold or the yaw hold of the present blade."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from bladelab._checks import number, numbers, one_of, shown, takes
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.advice.match_search import MEASURES, Keep, matches, refuse_arrays, single_stance
from bladelab.advice.quantities import stance_of
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker

if TYPE_CHECKING:
    import pandas as pd


@takes(blade=Blade, rocker=Rocker, stance=Stance, ice=Ice, gliding=bool, keep=str)
def match_hollow(
    blade: Blade, rocker: Rocker, stance: Stance, ice: Ice, keep: Keep = "bite", gliding: bool = True
) -> Hollow:
    """Find the hollow that makes another rocker score like this blade in one stance.

    Definition
    ----------
    The radius r with score(Blade(rocker, Hollow(r, w))) = score(blade), w the width of this blade; the edges
    are as sharp or as dull as those of this blade. All three scores fall as r grows, so there is at most one;
    should there be more, the one nearest to the present hollow is given.

    Parameters
    ----------
    blade : Blade
        The present blade.
    rocker : Rocker
        The rocker to find a hollow for.
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
        Of the same width and edges. The score agrees to 1e-6 relative, mostly to 1e-10.

    Raises
    ------
    ValueError
        If no hollow does it (the message gives the range that can be reached), if the score says nothing in
        this stance (an upright blade has hold angle 0 whatever its hollow), if edges are so dull that there
        is no hold to keep, or if an argument holds arrays.

    Examples
    --------
    >>> from bladelab import Blade, Hollow, Ice, Rocker, Stance
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> hollow = match_hollow(blade, Rocker.single(3352.8, 280.0), Stance(736.0), Ice(), keep="bite")
    >>> print(f"{hollow.radius_mm:.2f} mm")
    12.29 mm
    """
    refuse_arrays(blade, stance, ice)
    one_of("keep", keep, MEASURES)
    (found,) = matches(blade, rocker, single_stance(stance), ice, [keep], np.array([gliding]))
    if found.hollow is None:
        raise InputError(found.reason)
    return found.hollow


#: Steps in which hollows are ordered in metric units, mm, over the range of the usual fractions (common
#: practice; no source).
METRIC_HOLLOWS_MM: tuple[float, ...] = tuple(np.arange(6.5, 38.25, 0.5).tolist())


@takes(hollow=Hollow)
def nearest_usual(hollow: Hollow, of: Sequence[float] = USUAL_HOLLOWS_MM) -> Hollow:
    """Return the usual hollow nearest to this one (by ratio), as a shop would grind it; the same width
    and edges.

    Parameters
    ----------
    of : sequence of float
        The radii that can be ordered, mm.

    Examples
    --------
    >>> from bladelab import Hollow
    >>> nearest_usual(Hollow(12.2, 3.0)).radius_mm
    12.7
    """
    offered = np.atleast_1d(numbers("of", of, "mm", 0.0, low_open=True))
    usual = offered[offered > hollow.width_mm / 2]
    if not usual.size:
        raise InputError(f"of is {shown(of)}; one must be above half the width, {hollow.width_mm / 2:g} mm")
    nearest = usual[np.abs(np.log(usual / hollow.radius_mm)).argmin()]
    return replace(hollow, radius_mm=float(nearest))


def to_order(match: Hollow, present: Hollow, of: Sequence[float] = USUAL_HOLLOWS_MM) -> Hollow:
    """Return the hollow to order for an exact match: the present one, if no available one is closer.

    Hollows within 1 % of each other are the same one, written in another unit.
    """
    best = nearest_usual(match, of)
    far, here = (abs(np.log(one.radius_mm / match.radius_mm)) for one in (best, present))
    same = abs(best.radius_mm / present.radius_mm - 1) < 0.01
    return present if same or here <= far else best


@by_value
@dataclass(frozen=True, eq=False)
class Match:
    """The result of a match in one moment, for one score kept.

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


@takes(blade=Blade, rocker=Rocker, ice=Ice, moments=[Moment])
def match_everywhere(
    blade: Blade,
    rocker: Rocker,
    mass_kg: float,
    ice: Ice,
    moments: Sequence[Moment] = MOMENTS,
    speed_m_s: float = 6.0,
) -> list[Match]:
    """Match every score in every moment: the test of "more steel on the ice lets the hollow be shallower".

    Parameters
    ----------
    blade : Blade
        The present blade.
    rocker : Rocker
        The rocker to find a hollow for.
    mass_kg : float
        The skater's mass with equipment, kg.
    ice : Ice
    moments : sequence of Moment
    speed_m_s : float
        Of the gliding moments, m/s, 0.2 to 30; only pressed ice depends on it.

    Returns
    -------
    list of Match
        Moment by moment, in each the bite, the hold and the yaw hold. A match that does not exist has its
        reason; upright moments have none by hold.

    Raises
    ------
    ValueError
        If the present blade can't be solved in one of the moments, or an argument holds arrays.

    Examples
    --------
    >>> from bladelab import MOMENTS, Blade, Hollow, Ice, Rocker
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> len(match_everywhere(blade, Rocker.single(3352.8, 280.0), 75.0, Ice(), MOMENTS[:1]))
    3
    """
    if not moments:
        raise InputError("moments is empty; it must hold at least one moment")
    pairs = [(moment, keep) for moment in moments for keep in MEASURES]
    stances = stance_of(
        [moment for moment, _ in pairs], mass_kg, number("speed_m_s", speed_m_s, "m/s", 0.2, 30.0)
    )
    refuse_arrays(blade, pairs[0][0].stance(mass_kg), ice)
    gliding = np.array([moment.gliding for moment, _ in pairs])
    found_here = matches(blade, rocker, stances, ice, [keep for _, keep in pairs], gliding)
    found = []
    for (moment, keep), here in zip(pairs, found_here, strict=True):
        usual = nearest_usual(here.hollow) if here.hollow else None
        left = 100 * (here.usual[usual.radius_mm] / here.target - 1) if usual else float("nan")
        ratio = here.hollow.radius_mm / blade.hollow.radius_mm if here.hollow else float("nan")
        unit = MEASURES[keep][1]
        found.append(Match(moment, keep, here.target, unit, here.hollow, usual, left, ratio, here.reason))
    return found


@takes(matches=[Match])
def match_table(matches: Sequence[Match]) -> pd.DataFrame:
    """Return matches as a table: moment, what is kept, the present score, the hollow that keeps it, and the
    verdict.

    Examples
    --------
    >>> from bladelab import MOMENTS, Blade, Hollow, Ice, Rocker, match_everywhere
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> found = match_everywhere(blade, Rocker.single(3352.8, 280.0), 75.0, Ice(), MOMENTS[:1])
    >>> len(match_table(found))
    3
    """
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
            "nearest_usual_mm": match.usual.radius_mm if match.usual else float("nan"),
            "remains_percent": match.remains_percent,
        }
        for match in matches
    ]
    return pd.DataFrame(rows)
