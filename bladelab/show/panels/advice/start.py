"""Choose a starting blade: wishes, the blades worth a look, and the way to the one picked."""

from __future__ import annotations

import os
import time
from collections.abc import Generator
from types import SimpleNamespace

import ipywidgets as widgets
import numpy as np

from bladelab._errors import InputError
from bladelab._remembering import Remembering
from bladelab.advice.family import Family
from bladelab.advice.family_scores import FamilyScores, score_family, score_steps
from bladelab.advice.plan import plan_steps
from bladelab.advice.quantities import Conditions
from bladelab.advice.single_change import RADIUS_STEP_MM
from bladelab.advice.starting import Frontier, frontier
from bladelab.advice.wishes import POSITIONS, WISHES, in_percent
from bladelab.shape.blade import Blade
from bladelab.show.canvas.parts import BOTH
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Slider, Tick, choice_of
from bladelab.show.panel.declare import Act, panel
from bladelab.show.panel.forms import beside
from bladelab.show.panel.long_work import LongWork, Step
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.start_view import FrontierView, Starting
from bladelab.show.wording.changes import as_step, step_reason
from bladelab.show.wording.say import say_blade, say_change
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import counted

_EQUAL = "all equal"


def pick_of(found: Frontier, most_steps: int, toward: str) -> int:
    """The member of the frontier picked: within so many changes, the best for one wish, or for all of them.

    Blades better on every wish go first. With all wishes equal it is the blade whose worst wish is best,
    each wish counted as a share of the most that the frontier has of it.
    """
    within = found.steps <= most_steps
    if (granting := within & found.grants_all).any():
        within = granting
    words = [wish.word for wish in found.wishes]
    if toward in words:
        worth = found.gains[:, words.index(toward)]
    else:
        best = np.maximum(found.gains.max(axis=0), 1e-9)
        worth = (found.gains / best).min(axis=1)
    # Members come in the order of their changes: of equals the first has the fewest.
    return int(np.where(within, np.round(worth, 4), -np.inf).argmax())


def _setting(state: SimpleNamespace) -> tuple[Blade, Conditions]:
    return controls.blade_of(state), Conditions(state.mass_kg, controls.ice_of(state), state.speed_m_s)


_CONTROLS = (
    *controls.rocker_controls(),
    *controls.hollow_controls(),
    controls.mass_control(),
    controls.speed_control(),
    *(
        Tick(f"wish_{i}", word, "view", default=word in ("more glide", "more hold"))
        for i, word in enumerate(WISHES)
    ),
    Slider("most_steps", "changes, at most", "view", 1, 12, 4),
    choice_of("toward", "priority", "view", (_EQUAL, *WISHES)),
    *controls.ice_controls(),
)


#: Scores of the near family by blade and conditions: a cell that is run again has them at once.
_near = Remembering[tuple[Blade, Conditions], FamilyScores](
    lambda cases: [score_family(Family(blade, feet=1, pivots=1, hollows=2), how) for blade, how in cases],
    kept=4,
)


class StartPanel(PanelBox):
    """The panel of wishes with a search: progress is shown, and it can be stopped."""

    def __init__(self) -> None:
        self._scores: FamilyScores | None = None
        search = widgets.Button(description="search 20,000 blades", layout=widgets.Layout(width="auto"))
        search.on_click(lambda _: self.search())
        self.work = LongWork([search])
        self._edition = SKATER.edition
        buttons = [(f"wishes: {name}", self._wisher(words)) for name, words in POSITIONS.items()]
        starting = panel(
            "starting-blade",
            FrontierView,
            self.answer,
            _CONTROLS,
            buttons=buttons,
            titles={"rocker": "present rocker", "hollow": "present hollow", "view": "wishes"},
            open_on="view",  # the wishes are what this panel is about
        )()
        UNITS.listen(self._units_changed)
        super().__init__(starting, below=[beside(search, self.work)])

    def _wisher(self, words: tuple[str, ...]) -> Act:
        return lambda _: self.wish(words)

    def wish(self, words: tuple[str, ...]) -> None:
        """Tick these wishes and no others."""
        with self.panel.quiet():
            for i, word in enumerate(WISHES):
                self.panel.dials[f"wish_{i}"].value = word in words

    def answer(self, state: SimpleNamespace) -> Starting:
        """The frontier for the wishes ticked, and the blade picked on it."""
        present, conditions = _setting(state)
        if self._scores is None or self._edition != SKATER.edition:
            # The near family first, as for every card: it is there at once, and so are picture and reasons.
            self._scores = _near([(present, conditions)])[0]
            self._edition = SKATER.edition
            self._units_changed()
        if (present, conditions) != (self._scores.family.present, self._scores.conditions):
            raise InputError(
                "you changed the present blade, the skater or the ice since the search: search again with "
                "the button below"
            )
        words = [word for i, word in enumerate(WISHES) if getattr(state, f"wish_{i}")]
        found = frontier(self._scores, words)
        pick = pick_of(found, int(state.most_steps), state.toward)
        blade = found.blade(pick)
        across = (0, 1) if len(words) > 1 else (-1, 0)
        if state.toward in words[2:]:
            across = (0, words.index(state.toward))
        steps = plan_steps(present, blade, conditions, found.wishes)
        count = counted(len(steps), "change")
        lines = []
        if steps:
            finding = f"{count}, one at a time: {_listed_gains(found, pick)}"
            way = "\n".join(f"{i}. {step_reason(step, found.wishes)}" for i, step in enumerate(steps, 1))
            sentence = f"{found.sentence}\nPicked: {say_blade(blade)}. In this order, one at a time:\n{way}"
            lines = ["from the present blade, one at a time:"]
            lines += [f"{i}. {as_step(step.change)}" for i, step in enumerate(steps, 1)]
        else:
            finding = "Within these limits the present blade is as good as any"
            sentence = f"{found.sentence}\nPicked: the present blade. "
            sentence += "Allow more changes, or give one wish priority."
        return Starting(
            finding=finding,
            sentence=sentence,
            found=found,
            pick=pick,
            across=across,
            blades=dict(zip(BOTH, (present, blade), strict=True)),
            lines=lines,
            makes=blade if steps else None,
        )

    # The search
    # -------------------------------------------------------------------------------------------------

    def search(self) -> None:
        """Search the wide family around the present blade; the picture follows when it is done."""
        self.work.start(
            self._search_steps(),
            stopped="stopped; the picture still shows the last search",
            failed="the search failed: {problem}",
        )

    def _search_steps(self) -> Generator[Step, None, str]:
        started = time.monotonic()
        blade, conditions = _setting(self.panel.state())
        family = Family(blade)
        shapes, said = len(family.shapes), f"searching {len(family):,} blades in all moments …"
        yield Step(0, shapes, said)
        # Two at least, whatever the machine: what is solved elsewhere leaves the kernel free for the page.
        search = score_steps(family, conditions, workers=max(2, min(4, os.cpu_count() or 1)))
        try:
            while True:
                yield Step(next(search), shapes, said)
        except StopIteration as end:
            self._scores = end.value
        finally:
            search.close()
        self.panel.refresh()
        return self._searched(time.monotonic() - started)

    def _units_changed(self) -> None:
        """Say in the units chosen now what was searched; a search going on says so when it is done."""
        if not self.work.busy:
            self.work.say(self._searched())

    def _searched(self, seconds: float | None = None) -> str:
        assert self._scores is not None
        family = self._scores.family
        took = f" in {seconds:.0f} s" if seconds is not None else ""
        reach = UNITS.say("radius", family.feet * RADIUS_STEP_MM)
        return f"searched: {len(family):,} blades within {reach} of the present one{took}"


def _listed_gains(found: Frontier, pick: int) -> str:
    parts = []
    for wish, gain in zip(found.wishes, found.gains[pick], strict=True):
        parts.append(f"{wish.word} ({say_change(gain, in_percent(wish))})")
    return ", ".join(parts)


def start_panel() -> StartPanel:
    """Choose a starting blade."""
    return StartPanel()
