"""When to answer a control: now, next, or once nothing has moved for a moment (debouncing)."""

from __future__ import annotations

import asyncio
import math
import time
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager

from IPython import get_ipython

#: Between two pieces of work: long enough to hear what has arrived.
PAUSE_S = 0.01

# Steps closer together than this belong to one movement.
_STEP_S = 0.2


class AtRest:
    """Debounced work: it waits until nothing has moved for a moment, and starts over if something does.

    Parameters
    ----------
    work : callable
        Returns a generator that pauses after each little piece. Without a kernel it is done right away.
    rest_s : float
        How long nothing must have moved, in seconds.

    Attributes
    ----------
    task : asyncio.Task or None
        The last work put off in a kernel.
    """

    def __init__(self, work: Callable[[], Generator[None, None, None]], rest_s: float = 0.5) -> None:
        self._work, self._rest_s = work, rest_s
        self.task: asyncio.Task[None] | None = None

    def start(self) -> None:
        """Do the work once nothing has moved for a moment."""
        if self.task:
            self.task.cancel()
        if loop := running_loop():
            self.task = loop.create_task(self._later())
        else:
            for _ in self._work():
                pass

    async def _later(self) -> None:
        await asyncio.sleep(self._rest_s)
        with errors_shown():
            for _ in self._work():
                await asyncio.sleep(PAUSE_S)


class WhileMoving:
    """Work for every step of a slider. While steps follow closely, the page gets an acknowledgement first and
    the work comes next: the page sends a step once the one before is acknowledged, so that it arrives during
    the work and not a while after. A single step, and anything not from a page, is handled right away.

    Parameters
    ----------
    work : callable
        Shows the current state when called.
    """

    def __init__(self, work: Callable[[], object]) -> None:
        self._work = work
        self._due: asyncio.Handle | None = None
        self._last = -math.inf

    def step(self) -> bool:
        """Do the work for a step, now or next; return whether it comes next."""
        loop, moving = running_loop(), time.monotonic() - self._last < _STEP_S
        if loop and moving and _from_page():
            self._due = self._due or loop.call_soon(self._next)
            return True
        self._now()
        return False

    def catch_up(self) -> None:
        """Do now what would come next."""
        if self._due:
            self._due.cancel()
            self._now()

    def _now(self) -> None:
        self._due = None
        try:
            self._work()
        finally:
            self._last = time.monotonic()

    def _next(self) -> None:
        with errors_shown():
            self._now()


@contextmanager
def errors_shown() -> Iterator[None]:
    """Show what is raised in the block as ipywidgets shows what a handler raises: a task or a loop would
    swallow it. Without a kernel it is raised."""
    try:
        yield
    except Exception:
        if (shell := get_ipython()) is None:
            raise
        shell.showtraceback()


def _from_page() -> bool:
    """Whether the kernel is about a message from a widget on the page, and not about a cell."""
    kernel = getattr(get_ipython(), "kernel", None)
    return kernel is not None and kernel.get_parent().get("header", {}).get("msg_type") == "comm_msg"


def running_loop() -> asyncio.AbstractEventLoop | None:
    """The event loop that runs, as in a kernel; None where none does."""
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None
