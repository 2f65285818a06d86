"""Work that takes more than a second or so: it shows its progress, and the user can stop it.

The work is a generator that yields a `Step` after each small piece. Between two pieces the kernel hears
sliders and buttons: it does one thing at a time, so nothing changes while a piece runs.
"""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import TypeVar

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.show.controls.debounce import PAUSE_S, errors_shown, running_loop
from bladelab.show.panel.forms import Message
from bladelab.show.wording.words import own_fault

Outcome = TypeVar("Outcome")


@dataclass(frozen=True)
class Step:
    """`done` of `total` pieces are done; `text` is shown to the user."""

    done: int
    total: int
    text: str


class Work:
    """Work that goes on while the kernel hears the page.

    Parameters
    ----------
    changed : callable
        Called when something below is another than before.

    Attributes
    ----------
    report : str
        The progress of the work, or its outcome.
    fault : bool
        Whether the last work failed.
    going : bool
    done, total : int
        Of the last `Step`; `total` is 0 before the first.
    task : asyncio.Task or None
        The last work started in a kernel.
    """

    def __init__(self, changed: Callable[[], None]) -> None:
        self._changed = changed
        self._stopping = False
        self.task: asyncio.Task[None] | None = None
        self.report, self.fault, self.going, self.done, self.total = "", False, False, 0, 0

    def start(
        self,
        steps: Generator[Step, None, str],
        stopped: str = "Stopped.",
        failed: str = "{problem}.",
    ) -> None:
        """Do the first piece now and the rest step by step, or all at once without a kernel.

        Only one piece of work runs at a time.

        Parameters
        ----------
        steps : generator
            Yields a `Step` after each piece of work; what it returns is shown at the end. Closed when the
            user stops it, so that its ``finally`` blocks clean up.
        stopped : str
            Shown when the user stopped it, with ``{done}`` and ``{total}`` of the last step.
        failed : str
            Shown when it raises, with the message as ``{problem}``. After an InputError or an OSError that is
            all; any other exception is our own bug: it is shown as one and raised.
        """
        if self.going:
            return
        self.going, self._stopping, self.done, self.total = True, False, 0, 0
        go_on = partial(self._go_on, steps, stopped, failed)
        if not go_on():
            return
        if loop := running_loop():
            self.task = loop.create_task(self._go(go_on, steps))
        else:
            while go_on():
                pass

    def stop(self) -> None:
        """End the work after the piece it is at."""
        self._stopping = True

    def say(self, text: str, fault: bool = False) -> None:
        """Report something."""
        self.report, self.fault = text, fault
        self._changed()

    async def _go(self, go_on: Callable[[], bool], steps: Generator[Step, None, str]) -> None:
        try:
            await asyncio.sleep(PAUSE_S)
            with errors_shown():
                while go_on():
                    await asyncio.sleep(PAUSE_S)
        finally:  # also when the kernel ends
            steps.close()

    def _go_on(self, steps: Generator[Step, None, str], stopped: str, failed: str) -> bool:
        """Do one more piece, unless the reader stopped the work; say how far it is and whether it goes on."""
        try:
            if self._stopping:
                steps.close()
                self._end(stopped.format(done=self.done, total=self.total))
                return False
            step = next(steps)
        except StopIteration as end:
            self.done = self.total
            self._end(end.value)
            return False
        except (InputError, OSError) as problem:
            words = getattr(problem, "strerror", None) or str(problem) or type(problem).__name__
            self._end(failed.format(problem=words), fault=True)
            return False
        except Exception as problem:
            self._end(failed.format(problem=own_fault(problem)), fault=True)
            raise
        self.done, self.total = step.done, step.total
        self.say(step.text)
        return True

    def _end(self, text: str, fault: bool = False) -> None:
        self.going = False
        self.say(text, fault)


class LongWork(widgets.HBox):
    """`Work` in a form: a bar with a button *stop*, both seen only while it goes on, and a line that reports.

    Parameters
    ----------
    starters : sequence of Button
        What starts the work; can't be pressed while it goes on.

    Attributes
    ----------
    work : Work
    """

    def __init__(self, starters: Sequence[widgets.Button] = ()) -> None:
        self._starters = starters
        self.work = Work(self._show)
        self.start, self.stop, self.say = self.work.start, self.work.stop, self.work.say
        self.stop_button = widgets.Button(description="stop", layout=widgets.Layout(width="80px"))
        self.stop_button.on_click(lambda _: self.stop())
        self.bar = widgets.IntProgress(value=0, max=1, layout=widgets.Layout(width="200px"))
        self._line = Message().add_class("bladelab-report")
        super().__init__(
            [self.stop_button, self.bar, self._line], layout=widgets.Layout(flex_flow="row wrap")
        )
        self._show()

    @property
    def report(self) -> str:
        """What the line says."""
        return self.work.report

    @property
    def busy(self) -> bool:
        """Whether work is going on."""
        return self.work.going

    @property
    def fault(self) -> bool:
        """Whether the last work failed."""
        return self.work.fault

    @property
    def task(self) -> asyncio.Task[None] | None:
        """The last work started in a kernel."""
        return self.work.task

    def _show(self) -> None:
        work = self.work
        for button in self._starters:
            button.disabled = work.going
        self.bar.max, self.bar.value = max(work.total, 1), work.done
        for control in (self.stop_button, self.bar):
            control.layout.display = None if work.going and work.total else "none"
        self._line.say(work.report, work.fault)


def at_once(work: Callable[[], Outcome]) -> Generator[Step, None, Outcome]:
    """Work without steps, in the form of work that has them."""
    yield from ()
    return work()


def finish(steps: Generator[Step, None, Outcome]) -> Outcome:
    """Do all the steps now; return what they return."""
    while True:
        try:
            next(steps)
        except StopIteration as end:
            outcome: Outcome = end.value
            return outcome
