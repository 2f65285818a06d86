"""The trials on the card that is open: the same face as the log in a file."""

from __future__ import annotations

from collections.abc import Callable

from bladelab._errors import InputError
from bladelab.advice.quantities import Conditions
from bladelab.advice.trial import Trial
from bladelab.advice.trial_log import Reading
from bladelab.book.entry import Entry
from bladelab.book.happenings import Struck, Tried
from bladelab.show.panel.skater import SKATER


class CardLog:
    """The trials of the skater whose card is open.

    Parameters
    ----------
    conditions : callable
        Returns the `Conditions` of the day, which are kept with each trial.
    """

    def __init__(self, conditions: Callable[[], Conditions]) -> None:
        self._conditions = conditions

    def __str__(self) -> str:
        return f"the card of {SKATER.code}"

    def read(self) -> Reading:
        """Read every trial that counts."""
        trials = tuple(_trial(entry) for entry in self._entries())
        return Reading(trials, tuple(range(1, len(trials) + 1)), ())

    def append(self, trial: Trial) -> None:
        """Write a trial on the card, with the skater's weight, the ice and the speed.

        Raises
        ------
        InputError
            If it is another skater's, or the book can't be written.
        """
        if trial.skater != SKATER.code:
            raise InputError(
                f"the code is {trial.skater}; the card that is open is {SKATER.code}'s: choose that skater"
            )
        now = self._conditions()
        tried = Tried(
            trial.blade, trial.ratings, trial.name, trial.changed, now.mass_kg, now.ice.temperature_C,
            now.speed_m_s,
        )  # fmt: skip
        SKATER.write(tried, on=trial.date, note=trial.note)

    def take_back(self, trial: Trial) -> None:
        """Strike out the last entry of exactly this trial; it stays readable in the book.

        Raises
        ------
        InputError
            If there is none, or the book can't be written.
        """
        same = [entry for entry in self._entries() if _trial(entry) == trial]
        if not same:
            raise InputError(f"the card has no such trial of {trial.date}")
        SKATER.write(Struck(same[-1].number, "taken back"))

    @staticmethod
    def _entries() -> tuple[Entry, ...]:
        return SKATER.card.trials if SKATER.card else ()


def _trial(entry: Entry) -> Trial:
    tried = entry.what
    assert isinstance(tried, Tried)
    return Trial(entry.on, entry.skater, tried.blade, tried.ratings, tried.name, tried.changed, entry.note)
