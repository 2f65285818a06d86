"""Keep a trial log: a form that adds to the reader's own file, the log at a glance, and what to try next."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from types import SimpleNamespace

import ipywidgets as widgets
import numpy as np

from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab._remembering import Remembering
from bladelab.advice.agreement import Agreement
from bladelab.advice.measured import MeasuredDifference
from bladelab.advice.propose import Proposal, advise
from bladelab.advice.quantities import Conditions
from bladelab.advice.trial import Trial, warnings_of
from bladelab.advice.trial_log import Reading, TrialLog
from bladelab.book.measured_on_card import measured_differences
from bladelab.book.rink_happenings import Preferred
from bladelab.physics.moments import MOMENTS
from bladelab.physics.possible_ices import Span, all_possible
from bladelab.physics.solving import frictions_of
from bladelab.show.controls import blade as controls
from bladelab.show.panel.declare import panel
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.forms import Message, beside, field
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.card_log import CardLog
from bladelab.show.panels.advice.trial_form import TrialForm
from bladelab.show.panels.advice.trials_view import Logged, TrialsView
from bladelab.show.wording.changes import in_words, next_to_try
from bladelab.show.wording.say import say_blade, say_day, say_friction
from bladelab.show.wording.say_rink import said_of_rink
from bladelab.show.wording.words import counted

DEMO_LOG = data_file("demo/trials.csv")
OWN = Path(FOLDER) / "trials.csv"


#: Trials, conditions, and what was measured between two of the blades.
_Case = tuple[tuple[Trial, ...], Conditions, tuple[MeasuredDifference, ...]]


def _advised(cases: Sequence[_Case]) -> list[tuple[Proposal, tuple[Agreement, ...]]]:
    return [advise(*case) for case in cases]


# The sliders of the blade only fill in the form: what they leave as it was is not computed again.
_advice = Remembering(_advised, kept=16)


def _friction_said(
    trials: Sequence[Trial], conditions: Conditions, agreements: Sequence[Agreement]
) -> list[str]:
    """The friction behind the last mark for glide, with its range; none without a mark."""
    (glide,) = (one for one in agreements if one.rating.quantity == "friction")
    if not len(glide.ratings):
        return []
    blade = next(trial.blade for trial in reversed(trials) if glide.rating.key in trial.ratings)
    stance = next(moment for moment in MOMENTS if moment.name == glide.rating.moment).stance(
        conditions.mass_kg, conditions.speed_m_s
    )
    ices = all_possible(float(conditions.ice.temperature_C), float(conditions.ice.hardness_factor))
    (solved,) = frictions_of([(blade, stance, ices, conditions.speed_m_s)])
    friction = say_friction(float(glide.values[-1]), Span.of(np.asarray(solved.total)))
    return [f"Computed friction of the blade last rated for glide: {friction} over the ices held possible."]


def _conditions(state: SimpleNamespace) -> Conditions:
    return Conditions(state.mass_kg, controls.ice_of(state), state.speed_m_s)


class TrialsPanel(PanelBox):
    """The log of one skater, and a form for the next trial.

    Parameters
    ----------
    own : str or Path
        The file that the form appends to.

    Attributes
    ----------
    source, skater : Dropdown
        Which log is on show, and whose trials in it.
    form : TrialForm
    """

    def __init__(self, own: str | Path = OWN) -> None:
        self._file = TrialLog(own)
        self._reading = Reading((), (), ())
        self._on_card = CardLog(lambda: _conditions(self.panel.state()))
        logs = self._logs()
        self.source = field(widgets.Dropdown, "log", options=logs, value=logs[0][1])
        self.skater = field(widgets.Dropdown, "skater's code")
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
        self.form = TrialForm(
            lambda: self.own,
            lambda: self._reading,
            lambda: controls.blade_of(trials.state()),
            self._log_changed,
        )
        self.form.code.value = SKATER.code or self.skater.value or ""
        super().__init__(trials, above=[choose, self._damage], below=[self.form])
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
            self.form.begin()
        self.read()
        self._quiet = False
        if opened or self.source.value is self._on_card:
            self._skater_changed()

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
        conditions, measured = _conditions(state), self._measured()
        count = counted(len(trials), "trial")
        skated = "Present blade"
        if not trials and measured:  # skated and measured, but nobody rated it
            count, code, skated = "measured on the ice, not rated", SKATER.code, "Measured last"
            last = max(measured, key=lambda one: one.on)
            trials = tuple(Trial(last.on, code, blade, {}) for blade in (last.before, last.after))
        if not trials:
            raise InputError("there is no trial in this log yet; fill in the form below and add one")
        ((proposal, agreements),) = _advice([(trials, conditions, measured)])
        makes = proposal.change.blade if proposal.change else None
        next_one = f"next, try {in_words(proposal.change)}" if proposal.change else "nothing to change now"
        if proposal.measured is not None and proposal.why_none == "measured worse":
            better = "preferred" if proposal.measured.about == "preference" else "better"
            makes, next_one = proposal.measured.before, f"skate on the {better} blade"
        elif proposal.measured is not None and proposal.measured.high < 0 and makes is None:
            makes, next_one = trials[-1].blade, "keep the better blade"
        said = [
            f"{skated}: {say_blade(trials[-1].blade)}. {next_to_try(proposal)}",
            *warnings_of(trials),
        ]
        pairs = [(a.rating.key, a.agree, a.agree + a.disagree) for a in agreements if a.agree + a.disagree]
        if pairs:
            counts = ", ".join(f"{key} {agree} of {of}" for key, agree, of in pairs)
            said.append(f"Pairs of trials in which skater and model agreed: {counts}. {count} prove little.")
        said += [*_friction_said(trials, conditions, agreements), *self._blind_pairs(proposal.measured)]
        return Logged(
            finding=f"{trials[-1].skater}, {count}: {next_one}",
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

    def _blind_pairs(self, counted: MeasuredDifference | None) -> list[str]:
        """What blind pairs said, if the log on show is that of the card and they didn't count first."""
        if SKATER.card is None or self.source.value is not self._on_card or not SKATER.card.preferred:
            return []
        last = SKATER.card.preferred[-1]
        assert isinstance(last.what, Preferred)
        if counted is not None and (counted.about, counted.on) == ("preference", last.on):
            return []
        told = said_of_rink(last.what).rstrip(".")
        return [f"{say_day(last.on)}: {told}. Weigh that yourself: it did not count in what to try next."]

    def _log_changed(self, trial: Trial) -> None:
        """Show the log that the form adds to, and the skater of this trial."""
        self._quiet = True
        self.source.value = self._file.path if SKATER.card is None else self._on_card
        self.read()
        if trial.skater in self._reading.skaters:
            self.skater.value = trial.skater
        self._quiet = False
        self._skater_changed()

    def _source_changed(self) -> None:
        self._quiet = True
        self.read()
        self._quiet = False
        self._skater_changed()

    def _skater_changed(self) -> None:
        if self._quiet:
            return
        if self.skater.value or SKATER.code:
            self.form.code.value = SKATER.code or self.skater.value
        self.form.offer()
        self.panel.refresh()


def trials_panel() -> TrialsPanel:
    """Keep a trial log."""
    return TrialsPanel()
