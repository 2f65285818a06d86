"""The form for the next trial, beside the log that it is added to."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from dataclasses import replace

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.advice.single_change import single_changes
from bladelab.advice.trial import RATINGS, Trial, what_changed
from bladelab.advice.trial_log import Reading, TrialLog
from bladelab.shape.blade import Blade
from bladelab.show.panel.forms import Message, beside, button, field, past_day
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.card_log import CardLog
from bladelab.show.wording.changes import in_words
from bladelab.show.wording.say import say_blade
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import minus

_SAME, _SLIDERS = "the same blade as last time", "the blade on the sliders"


class TrialForm(widgets.VBox):
    """What was skated, when, by whom, and how it felt; and the way back out of the log.

    Parameters
    ----------
    own : callable
        Returns the log that the form adds to: a `TrialLog` or a `CardLog`.
    shown : callable
        Returns the `Reading` of the log on show.
    on_sliders : callable
        Returns the blade on the sliders.
    changed : callable
        Gets the trial that was added or taken back.

    Attributes
    ----------
    date, code, skated, name, note : Widget
        The fields; `skated` offers blades.
    ratings : dict of str to Dropdown
        By the key of the rating; ``""`` is one that is not given.
    message : Message
        What became of the last press of a button.
    """

    def __init__(
        self,
        own: Callable[[], TrialLog | CardLog],
        shown: Callable[[], Reading],
        on_sliders: Callable[[], Blade],
        changed: Callable[[Trial], object],
    ) -> None:
        self._own, self._shown, self._on_sliders, self._changed = own, shown, on_sliders, changed
        self._added: list[Trial] = []
        self.date = field(widgets.DatePicker, "date", value=datetime.date.today())
        self.code = field(widgets.Text, "skater's code", placeholder="such as K07; no name")
        self.skated = field(widgets.Dropdown, "skated on", options=(_SLIDERS,))
        self.name = field(widgets.Text, "blade's name", placeholder="may stay empty")
        self.ratings = {
            key: field(widgets.Dropdown, scale.question, "240px", options=_rating_options(key), value="")
            for key, scale in RATINGS.items()
        }
        self.note = field(widgets.Text, "note", placeholder="one line, no names")
        self.add_button = button("", self.add, once=True)
        self.undo_button = button("undo the last one added here", self.take_back)
        self.message = Message()
        self.begin()
        self.code.observe(lambda _: self.offer(), names="value")
        left = widgets.VBox([self.date, self.code, self.skated, self.name])
        right = widgets.VBox([*self.ratings.values(), self.note])
        super().__init__(
            [
                widgets.HTML("<h3>A new trial</h3>"),
                beside(left, right),
                beside(self.add_button, self.undo_button),
                self.message,
            ]
        )
        UNITS.listen(self._units_changed)

    def begin(self) -> None:
        """Begin with the log that trials are added to from now on: nothing was added to it here."""
        log = self._own()
        self.add_button.description = f"add this trial to {log if isinstance(log, CardLog) else 'my own log'}"
        self._added.clear()
        self.undo_button.disabled = True

    def offer(self) -> None:
        """Offer the blades that may have been skated: the last one, each single change of it, the sliders."""
        last, card = self._last(), SKATER.card
        options: list[tuple[str, Blade | None]] = [(_SLIDERS, None)]
        if last:
            options = [
                (_SAME, last),
                *((in_words(change), change.blade) for change in single_changes(last)),
                *options,
            ]
        if card is not None and card.trial is not None:
            options.insert(0, (f"the trial: {say_blade(card.trial)}", card.trial))
        self.skated.options = options
        self.skated.index = 0

    def add(self) -> None:
        """Append the trial in the form to the log, and leave the form ready for the next."""
        try:
            trial = self._entered()
            self._own().append(trial)
        except (InputError, OSError) as problem:
            self.message.say(f"Not added: {problem}.", fault=True)
            return
        self._added.append(trial)
        log = self._own()
        files = [log.path] if isinstance(log, TrialLog) else []
        self.message.say(f"Added to {log}: {trial.date}, {trial.skater}.", files=files)
        self._fill(trial, {}, "")

    def take_back(self) -> None:
        """Take the last trial that this form added out of the log again, and put it back into the form."""
        try:
            self._own().take_back(self._added[-1])
        except (InputError, OSError) as problem:
            self.message.say(f"Not taken back: {problem}.", fault=True)
            return
        trial = self._added.pop()
        self.message.say(f"Taken out of {self._own()}: {trial.date}, {trial.skater}.")
        self._fill(trial, trial.ratings, trial.note)

    def _fill(self, trial: Trial, ratings: Mapping[str, int], note: str) -> None:
        self.undo_button.disabled = not self._added
        self.note.value = note
        for key, rating in self.ratings.items():
            rating.value = ratings.get(key, "")
        self._changed(trial)
        self.code.value = trial.skater

    def _last(self) -> Blade | None:
        """The blade this code skated on last: in the log that is added to, or in the log on show."""
        code = self.code.value.strip()
        trials = self._before().of(code) or self._shown().of(code)
        return trials[-1].blade if trials else None

    def _before(self) -> Reading:
        try:
            return self._own().read()
        except (InputError, OSError):
            return Reading((), (), ())

    def _units_changed(self) -> None:
        """Say the blades on offer in the units chosen now, and keep the one that was chosen."""
        chosen = self.skated.index
        self.offer()
        self.skated.index = chosen

    def _entered(self) -> Trial:
        """The trial in the form, if it is one that can be added."""
        blade = self.skated.value or self._on_sliders()
        day, code = past_day("date", self.date.value), self.code.value
        given = {key: rating.value for key, rating in self.ratings.items() if rating.value != ""}
        changed = what_changed(self._last(), blade)
        trial = Trial(day, code.strip(), blade, given, self.name.value, changed, self.note.value)
        if not given:
            raise InputError("nothing is rated; a trial needs at least one rating")
        before = [one for one in self._before().of(trial.skater) if one.date == day]
        # What changed is no part of it: the second time nothing did.
        if before and replace(before[-1], changed="") == replace(trial, changed=""):
            raise InputError(
                f"the last trial of {trial.skater} on {day} is exactly the same; it is in the log already"
            )
        return trial


def _rating_options(key: str) -> tuple[tuple[str, int | str], ...]:
    scale = RATINGS[key]
    words = {scale.low: f" {scale.low_word}", scale.high: f" {scale.high_word}"}
    if key == "balance":
        words[0] = " right"
    numbers = range(scale.low, scale.high + 1)
    return (("not rated", ""), *((minus(f"{n}{words.get(n, '')}"), n) for n in numbers))
