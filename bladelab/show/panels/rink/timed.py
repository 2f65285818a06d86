"""Is it really better? Timed trials for one skater: how many, in which order, and what they showed."""

from __future__ import annotations

import datetime
import html
from collections.abc import Callable, Generator
from functools import partial
from pathlib import Path
from typing import IO

import ipywidgets as widgets
import numpy as np

from bladelab._cells import number_of
from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.rink.order import DESIGNS, RunOrder
from bladelab.rink.reading import MISSED, read_session, session_as_csv
from bladelab.rink.session import TimedSession
from bladelab.rink.simulate import simulate_sessions
from bladelab.show.controls.control import Choice, Slider, choice_of
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.files import save_numbered
from bladelab.show.panel.forms import Message, beside, button, upload
from bladelab.show.panel.long_work import LongWork, Step
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.rink.keep import blades_said, preferred_button, timed_button
from bladelab.show.panels.rink.timed_answer import timed_answer
from bladelab.show.panels.rink.timed_plan import NAMED, TimedSessions, cv_of, order_of, plan_of_session
from bladelab.show.panels.rink.timed_view import TimedView
from bladelab.show.panels.rink.written import offer_more, say_taken, text_field
from bladelab.show.papers.timed_sheet import write_timed_sheet
from bladelab.show.wording.words import counted

#: Published scatter of single runs, per cent: 15 m, Wilson 2021, and Bond 2018 (abstracts); 0 for one's own.
_DRILLS = (
    ("a short sprint (2.1 %)", 2.1),
    ("the mean of seven short sprints (1.4 %)", 1.4),
    ("top speed or repeated sprint (2.6 %)", 2.6),
    ("this skater's own scatter", 0.0),
)
_MINE = "typed in here"
_PLAYED = 2000
_INVENTED = TimedSessions((read_session(data_file("demo/timed_session.csv")),))


def _keep(made: Panel, drill: widgets.Text, card: Card) -> list[CardButton]:
    state = made.state()
    value, found = state.sessions, list[CardButton]()
    if value is not None and value is not _INVENTED and value.last.complete >= 2 and not made.fault:
        found += timed_button(card, value.last, drill.value.strip())
    if state.prefers_a + state.prefers_b:
        found += preferred_button(
            card, int(state.prefers_a), int(state.prefers_b), int(state.prefers_neither)
        )
    return found


_timed = panel(
    "timed_trial",
    TimedView,
    timed_answer,
    Choice(
        "sessions",
        "runs",
        "view",
        (("ten pairs (invented)", _INVENTED), ("none yet: plan them", None)),
        _INVENTED,
    ),
    Slider("difference_percent", "difference that matters", "view", 0.5, 10.0, 2.0, "percent", 0.5),
    Choice("drill", "drill", "view", _DRILLS, 2.1, when=lambda s: s.sessions is None),
    Slider(
        "cv_percent",
        "scatter of one run",
        "view",
        0.5,
        6.0,
        2.0,
        "percent",
        0.1,
        when=lambda s: s.sessions is None and not s.drill,
    ),
    choice_of("design", "order", "view", DESIGNS, "pairs"),
    Slider("count", "how many", "view", 2, 40, 10),
    Slider("seed", "draw number", "view", 0, 99, 6),
    Slider("prefers_a", "preferred A, blind", "skater", 0, 30, 0),
    Slider("prefers_b", "preferred B, blind", "skater", 0, 30, 0),
    Slider("prefers_neither", "no preference", "skater", 0, 30, 0),
    tabs=True,
    titles={"view": "the trial", "skater": "blind pairs"},
    open_on="view",
)


class TimedBox(PanelBox):
    """The panel, and what is done around a session: the sheet, the times as they come, the plan played.

    Attributes
    ----------
    next_time : Text
        The field for the next time; Enter takes it.
    drill : Text
        What is timed: printed on the sheet and kept on the card.
    """

    def __init__(self) -> None:
        made = _timed()
        self._done: tuple[TimedSession, ...] = ()  # sessions before the one that is being timed
        self._typed: list[float] = []
        self._order: RunOrder | None = None  # of the session that is being timed: what is skated stays skated
        self.drill = text_field("what is timed", "such as a sprint from a standing start; may stay empty")
        made.bar.more = partial(_keep, made, self.drill)
        self.next_time = text_field("next time, s", "such as 4.02, then Enter")
        self.next_time.continuous_update = False
        self.next_time.observe(self._entered, names="value")
        self.line = widgets.HTML()
        self.message = Message()
        self.play_button = button("play 2,000 sessions through", self.play)
        self.work = LongWork([self.play_button])
        buttons = beside(
            button("print the sheet", self.print_sheet),
            button("take the last time back", self.take_back),
            button("begin another session", self.another),
            button("save the times as CSV", self.save_times),
            upload("or bring a CSV file", ".csv,.txt", self.bring),
        )
        head = widgets.HTML("<h3>Before and during practice</h3>")
        simulated = widgets.VBox([beside(self.play_button), self.work])
        times = (self.line, self.next_time, self.message)
        super().__init__(made, below=[head, self.drill, buttons, *times, simulated])
        made.then = self._show
        self._show()

    @property
    def order(self) -> RunOrder:
        """The order that is skated: what the dials draw, until the first time is typed."""
        return self._order or order_of(self.panel.state())

    # The sheet and the plan -----------------------------------------------------------------------------

    def print_sheet(self) -> None:
        """Write the sheet for the order drawn as a PDF beside the notebook."""
        state, order, today = self.panel.state(), self.order, datetime.date.today()
        runs = f"{len(order.runs)} runs{(drill := self.drill.value.strip()) and f' of {drill}'}"
        about = (
            f"{runs}, to show {state.difference_percent:.1f} % where a run scatters by {cv_of(state):.1f} %"
        )

        def write(file: IO[bytes]) -> None:
            write_timed_sheet(file, order, about, today, SKATER.code, blades=blades_said())

        try:
            path = save_numbered("timed_sheet", "pdf", write)
        except (InputError, OSError) as problem:
            self.message.say(f"Not printed: {problem}.", fault=True)
            return
        self.message.say(
            f"Saved as {path.as_posix()}: print it, and time the runs in its order.", files=[path]
        )

    def play(self) -> None:
        """Play the planned session through many times, and say what came out."""
        self.work.start(self._play_steps(), stopped="stopped after {done} of {total}", failed="{problem}")

    def _play_steps(self) -> Generator[Step, None, str]:
        plan = plan_of_session(self.panel.state())
        last = None
        for last in simulate_sessions(plan, _PLAYED):
            yield Step(last.done, last.total, f"{last.done} of {last.total} sessions")
        assert last is not None
        return (
            f"Of {last.total} sessions played with a difference of {abs(plan.difference_percent):.1f} %, "
            f"{100 * last.found:.0f} % found it. Where there is none, {100 * last.false_alarms:.0f} % found "
            f"one all the same, and {100 * last.false_alarms_by_looking:.0f} % did where someone looked "
            f"after every {NAMED[plan.design][0].split()[0]} and stopped when it looked good."
        )

    # The times ------------------------------------------------------------------------------------------

    def _entered(self, change: dict[str, object]) -> None:
        text = str(change["new"]).strip()
        if not text:
            return
        order = self.order
        try:
            if len(self._typed) >= len(order.runs):
                raise InputError(f"all {len(order.runs)} runs are timed; begin another session")
            times = [*self._typed, *(self._time(cell) for cell in text.split())]
            if len(times) > len(order.runs):
                raise InputError(f"{len(times)} times are typed; this session has {len(order.runs)} runs")
            self._take(times)
        except InputError as problem:
            self.message.say(f"Not taken over: {problem}.", fault=True)
            return
        self.next_time.value = ""
        run, time = len(self._typed), self._typed[-1]
        said = "doesn't count" if np.isnan(time) else f"{time:.2f} s"
        self.message.say(f"Run {run} on {order.runs[run - 1]}: {said}.")

    @staticmethod
    def _time(cell: str) -> float:
        if cell.lower() in MISSED:
            return float("nan")
        try:
            return number_of(cell.replace(",", "."), ".", 1000.0)
        except InputError as problem:
            raise InputError(f"the time {problem}") from None

    def _take(self, times: list[float]) -> None:
        """Take these as the times of the session that is being timed, and show it."""
        order = self.order
        padded = np.array([*times, *[np.nan] * (len(order.runs) - len(times))])
        session = TimedSession(order, padded)
        self._typed, self._order = times, order if times else None
        to_come = len(order.runs) - len(times)
        offer_more(self.panel, "sessions", _MINE, TimedSessions((*self._done, session), to_come))
        self._show()

    def take_back(self) -> None:
        """Take the last time that was typed back."""
        if not self._typed:
            self.message.say("Not taken back: no time is typed.", fault=True)
            return
        run = len(self._typed)
        self._take(self._typed[:-1])
        self.message.say(f"Run {run} taken back.")

    def another(self) -> None:
        """Keep the session that was timed, and begin another of the same trial with a new draw."""
        value = self.panel.dials["sessions"].value
        if value is None or value.last.complete < 2:
            self.message.say(
                "No other session begun: of this one fewer than 2 pairs or blocks are complete.", fault=True
            )
            return
        self._done, self._typed, self._order = value.sessions, [], None
        seed = self.panel.dials["seed"]
        seed.value = (int(seed.value) + 1) % 100
        self._show()
        self.message.say(
            f"{counted(len(self._done), 'session')} kept; type the first time of the next one, or bring its "
            "file."
        )

    def bring(self, name: str, path: Path) -> None:
        """Show the session of a file, with those that were kept before."""
        try:
            session = read_session(path)
        except (InputError, OSError) as problem:
            self.message.say(f"Not taken over: {problem}.", fault=True)
            return
        offer_more(self.panel, "sessions", f"{name} (added)", TimedSessions((*self._done, session)))
        self._show()
        said = f"Taken over: {len(session.time_s)} runs{_with(len(self._done))}."
        say_taken(self.message, said, self.panel)

    def save_times(self) -> None:
        """Save the times of the sessions on show, one file for each, which can be brought back."""
        value = self.panel.dials["sessions"].value
        if value is None:
            self.message.say("Not saved: no run is timed.", fault=True)
            return
        paths = []
        try:
            for session in value.sessions:
                paths.append(save_numbered("timed_session", "csv", _writing(session_as_csv(session))))
        except (InputError, OSError) as problem:
            self.message.say(f"Not saved: {problem}.", fault=True)
            return
        self.message.say(f"Saved as {', '.join(path.as_posix() for path in paths)}.", files=paths)

    def _show(self) -> None:
        """Say which run comes next."""
        order, done = self.order, len(self._typed)
        if done < len(order.runs):
            blade = order.runs[done]
            said = f"Next: run {done + 1} of {len(order.runs)}, on <b>{html.escape(blade)}</b>. "
            said += "Type x for a run that doesn't count."
        else:
            said = f"All {len(order.runs)} runs are timed."
        if self._typed:
            said += " Typed times last as long as this page: save them, or keep the session on a card."
        self.line.value = f"<p>{said}</p>"


def _with(before: int) -> str:
    return f", with {counted(before, 'session')} before" if before else ""


def _writing(contents: bytes) -> Callable[[IO[bytes]], object]:
    return lambda file: file.write(contents)


def timed_panel() -> TimedBox:
    """Timed trials of two blades: the plan, the sheet, the entry and the result."""
    return TimedBox()
