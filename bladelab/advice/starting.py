"""A starting blade: of a family, the blades that nothing else beats on every wish at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import takes
from bladelab._errors import InputError
from bladelab._types import Array, Truths
from bladelab._values import by_value
from bladelab.advice.family_scores import FamilyScores
from bladelab.advice.quantities import change
from bladelab.advice.wishes import Wish, checked_wishes, step_deg, thresholds
from bladelab.shape.blade import Blade


@by_value
@dataclass(frozen=True, eq=False)
class Frontier:
    """The blades of a family that no other beats on every wish at once, with as few steps from the present
    blade.

    Attributes
    ----------
    scores : FamilyScores
    wishes : tuple of Wish
    members : array (n,)
        Numbers of the blades in the family, the fewest steps first, then the best on the first wish, then
        those with the fewest radii.
    gains : array (n, wishes)
        How well each does on each wish, more is better: per cent of the present value; degrees for pitch and
        step.
    steps : array (n,)
        Single changes from the present blade.
    all_gains : array (blades, wishes)
        The gains of the whole family.
    conflicts : tuple of str
        A sentence for each pair of wishes that no blade of the family meets together.
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
        better: Truths = np.all(self.gains > thresholds(self.wishes), axis=1)
        return better

    def blade(self, member: int) -> Blade:
        """Return the blade at a place on the frontier."""
        return self.scores.family.blade(int(self.members[member]))

    @property
    def sentence(self) -> str:
        """How many blades are left, and which wishes pull against each other."""
        count, all_of_them = len(self.members), int(self.grants_all.sum())
        said = f"{count:,} of {len(self.scores.family):,} blades are worth a look: "
        said += "no other beats them on every wish"
        if len(self.wishes) > 1:
            said += f"; {all_of_them or 'none'} of them grant{'s' if all_of_them <= 1 else ''} every wish"
        said += "."
        return " ".join([said, *self.conflicts])


@takes(scores=FamilyScores, words=[str])
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

    Examples
    --------
    >>> from bladelab import WISHES, Blade, Conditions, Family, Hollow, Rocker, score_family
    >>> blade = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))
    >>> scores = score_family(Family(blade, 1, 0, 1), Conditions(75.0))
    >>> word = next(iter(WISHES))
    >>> len(frontier(scores, [word]).members) > 0
    True
    """
    wishes = checked_wishes(words)
    gains = np.stack([_gain(scores, wish) for wish in wishes], axis=1)
    usable = np.nonzero(np.isfinite(gains).all(axis=1))[0]
    levels = np.round(gains[usable] / thresholds(wishes)).astype(int)
    costs = np.column_stack([-levels, scores.family.steps_away[usable]])
    kept = usable[unbeaten(costs)]
    steps = scores.family.steps_away[kept]
    # Blades that differ only where the contact never comes gain the same, but for the last digits: of those
    # the one with the fewest radii goes first.
    shape = np.unravel_index(kept, scores.family.dimensions)[0]
    radii = np.array([len(set(one.feet)) for one in scores.family.shapes])[shape]
    order = np.lexsort((radii, -np.round(gains[kept, 0], 6), steps))
    members = kept[order]
    return Frontier(
        scores, wishes, members, gains[members], steps[order], gains, tuple(_conflicts(wishes, gains[usable]))
    )


def unbeaten(costs: Array) -> NDArray[np.int_]:
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


def _gain(scores: FamilyScores, wish: Wish) -> Array:
    """How well each blade does on the wish compared with the present one; (blades,)."""
    family = scores.family
    if wish.quantity == "step":
        _, pivots, hollows = family.dimensions
        each = np.array([step_deg(shape.rocker) for shape in family.shapes])
        return wish.sign * (np.repeat(each, pivots * hollows) - step_deg(family.present.rocker))
    names = [moment.name for moment in scores.conditions.moments]
    if wish.moment not in names:
        raise InputError(
            f"{wish.word} is judged in the {wish.moment}, which is not among the moments computed"
        )
    i = names.index(wish.moment)
    values, present = scores.values[wish.quantity][:, i], scores.present[wish.quantity][i]
    gain: Array = change(present, values, wish.quantity)
    return wish.sign * gain


def _conflicts(wishes: Sequence[Wish], gains: Array) -> list[str]:
    enough = gains > thresholds(wishes)
    said = [
        f'The wish "{wish.word}" can\'t be met in this family: no blade has {wish.means}.'
        for i, wish in enumerate(wishes)
        if not enough[:, i].any()
    ]
    for i, j in combinations(range(len(wishes)), 2):
        if enough[:, i].any() and enough[:, j].any() and not (enough[:, i] & enough[:, j]).any():
            said.append(
                f'"{wishes[i].word.capitalize()}" and "{wishes[j].word}" pull against each other: no '
                "blade in this family gives you both. The frontier shows what one costs the other."
            )
    return said
