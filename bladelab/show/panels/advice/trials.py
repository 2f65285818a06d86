"""Keep a trial log: a form that adds to the reader's own file, the log at a glance, and what to try next."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ipywidgets as widgets

from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab._remembering import Remembering
from bladelab.advice.measured import MeasuredDifference
from bladelab.advice.propose import advise
from bladelab.advice.quantities import Conditions
from bladelab.advice.single_change import single_changes
from bladelab.advice.trial import RATINGS, Trial, warnings_of, what_changed
from bladelab.advice.trial_log import Reading, TrialLog
from bladelab.book.measured_on_card import measured_differences
from bladelab.shape.blade import Blade
from bladelab.show.controls import blade as controls
from bladelab.show.panel.declare import panel
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.forms import Message, beside
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.card_log import CardLog
from bladelab.show.panels.advice.trials_view import Logged, TrialsView
from bladelab.show.wording.changes import in_words, next_to_try
from bladelab.show.wording.say import say_blade
from bladelab.show.wording.units_shown import UNITS

DEMO_LOG = data_file("demo/trials.csv")
OWN = Path(FOLDER) / "trials.csv"
_SAME, _SLIDERS = "the same blade as last time", "the blade on the sliders"


def _field(kind: Any, name: str, name_width: str = "150px", **traits: Any) -> Any:
    """One field of the form."""
    width, style = widgets.Layout(width="460px"), {"description_width": name_width}
    return kind(description=name, layout=width, style=style, **traits)


#: Trials, conditions, and what was measured between two of the blades.
_Case = tuple[tuple[Trial, ...], Conditions, tuple[MeasuredDifference, ...]]


def _advised(cases: Sequence[_Case]) -> list[Any]:
    return [advise(*case) for case in cases]


# The sliders of the blade only fill in the form: what they leave as it was is not computed again.
_advice = Remembering(_advised, kept=16)


def _conditions(state: SimpleNamespace) -> Conditions:
    return Conditions(state.mass_kg, controls.ice_of(state), state.speed_m_s)


class TrialsPanel(PanelBox):
    """The log of one skater, and a form for the next trial.

    Parameters
    ----------
    own : str or Path
        The file that the form appends to.
    """

    def __init__(self, own: str | Path = OWN) -> None:
        self._file = TrialLog(own)
        self._reading = Reading((), (), ())
        self._added: list[Trial] = []
        self._on_card = CardLog(lambda: _conditions(self.panel.state()))
        logs = self._logs()
        self.source = _field(widgets.Dropdown, "log", options=logs, value=logs[0][1])
        self.skater = _field(widgets.Dropdown, "skater's code")
        self._damage = Message()
        self._quiet = True
        self.read()
        if "D17" in self._reading.skaters:
            self.skater.value = "D17"
        trials = panel(
            "trials",
            TrialsView,
            self.answer,
            controls.rocker_controls(),
            controls.hollow_controls(),
            controls.mass_control(),
            controls.speed_control(),
            controls.ice_controls(),
            tabs=True,
        )()
        self._quiet = False
        self.source.observe(lambda _: self._source_changed(), names="value")
        self.skater.observe(lambda _: self._skater_changed(), names="value")
        choose = beside(self.source, self.skater)
        super().__init__(trials, above=[choose, self._damage], below=[self._form()])
        self._offer()
        UNITS.listen(self._units_changed)
        self._edition = SKATER.edition
        SKATER.listen(self._card_changed)

    @property
    def own(self) -> TrialLog | CardLog:
        """What the form adds to: the card that is open, else the reader's own file."""
        return self._file if SKATER.card is None else self._on_card

    def _logs(self) -> list[tuple[str, Path | CardLog]]:
        """The logs on offer, the card that is open first."""
        path = self._file.path
        card: list[tuple[str, Path | CardLog]] = [(str(self._on_card), self._on_card)] if SKATER.card else []
        return [*card, ("an invented group, to look at", DEMO_LOG), (f"my own: {path.as_posix()}", path)]

    def _card_changed(self) -> None:
        """Show the log of the card that was opened, or as it is now."""
        opened, self._edition = self._edition != SKATER.edition, SKATER.edition
        self._quiet = True
        if opened:
            logs = self._logs()
            self.source.options, self.source.value = logs, logs[0][1]
            self.add_button.description = self._adds()
            self._added.clear()
            self.undo_button.disabled = True
        self.read()
        self._quiet = False
        if opened or self.source.value is self._on_card:
            self._skater_changed()

    def _adds(self) -> str:
        return f"add this trial to {'my own log' if SKATER.card is None else self._on_card}"

    # Reading ------------------------------------------------------------------------------------------------

    def read(self) -> None:
        """Read the chosen log, and say what in it can't be read."""
        try:
            source = self.source.value
            log = source if isinstance(source, CardLog) else TrialLog(source)
            self._reading, trouble = log.read(), ""
        except (InputError, OSError) as problem:
            self._reading, trouble = Reading((), (), ()), str(problem)
        damage = self._reading.damage
        if damage:
            lines = "; ".join(str(d) for d in damage[:5])
            more = f"; and {len(damage) - 5} more" if len(damage) > 5 else ""
            trouble = f"Not read, and left in the file as they are: {lines}{more}."
        self._damage.say(trouble, fault=True)
        before = self.skater.value
        self.skater.options = self._reading.skaters
        if self._reading.skaters:  # after a log without any, the widget chooses none by itself
            self.skater.value = before if before in self._reading.skaters else self._reading.skaters[0]

    def answer(self, state: SimpleNamespace) -> Logged:
        """One skater's trials, and the next change worth trying."""
        trials = self._reading.of(self.skater.value) if self.skater.value else ()
        conditions = _conditions(state)
        if not trials:
            raise InputError("there is no trial in this log yet; fill in the form below and add one")
        ((proposal, agreements),) = _advice([(trials, conditions, self._measured())])
        count = f"{len(trials)} trial{'s' if len(trials) != 1 else ''}"
        makes = proposal.change.blade if proposal.change else None
        next_one = f"next, try {in_words(proposal.change)}" if proposal.change else "nothing to change now"
        if proposal.measured is not None and proposal.why_none == "measured worse":
            makes, next_one = proposal.measured.before, "go back to the better blade"
        said = [
            f"Present blade: {say_blade(trials[-1].blade)}. {next_to_try(proposal)}",
            *warnings_of(trials),
        ]
        pairs = [(a.rating.key, a.agree, a.agree + a.disagree) for a in agreements if a.agree + a.disagree]
        if pairs:
            counts = ", ".join(f"{key} {agree} of {of}" for key, agree, of in pairs)
            said.append(f"Pairs of trials in which skater and model agreed: {counts}. {count} prove little.")
        return Logged(
            finding=f"{self.skater.value}, {count}: {next_one}",
            sentence="\n".join(said),
            trials=trials,
            agreements=agreements,
            makes=makes,
        )

    def _measured(self) -> tuple[MeasuredDifference, ...]:
        """What was measured on the ice, if the log on show is that of the card."""
        if SKATER.card is None or self.source.value is not self._on_card:
            return ()
        return measured_differences(SKATER.card)

    def _source_changed(self) -> None:
        self._quiet = True
        self.read()
        self._quiet = False
        self._skater_changed()

    def _skater_changed(self) -> None:
        if self._quiet:
            return
        if self.skater.value or SKATER.code:
            self.code.value = SKATER.code or self.skater.value
        self._offer()
        self.panel.refresh()

    # The form
    # -------------------------------------------------------------------------------------------------

    def _form(self) -> widgets.Widget:
        self.date = _field(widgets.DatePicker, "date", value=datetime.date.today())
        self.code = _field(
            widgets.Text,
            "skater's code",
            value=SKATER.code or self.skater.value or "",
            placeholder="such as K07; no name",
        )
        self.skated = _field(widgets.Dropdown, "skated on", options=(_SLIDERS,))
        self.name = _field(widgets.Text, "blade's name", placeholder="may stay empty")
        self.ratings = {
            key: _field(widgets.Dropdown, scale.question, "240px", options=_rating_options(key), value="")
            for key, scale in RATINGS.items()
        }
        self.note = _field(widgets.Text, "note", placeholder="one line, no names")
        small = {"layout": widgets.Layout(width="auto")}
        self.add_button = widgets.Button(description=self._adds(), **small)
        self.undo_button = widgets.Button(description="undo the last one added here", disabled=True, **small)
        self.message = Message()
        self.code.observe(lambda _: self._offer(), names="value")
        self.add_button.on_click(lambda _: self.add())
        self.undo_button.on_click(lambda _: self.take_back())
        left = widgets.VBox([self.date, self.code, self.skated, self.name])
        right = widgets.VBox([*self.ratings.values(), self.note])
        head = widgets.HTML("<h3>A new trial</h3>")
        return widgets.VBox(
            [head, beside(left, right), widgets.HBox([self.add_button, self.undo_button]), self.message]
        )

    def _last(self) -> Blade | None:
        """The blade this code skated on last: in the reader's own log, or in the log on show."""
        trials = self._own_reading().of(self.code.value.strip()) or self._reading.of(self.code.value.strip())
        return trials[-1].blade if trials else None

    def _own_reading(self) -> Reading:
        try:
            return self.own.read()
        except (InputError, OSError):
            return Reading((), (), ())

    def _offer(self) -> None:
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

    def _units_changed(self) -> None:
        """Say the blades on offer in the units chosen now, and keep the one that was chosen."""
        chosen = self.skated.index
        self._offer()
        self.skated.index = chosen

    def _entered(self) -> Trial:
        """The trial in the form, if it is one that can be added."""
        blade = self.skated.value or controls.blade_of(self.panel.state())
        day, code = self.date.value, self.code.value
        if day is None:
            raise InputError("the date is missing")
        if day > datetime.date.today():
            raise InputError(f"the date is {day}, which is in the future; it must be today or earlier")
        given = {key: rating.value for key, rating in self.ratings.items() if rating.value != ""}
        changed = what_changed(self._last(), blade)
        trial = Trial(day, code.strip(), blade, given, self.name.value, changed, self.note.value)
        if not given:
            raise InputError("nothing is rated; a trial needs at least one rating")
        before = [one for one in self._own_reading().of(trial.skater) if one.date == day]
        # What changed is no part of it: the second time nothing did.
        if before and replace(before[-1], changed="") == replace(trial, changed=""):
            raise InputError(
                f"the last trial of {trial.skater} on {day} is exactly the same; it is in the log already"
            )
        return trial

    def add(self) -> None:
        """Append the trial in the form to the reader's own log, and show it."""
        try:
            trial = self._entered()
            self.own.append(trial)
        except (InputError, OSError) as problem:
            self.message.say(f"Not added: {problem}.", fault=True)
            return
        self._added.append(trial)
        files = [self._file.path] if SKATER.card is None else []
        self.message.say(f"Added to {self._place}: {trial.date}, {trial.skater}.", files=files)
        self._fill(trial, {}, "")

    def take_back(self) -> None:
        """Take the last trial that this form added out of the log again, and put it back into the form."""
        try:
            self.own.take_back(self._added[-1])
        except (InputError, OSError) as problem:
            self.message.say(f"Not taken back: {problem}.", fault=True)
            return
        trial = self._added.pop()
        self.message.say(f"Taken out of {self._place}: {trial.date}, {trial.skater}.")
        self._fill(trial, trial.ratings, trial.note)

    @property
    def _place(self) -> str:
        return self._file.path.as_posix() if SKATER.card is None else str(self._on_card)

    def _fill(self, trial: Trial, ratings: Mapping[str, int], note: str) -> None:
        """Leave this in the form after a change of the reader's own log, and show that log."""
        self.undo_button.disabled = not self._added
        self.note.value = note
        for key, rating in self.ratings.items():
            rating.value = ratings.get(key, "")
        self._quiet = True
        self.source.value = self._file.path if SKATER.card is None else self._on_card
        self.read()
        if trial.skater in self._reading.skaters:
            self.skater.value = trial.skater
        self._quiet = False
        self._skater_changed()
        self.code.value = trial.skater


def _rating_options(key: str) -> tuple[tuple[str, int | str], ...]:
    scale = RATINGS[key]
    words = {scale.low: f" {scale.low_word}", scale.high: f" {scale.high_word}"}
    if key == "balance":
        words[0] = " right"
    numbers = range(scale.low, scale.high + 1)
    return (("not rated", ""), *((f"{n}{words.get(n, '')}".replace("-", "−"), n) for n in numbers))


def trials_panel() -> TrialsPanel:
    """Keep a trial log."""
    return TrialsPanel()
