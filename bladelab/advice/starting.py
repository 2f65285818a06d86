"""A starting blade: of a family, the blades that no other beats on every wish at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from bladelab.advice.family import FamilyScores
from bladelab.advice.quantities import QUANTITIES, Conditions, evaluate_and_draw_all
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker

Array = NDArray[np.float64]


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
        Key of `QUANTITIES`, or "step" for how distinct the steps of the rocker are.
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
            "more distinct",
            "less distinct",
            "step",
            "",
            1,
            "a larger change of rock within 20 mm along the blade",
        ),
    )
}

#: What a position on the ice is often said to ask for; a start for talking, no rule (common practice, no
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
    """Return how distinct the steps of a rocker are: the largest change of its rock within 20 mm, deg/10 mm.

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
        If a word is unknown, there is none, or two wishes ask for the opposite of one and the same thing.
    """
    words = tuple(dict.fromkeys(words))
    if unknown := [word for word in words if word not in WISHES]:
        raise ValueError(f"no wish is called {unknown[0]!r}; there are {', '.join(WISHES)}")
    if not words:
        raise ValueError("nothing is wished for; choose at least one wish")
    wishes = tuple(WISHES[word] for word in words)
    for one, other in combinations(wishes, 2):
        if (one.quantity, one.moment) == (other.quantity, other.moment):
            raise ValueError(f"{one.word} and {other.word} are opposites of one thing; choose one of the two")
    return wishes


@dataclass(frozen=True)
class Frontier:
    """The blades of a family that no other beats on every wish at once, with as few steps from the present
    blade.

    Attributes
    ----------
    scores : FamilyScores
    wishes : tuple of Wish
    members : array (n,)
        Numbers of the blades in the family, the fewest steps first, then the best on the first wish.
    gains : array (n, wishes)
        How far each grants each wish, more is better: per cent of the present value; degrees for pitch and
        step.
    steps : array (n,)
        Single changes from the present blade.
    all_gains : array (blades, wishes)
        The gains of the whole family.
    conflicts : tuple of str
        A sentence for each pair of wishes that no blade of the family grants both of.
    """

    scores: FamilyScores
    wishes: tuple[Wish, ...]
    members: NDArray[np.int_]
    gains: Array
    steps: NDArray[np.int_]
    all_gains: Array
    conflicts: tuple[str, ...]

    @property
    def grants_all(self) -> NDArray[np.bool_]:
        """Which members are better than the present blade on every wish; (n,)."""
        return np.all(self.gains > _thresholds(self.wishes), axis=1)

    def blade(self, member: int) -> Blade:
        """Return the blade at a place on the frontier."""
        return self.scores.family.blade(int(self.members[member]))

    @property
    def sentence(self) -> str:
        """How many blades are left, and which wishes pull against each other."""
        count, all_of_them = len(self.members), int(self.grants_all.sum())
        said = f"Of {len(self.scores.family):,} blades {count:,} are beaten by no other on every wish at once"
        if len(self.wishes) > 1:
            said += f"; {all_of_them or 'none'} of them grant{'s' if all_of_them <= 1 else ''} every wish."
        else:
            said += "."
        return " ".join([said, *self.conflicts])


def frontier(scores: FamilyScores, words: Iterable[str]) -> Frontier:
    """Find the blades of a scored family that no other beats on every wish at once.

    Definition
    ----------
    One blade beats another if it is at least as good on every wish and no more steps from the present blade,
    and better in one of them. Gains nearer than 0.25 % (0.01 degrees) count as equal. The number of steps
    always counts, so that one wish alone does not lead to the most extreme blade, and no change stays that
    grants nothing.

    Parameters
    ----------
    scores : FamilyScores
    words : iterable of str
        Wishes, of `WISHES`.

    Returns
    -------
    Frontier

    Raises
    ------
    ValueError
        As `checked_wishes`, or if a wish needs a moment that was not computed.
    """
    wishes = checked_wishes(words)
    gains = np.stack([_gain(scores, wish) for wish in wishes], axis=1)
    usable = np.nonzero(np.isfinite(gains).all(axis=1))[0]
    levels = np.round(gains[usable] / _thresholds(wishes)).astype(int)
    costs = np.column_stack([-levels, scores.family.steps_away[usable]])
    kept = usable[unbeaten(costs)]
    steps = scores.family.steps_away[kept]
    order = np.lexsort((-gains[kept, 0], steps))
    members = kept[order]
    return Frontier(
        scores, wishes, members, gains[members], steps[order], gains, tuple(_conflicts(wishes, gains[usable]))
    )


def unbeaten(costs: NDArray[Any]) -> NDArray[np.int_]:
    """Return the rows that no other row beats: nowhere larger and somewhere smaller; (rows, columns), less is
    better."""
    # A row can only be beaten by one whose sum is smaller: taken in this order, the first one left is
    # unbeaten.
    order = np.argsort(costs.sum(axis=1), kind="stable")
    left, found = costs[order], []
    while len(order):
        first = left[0]
        same = (left == first).all(axis=1)
        found.append(order[same])
        stays = (left < first).any(axis=1)
        order, left = order[stays], left[stays]
    return np.sort(np.concatenate(found)) if found else np.zeros(0, dtype=int)


def _thresholds(wishes: Sequence[Wish]) -> Array:
    return np.array([_EQUAL_PERCENT if _percent(wish) else _EQUAL_DEG for wish in wishes])


def _percent(wish: Wish) -> bool:
    return wish.quantity != "step" and QUANTITIES[wish.quantity].percent


def _gain(scores: FamilyScores, wish: Wish) -> Array:
    """How far each blade grants the wish against the present one; (blades,)."""
    family = scores.family
    if wish.quantity == "step":
        _, pivots, hollows = family.dimensions
        each = np.array([step_deg(shape.rocker) for shape in family.shapes])
        return wish.sign * (np.repeat(each, pivots * hollows) - step_deg(family.present.rocker))
    names = [moment.name for moment in scores.conditions.moments]
    if wish.moment not in names:
        raise ValueError(
            f"{wish.word} is judged in the {wish.moment}, which is not among the moments computed"
        )
    i = names.index(wish.moment)
    values, present = scores.values[wish.quantity][:, i], scores.present[wish.quantity][i]
    return wish.sign * (100 * (values / present - 1) if _percent(wish) else values - present)


def _conflicts(wishes: Sequence[Wish], gains: Array) -> list[str]:
    enough = gains > _thresholds(wishes)
    said = [
        f"No blade of this family is {wish.word} than the present one: {wish.means} is not to be had."
        for i, wish in enumerate(wishes)
        if not enough[:, i].any()
    ]
    for i, j in combinations(range(len(wishes)), 2):
        if enough[:, i].any() and enough[:, j].any() and not (enough[:, i] & enough[:, j]).any():
            said.append(
                f"{wishes[i].word.capitalize()} and {wishes[j].word} pull against each other: no blade of "
                "this family is both. The frontier shows what one costs the other."
            )
    return said


def direct_gains(blade: Blade, present: Blade, conditions: Conditions, wishes: Sequence[Wish]) -> Array:
    """Return how far one blade grants each wish against another, computed directly; as `Frontier.gains`."""
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
        gains.append(wish.sign * (100 * (now / was - 1) if _percent(wish) else now - was))
    return np.array(gains)
