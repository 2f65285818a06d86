"""What a skater may wish for, the number that answers to it, and how far a blade grants it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.advice.evaluate import evaluate_and_draw_all
from bladelab.advice.quantities import QUANTITIES, Conditions, change
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker


@dataclass(frozen=True)
class Wish:
    """What a skater may wish for, and the number that answers to it (our reading; no source).

    Attributes
    ----------
    word : str
        As the skater says it: "quicker".
    less : str
        What it is called when it goes the other way: "less quick".
    quantity : str
        Key of `QUANTITIES`, or "step" for how sharp the change between zones is.
    moment : str
        The moment in which it is computed; "" for "step".
    sign : int
        +1 if more of the quantity grants the wish, -1 if less.
    means : str
        What is computed, in words.
    """

    word: str
    less: str
    quantity: str
    moment: str
    sign: int
    means: str


WISHES: dict[str, Wish] = {
    w.word: w
    for w in (
        Wish("quicker", "less quick", "carve", "tight turn", -1, "a smaller carve radius in the tight turn"),
        Wish("steadier", "less steady", "rock", "one-foot glide", -1, "less rock in the one-foot glide"),
        Wish(
            "more forward",
            "further back",
            "pitch",
            "one-foot glide",
            1,
            "the boot tipped further forward in the one-foot glide",
        ),
        Wish(
            "more back",
            "further forward",
            "pitch",
            "one-foot glide",
            -1,
            "the boot tipped further back in the one-foot glide",
        ),
        Wish(
            "more glide",
            "less glide",
            "friction",
            "one-foot glide",
            -1,
            "less friction in the one-foot glide",
        ),
        Wish("more hold", "less hold", "hold", "stride push", 1, "a larger hold angle in the stride push"),
        Wish(
            "smoother", "less smooth", "step", "", -1, "a smaller change of rock within 20 mm along the blade"
        ),
        Wish(
            "sharper change between zones",
            "softer change between zones",
            "step",
            "",
            1,
            "a larger change of rock within 20 mm along the blade",
        ),
    )
}

#: What a position is often said to need; a starting point for talking, not a rule (common practice, no
#: source).
POSITIONS: dict[str, tuple[str, ...]] = {
    "forward": ("quicker", "more forward"),
    "defence": ("steadier", "more hold"),
    "all-round": ("more glide", "more hold"),
}

# Two blades whose numbers are nearer than this are taken as equal: per cent of the present value, or degrees.
_EQUAL_PERCENT, _EQUAL_DEG = 0.25, 0.01
_WINDOW_MM = 20.0


def step_deg(rocker: Rocker) -> float:
    """Return how sharply the zones of a rocker change: the largest change of its rock within 20 mm, deg/10
    mm.

    Definition
    ----------
    The largest |kappa(x + 20 mm) - kappa(x)| along the blade, times 10 mm, in degrees. 0 on a single radius;
    a blend of 20 mm leaves a step as it is, a longer one softens it.
    """
    half = rocker.length_mm / 2
    window = min(_WINDOW_MM, rocker.length_mm / 2)
    # On either side of each place where the curvature bends, the largest change within the window begins or
    # ends.
    bends = rocker.curve.breaks[0]
    starts = np.unique(np.clip(np.concatenate([bends, bends - window, bends - 1e-6]), -half, half - window))
    kappa = rocker.curve.kappa_at
    return float(np.degrees(np.abs(kappa(starts + window) - kappa(starts)).max() * 10))


def checked_wishes(words: Iterable[str]) -> tuple[Wish, ...]:
    """Return the wishes of these words.

    Raises
    ------
    ValueError
        If a word is unknown, there is none, or two wishes are opposites.
    """
    words = tuple(dict.fromkeys(words))
    if unknown := [word for word in words if word not in WISHES]:
        raise InputError(f"no wish is called {unknown[0]!r}; there are {', '.join(WISHES)}")
    if not words:
        raise InputError("nothing is wished for; choose at least one wish")
    wishes = tuple(WISHES[word] for word in words)
    for one, other in combinations(wishes, 2):
        if (one.quantity, one.moment) == (other.quantity, other.moment):
            raise InputError(f"{one.word} and {other.word} are opposites; choose one of them")
    return wishes


def thresholds(wishes: Sequence[Wish]) -> Array:
    """Return by how much each wish must be granted to count as granted: per cent, or degrees."""
    return np.array([_EQUAL_PERCENT if in_percent(wish) else _EQUAL_DEG for wish in wishes])


def in_percent(wish: Wish) -> bool:
    """Return whether a wish is counted in per cent of the present value, and not in degrees."""
    return wish.quantity != "step" and QUANTITIES[wish.quantity].percent


def direct_gains(blade: Blade, present: Blade, conditions: Conditions, wishes: Sequence[Wish]) -> Array:
    """Return how well one blade does on each wish compared with another, computed directly; as
    `Frontier.gains`."""
    return gains_along([present, blade], conditions, wishes)[0]


def gains_along(blades: Sequence[Blade], conditions: Conditions, wishes: Sequence[Wish]) -> list[Array]:
    """Return the `direct_gains` of each blade but the first against the one before it, all in one call."""
    keys = tuple({wish.quantity for wish in wishes} - {"step"})
    found = evaluate_and_draw_all([(blade, ()) for blade in blades], conditions, keys)
    known = [(blade, values) for blade, (values,) in zip(blades, found, strict=True)]
    return [_gains(after, before, conditions, wishes) for before, after in pairwise(known)]


def _gains(
    after: tuple[Blade, dict[str, Array]],
    before: tuple[Blade, dict[str, Array]],
    conditions: Conditions,
    wishes: Sequence[Wish],
) -> Array:
    names = [moment.name for moment in conditions.moments]
    (blade, values), (present, present_values) = after, before
    gains = []
    for wish in wishes:
        if wish.quantity == "step":
            gains.append(wish.sign * (step_deg(blade.rocker) - step_deg(present.rocker)))
            continue
        i = names.index(wish.moment)
        now, was = values[wish.quantity][i], present_values[wish.quantity][i]
        gains.append(wish.sign * change(was, now, wish.quantity))
    return np.array(gains)
