"""In which order two blades are skated: drawn at random, so that neither is favoured by the time of day."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import number, one_of
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab._values import by_value

#: The designs, and what each is for.
DESIGNS = {
    "pairs": "each pair in an order drawn at random; the best choice where changing takes a minute",
    "ABBA": "blocks ABBA or BAAB, drawn at random: half the changes, and a steady drift cancels",
    "ABA": "all on A, all on B, all on A again: two changes, nothing drawn; a drift that bends stays in",
}
MOST_UNITS = 500
#: The scatter of one difference over that of a single run: two runs, four runs in two means, three in two.
SCATTER = {"pairs": np.sqrt(2), "ABBA": 1.0, "ABA": np.sqrt(1.5)}


@by_value
@dataclass(frozen=True, eq=False)
class RunOrder:
    """The blade of each run of a session.

    Attributes
    ----------
    design : str
        A key of `DESIGNS`.
    units : int
        Of how many differences the result is made: pairs, blocks, or runs in each phase of ABA.
    seed : int
        Draws the same order again.
    runs : str
        ``"A"`` or ``"B"`` for each run, in order.

    Examples
    --------
    >>> from bladelab.rink.order import draw_order
    >>> order = draw_order(3, "ABBA", seed=7)
    >>> len(order.runs), order.runs.count("B")
    (12, 6)
    """

    design: str
    units: int
    seed: int
    runs: str

    @property
    def blocks(self) -> tuple[str, ...]:
        """The runs as they belong together: ``("AB", "BA")``, ``("ABBA",)`` or ``("AAA", "BBB", "AAA")``."""
        size = {"pairs": 2, "ABBA": 4, "ABA": self.units}[self.design]
        return tuple(self.runs[at : at + size] for at in range(0, len(self.runs), size))

    @property
    def changes(self) -> int:
        """How often the steel is changed on the way."""
        return sum(one != other for one, other in zip(self.runs, self.runs[1:], strict=False))

    def members(self) -> list[tuple[list[int], list[int]]]:
        """Return for each unit which runs, from 0, are on A and which on B."""
        if self.design == "ABA":
            n = self.units
            return [([i, i + 2 * n], [i + n]) for i in range(n)]
        size = 2 if self.design == "pairs" else 4
        return [
            tuple([at + i for i in range(size) if self.runs[at + i] == blade] for blade in "AB")  # type: ignore[misc]
            for at in range(0, len(self.runs), size)
        ]

    def means(self, times: Array) -> tuple[Array, Array]:
        """Return the mean time of A and of B in each unit that is complete.

        Parameters
        ----------
        times : array (runs,)
            NaN for a run that is missing.
        """
        both = np.array([[np.mean(times[list(runs)]) for runs in unit] for unit in self.members()])
        whole = both[~np.isnan(both).any(axis=1)]
        return whole[:, 0], whole[:, 1]


def order_of_runs(runs: str, block: int = 0) -> RunOrder:
    """Return the order in which runs were skated, as one of the designs.

    Parameters
    ----------
    runs : str
        ``"A"`` or ``"B"`` for each run.
    block : int
        How many runs belong together: 2 for pairs, 4 for ABBA, more for a phase of ABA. Left out: pairs, if
        they can be, else the first design that fits.

    Raises
    ------
    ValueError
        If the runs are of no design.

    Examples
    --------
    >>> order_of_runs("BAAB").design, order_of_runs("BAABABBA", 4).design, order_of_runs("AABBAA").design
    ('pairs', 'ABBA', 'ABA')
    """
    length = len(runs)
    for design, size in (("pairs", 2), ("ABBA", 4), ("ABA", length // 3)):
        if block not in (0, size) or not size or length % size or not length:
            continue
        units = size if design == "ABA" else length // size
        order = RunOrder(design, units, 0, runs)
        either = {"pairs": ("AB", "BA"), "ABBA": ("ABBA", "BAAB")}.get(design)
        if (
            all(one in either for one in order.blocks)
            if either
            else runs == "A" * size + "B" * size + "A" * size
        ):
            return order
    raise InputError(
        f"the runs are {runs[:40]!r}; they must be pairs of A and B, blocks ABBA or BAAB, or all on "
        "A, all on B, all on A"
    )


def checked_design(design: str) -> str:
    """Return the design, if it is one."""
    return one_of("design", design, DESIGNS)


def draw_order(units: int, design: str = "pairs", seed: int = 1) -> RunOrder:
    """Draw the order of runs.

    Parameters
    ----------
    units : int
        Pairs, blocks of four, or runs in each of the three phases of ABA: 2 to 500.
    design : str
        ``"pairs"``, ``"ABBA"`` or ``"ABA"``; see `DESIGNS`.
    seed : int
        0 to 2**31: the same one draws the same order.

    Returns
    -------
    RunOrder

    Raises
    ------
    ValueError
        If there is no such design, or a number is out of range.

    Examples
    --------
    >>> draw_order(5, "ABA").runs
    'AAAAABBBBBAAAAA'
    >>> draw_order(4, "pairs", seed=3) == draw_order(4, "pairs", seed=3)
    True
    """
    count = int(number("units", units, "", 2, MOST_UNITS))
    kept = int(number("seed", seed, "", 0, 2**31))
    if checked_design(design) == "ABA":
        return RunOrder(design, count, kept, "A" * count + "B" * count + "A" * count)
    either = ("AB", "BA") if design == "pairs" else ("ABBA", "BAAB")
    tossed = np.random.default_rng(kept).integers(0, 2, count)
    return RunOrder(design, count, kept, "".join(either[side] for side in tossed))
