"""First the complaint: what is usually behind it, and which check comes next."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

from bladelab._errors import InputError
from bladelab.advice.causes import CAUSES
from bladelab.advice.complaint import COMPLAINTS
from bladelab.advice.complaint_numbers import SHARP_EDGES, model_says
from bladelab.advice.next_check import Advice, Facts, next_check
from bladelab.book.facts import facts_of
from bladelab.book.happenings import Complained
from bladelab.show.canvas.ladder import LADDER_TOP, LADDER_WIDTH, RUNG_STEP, LadderPart
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, choice_of
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.words import capital

_MOST = max(len(complaint.odds) for complaint in COMPLAINTS.values())

#: What a reader may say of the last sharpening and of what is new, for the facts.
_SHARPENED: dict[str, dict[str, object]] = {
    "unknown, or see the card": {},
    "today or yesterday": {"days_since_sharpened": 1.0},
    "up to 10 hours of ice ago": {"hours_since_sharpened": 10.0},
    "10 to 20 hours of ice ago": {"hours_since_sharpened": 15.0},
    "more than 20 hours of ice ago": {"hours_since_sharpened": 30.0},
}
_NEW: dict[str, dict[str, Any]] = {
    "nothing, or see the card": {},
    "new steel": {"days_since_new_steel": 0.0},
    "a new shape (profiled)": {"days_since_ground": 0.0},
    "new boots or insoles": {"new_boots": True},
    "other ice than usual": {"other_ice": True},
}


@dataclass(frozen=True, kw_only=True)
class Advised(Result):
    """What to do about a complaint now."""

    advice: Advice


class LadderView(View[Advised]):
    """The causes as a ladder, the one to check first on top: narrow, so that a phone shows it large."""

    width_px = LADDER_WIDTH
    height_px = LADDER_TOP + _MOST * RUNG_STEP

    def stack_up(self) -> None:
        """A ladder is narrow as it is."""

    def draw(self) -> None:
        self.headline.set_fontsize(15)
        self.ladder = LadderPart(self, _MOST)

    def update(self, advised: Advised) -> None:
        advice = advised.advice
        rungs = []
        for rung in advice.ladder:
            cause, said = rung.cause, rung.said
            state = "next" if cause is advice.next else said
            detail = cause.no if said == "no" else cause.check
            rungs.append((state, cause.name, detail, "" if said else f"{cause.minutes:.0f} min"))
        self.ladder.update(rungs)


def _dial_of(cause: str) -> str:
    return f"found_{cause}"


def facts_said(state: SimpleNamespace) -> Facts:
    """What is known of the skate: the card's facts, if a skater is chosen; what the dials say comes first."""
    card = SKATER.card
    known = Facts() if card is None else facts_of(card, state.skate, datetime.date.today())
    told = {**_SHARPENED[state.sharpened], **_NEW[state.changed]}
    if _SHARPENED[state.sharpened]:
        known = replace(known, days_since_sharpened=None, hours_since_sharpened=None)
    return replace(known, **told)


def advice_on(state: SimpleNamespace) -> Advice:
    """The advice on what the dials say."""
    answers = {cause: getattr(state, _dial_of(cause)) for cause in CAUSES}
    found = {cause: said for cause, said in answers.items() if said}
    return next_check(state.complaint, state.skate, found, facts_said(state))


def answer(state: SimpleNamespace) -> Advised:
    """What to check next."""
    advice = advice_on(state)
    said = advice.complaint.said
    skate = {"": "", "left": ", left skate", "right": ", right skate"}[advice.side]
    if advice.found:
        told = f"Found: {advice.found[0].name}"
    elif advice.next:
        told = f"{'Next' if any(rung.said for rung in advice.ladder) else 'First'}: {advice.next.name}"
    else:
        told = "Every check says no"
    lines = [advice.sentence]
    if advice.next:
        waiting = [rung.cause.name for rung in advice.ladder if not rung.said][1:]
        job = f" That is a job for {advice.person}." if advice.person else ""
        otherwise = f"If not, on to: {waiting[0]}." if waiting else f"If not: {_lower(advice.complaint.then)}"
        lines += [f"If so: {_lower(advice.next.yes)}{job}", otherwise]
    cause = advice.found[0] if advice.found else advice.next
    model = model_says(cause.key) if cause else SHARP_EDGES if advice.notebook else ""
    lines.append(" ".join(filter(None, (model, _leads(advice)))))
    return Advised(
        finding=f"{capital(said)}{skate}\n{told}",
        sentence="\n".join(line for line in lines if line),
        advice=advice,
    )


def _lower(text: str) -> str:
    return f"{text[:1].lower()}{text[1:]}"


def _leads(advice: Advice) -> str:
    """Where to go from here: the notebook, and the person unless that is said already."""
    parts = []
    if advice.notebook:
        number, *words = advice.notebook.split("_")
        parts.append(f"See notebook {number}, {' '.join(words).capitalize()}.")
    if advice.person and not advice.next:
        parts.append(f"Whom to see: {advice.person}.")
    return " ".join(parts)


class ComplaintPanel(Panel):
    """The panel of a complaint: it goes on from what the card says, and writes there."""

    # Whose card it shows, what it has taken from there, and the skate that was checked.
    _whose, _side = "", ""
    _known: tuple[str, Complained | None, bool] = ("", None, False)

    goes_home = False

    def made(self) -> None:
        """Go on from the card that is open."""
        self._go_on()

    def refresh(self) -> None:
        """Put the checks in the order of the ladder, and answer as every panel does."""
        on_list = [rung.cause.key for rung in advice_on(self.state()).ladder]
        for place, cause in enumerate((*on_list, *(key for key in CAUSES if key not in on_list)), 1):
            self.dials[_dial_of(cause)].place = place
        super().refresh()

    def settle(self) -> None:
        """What was found on one skate says nothing of the other."""
        side = self.dials["skate"].value
        if self._side and side != self._side:
            self.clear()
        self._side = side

    def clear(self) -> None:
        """Take all checks back."""
        for cause in CAUSES:
            self.dials[_dial_of(cause)].value = ""

    def write(self) -> None:
        """Write the complaint on the card of the skater chosen."""
        advice = advice_on(self.state())
        found = {rung.cause.key: rung.said for rung in advice.ladder if rung.said}
        entry = Complained(advice.complaint.key, advice.side, found, advice.next.key if advice.next else "")
        try:
            written = SKATER.write(entry)
        except InputError as problem:
            self.saving.work.say(f"Not written: {problem}.", fault=True)
            return
        if written:
            self._known = (SKATER.code, entry, False)
            self.saving.work.say(f"Written on the card of {SKATER.code}.")
        else:
            self.saving.work.say("Nothing is written: no skater is chosen.")

    def follow(self, units: bool, card: bool) -> None:
        """Go on from another card; know what is written on this one."""
        super().follow(units, card)
        if card:
            self._go_on()
        elif not units:
            self.refresh()

    def _go_on(self) -> None:
        """Show the last complaint on the card, with what was found since the steel was last worked on."""
        card, whose = SKATER.card, SKATER.code
        complaint = card.complaint if card else None
        before, self._whose = self._whose, whose
        known, self._known = self._known, (whose, complaint, card is not None and card.worked_on)
        with self.quiet():
            if known == self._known:
                return  # what was checked since stays
            if before not in ("", whose):
                self.clear()  # it was another skater who was checked
            if card is None or complaint is None or complaint.about not in COMPLAINTS:
                return
            self._side = complaint.side
            self.dials["complaint"].value = complaint.about
            self.dials["skate"].value = complaint.side
            self.clear()
            if not card.worked_on:
                for cause in complaint.found.keys() & CAUSES.keys():
                    self.dials[_dial_of(cause)].value = complaint.found[cause]


def _on_the_list(cause: str) -> Callable[[SimpleNamespace], bool]:
    def shown(state: SimpleNamespace) -> bool:
        return cause in COMPLAINTS[state.complaint].odds and not (state.skate and CAUSES[cause].both)

    return shown


def _write(panel: Panel) -> None:
    assert isinstance(panel, ComplaintPanel)
    panel.write()


def _clear(panel: Panel) -> None:
    assert isinstance(panel, ComplaintPanel)
    with panel.quiet():
        panel.clear()


_SKATES = (("both", ""), ("left", "left"), ("right", "right"))
_ANSWERS = (("not checked", ""), ("yes", "yes"), ("no", "no"))

complaint_panel = panel(
    "complaint",
    LadderView,
    answer,
    Choice(
        "complaint",
        "complaint",
        "skater",
        tuple((complaint.said, complaint.key) for complaint in COMPLAINTS.values()),
        "no bite",
    ),
    Choice("skate", "which skate", "skater", _SKATES, ""),
    choice_of("sharpened", "last sharpened", "skater", _SHARPENED),
    choice_of("changed", "new lately", "skater", _NEW),
    (
        Choice(_dial_of(cause.key), f"{cause.name}?", "view", _ANSWERS, "", when=_on_the_list(cause.key))
        for cause in CAUSES.values()
    ),
    buttons=(("write it on the card", _write), ("clear the checks", _clear)),
    kind=ComplaintPanel,
    tabs=False,
)
