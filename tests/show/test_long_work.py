"""Long work: it tells how far it is, hears its button between two steps, and tidies up however it ends."""

from __future__ import annotations

import asyncio
from collections.abc import Generator

import ipywidgets as widgets
import pytest

from bladelab.show.long_work import LongWork, Step, at_once, finish


class Counting:
    """Counts to `total`; notes what it did, and that it tidied up."""

    def __init__(self, total: int = 4, breaks_at: int | None = None) -> None:
        self.total, self.breaks_at, self.did, self.tidy = total, breaks_at, 0, False

    def steps(self) -> Generator[Step, None, str]:
        try:
            for number in range(1, self.total + 1):
                if number == self.breaks_at:
                    raise ValueError("the chalk broke")
                self.did = number
                yield Step(number, self.total, f"{number} of {self.total}")
            return "counted"
        finally:
            self.tidy = True


def make() -> tuple[LongWork, widgets.Button, list[str]]:
    button, said = widgets.Button(), []
    work = LongWork([button])
    work._line.observe(lambda change: said.append(work.report), names="value")
    return work, button, said


def at_rest(work: LongWork, button: widgets.Button) -> bool:
    hidden = [part.layout.display == "none" for part in (work.stop_button, work.bar)]
    return all(hidden) and not button.disabled


def test_without_a_kernel_it_is_done_at_once():
    (work, button, said), counting = make(), Counting()
    work.start(counting.steps())
    assert said == ["1 of 4", "2 of 4", "3 of 4", "4 of 4", "counted"]
    assert (work.bar.value, work.bar.max) == (4, 4) and counting.tidy and at_rest(work, button)
    assert work.task is None and not work.fault


def test_in_a_kernel_others_have_their_turn_between_the_steps():
    (work, button, said), counting = make(), Counting()

    async def play():
        work.start(counting.steps())
        assert counting.did == 1, "what is asked for is taken as it stands when it is asked for"
        assert button.disabled and work.stop_button.layout.display is None is work.bar.layout.display
        turns = []
        while not work.task.done():
            turns.append(counting.did)
            await asyncio.sleep(0)
        return turns

    assert set(asyncio.run(play())) >= {1, 2, 3, 4}
    assert said[-1] == "counted" and at_rest(work, button) and counting.tidy


def test_it_stops_when_told_and_can_be_begun_anew():
    (work, button, _), counting = make(), Counting(1000)

    async def play():
        work.start(counting.steps(), stopped="stopped at {done} of {total}")
        other = Counting()
        work.start(other.steps())  # while one goes on, another is not begun
        assert other.did == 0
        while counting.did < 3:
            await asyncio.sleep(0)
        work.stop_button.click()
        await work.task
        assert work.report == f"stopped at {counting.did} of 1000" and counting.did < 1000
        assert counting.tidy and at_rest(work, button) and not work.fault
        work.start(other.steps())
        await work.task
        assert other.did == 4 and work.report == "counted"

    asyncio.run(play())


@pytest.mark.parametrize("breaks_at", [1, 3])
@pytest.mark.parametrize("kernel", [False, True])
def test_a_fault_is_told_wherever_it_happens(kernel, breaks_at):
    (work, button, _), counting = make(), Counting(breaks_at=breaks_at)

    async def play():
        work.start(counting.steps(), failed="not counted: {problem} <b>")
        if work.task:
            await work.task

    if kernel:
        asyncio.run(play())
    else:
        work.start(counting.steps(), failed="not counted: {problem} <b>")
    assert work.report == "not counted: the chalk broke <b>" and work.fault
    assert '<p class="bladelab-fault">' in work._line.value and "&lt;b&gt;" in work._line.value
    assert at_rest(work, button) and counting.tidy
    work.start(at_once(lambda: "well"))
    assert work.report == "well" and not work.fault and "fault" not in work._line.value


def test_what_the_system_says_is_told_without_its_number():
    work, _, _ = make()

    def full():
        raise OSError(28, "No space left on device")

    work.start(at_once(full), failed="not saved: {problem}")
    assert work.report == "not saved: No space left on device"


def test_a_kernel_that_ends_closes_the_work():
    (work, _, _), counting = make(), Counting(1000)

    async def play():
        work.start(counting.steps())
        await asyncio.sleep(0)

    asyncio.run(play())  # it cancels what is left
    assert counting.tidy and counting.did < 1000


def test_finish():
    counting = Counting()
    assert finish(counting.steps()) == "counted" and counting.did == 4
    with pytest.raises(ValueError, match="the chalk broke"):
        finish(Counting(breaks_at=2).steps())
