"""Long work: it tells how far it is, hears its button between two steps, and tidies up however it ends."""

from __future__ import annotations

import asyncio
import io
from collections.abc import Generator

import ipywidgets as widgets
import pytest
from PIL import Image

from bladelab import InputError
from bladelab.show.clinic.panel import clinic_panel
from bladelab.show.controls import debounce
from bladelab.show.controls.debounce import AtRest, WhileMoving
from bladelab.show.panel.long_work import LongWork, Step, at_once, finish
from bladelab.show.panels.blade.rocker import rocker_panel
from tests.show.engine_checks import hand, position


class Counting:
    """Counts to `total`; notes what it did, and that it tidied up."""

    def __init__(self, total: int = 4, breaks_at: int | None = None, breaks: Exception | None = None) -> None:
        self.breaks = breaks or InputError("the chalk broke")
        self.total, self.breaks_at, self.did, self.tidy = total, breaks_at, 0, False

    def steps(self) -> Generator[Step, None, str]:
        try:
            for number in range(1, self.total + 1):
                if number == self.breaks_at:
                    raise self.breaks
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
        assert counting.did == 1, "the request uses the state at the time it is answered"
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


@pytest.mark.parametrize("breaks_at", [1, 3])
@pytest.mark.parametrize("kernel", [False, True])
def test_a_fault_of_ours_is_told_as_one_and_raised_and_the_buttons_work_again(kernel, breaks_at):
    (work, button, _), counting = make(), Counting(breaks_at=breaks_at, breaks=KeyError("chalk"))

    async def play():
        work.start(counting.steps(), failed="not counted: {problem}")
        await work.task

    with pytest.raises(KeyError, match="chalk"):
        asyncio.run(play()) if kernel else work.start(counting.steps(), failed="not counted: {problem}")
    told = "not counted: This is a bug in bladelab, not something you set (KeyError: 'chalk')"
    assert work.report == told and work.fault
    assert at_rest(work, button) and counting.tidy


def test_in_a_kernel_a_fault_of_ours_in_later_work_is_shown_as_a_traceback(shell):
    (work, button, _), counting = make(), Counting(breaks_at=3, breaks=KeyError("chalk"))

    def breaks():
        yield
        raise KeyError("chalk")

    resting = AtRest(breaks, rest_s=0.0)

    async def play():
        work.start(counting.steps())
        resting.start()
        await asyncio.gather(work.task, resting.task)

    asyncio.run(play())
    assert shell.shown == 2 and work.fault and at_rest(work, button)


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


class Shell:
    """A stand-in for the kernel's shell, about a message of this kind."""

    def __init__(self, kind: str) -> None:
        self.kernel, self.kind, self.shown = self, kind, 0

    def get_parent(self) -> dict[str, dict[str, str]]:
        return {"header": {"msg_type": self.kind}}

    def showtraceback(self) -> None:
        self.shown += 1


@pytest.fixture
def shell(monkeypatch):
    shell = Shell("comm_msg")
    monkeypatch.setattr(debounce, "get_ipython", lambda: shell)
    return shell


def test_the_first_step_is_worked_off_at_once_and_those_that_follow_closely_after_the_page_was_told(shell):
    done = []
    moving = WhileMoving(lambda: done.append(1))

    async def play():
        moving.step()
        assert len(done) == 1
        moving.step()
        moving.step()
        assert len(done) == 1, "the page is told first"
        await asyncio.sleep(0)
        assert len(done) == 2, "two steps heard together are one"
        moving.step()
        moving.catch_up()
        moving.catch_up()
        assert len(done) == 3
        await asyncio.sleep(0.01)
        assert len(done) == 3, "what was caught up with does not come again"
        await asyncio.sleep(debounce._STEP_S)
        moving.step()
        assert len(done) == 4, "a new movement begins"

    asyncio.run(play())


def test_steps_that_no_page_sent_are_worked_off_at_once(shell):
    done = []
    moving = WhileMoving(lambda: done.append(1))
    for _ in range(3):
        moving.step()  # no loop runs
    assert len(done) == 3
    shell.kind = "execute_request"

    async def play():
        for _ in range(3):
            moving.step()
        assert len(done) == 6

    asyncio.run(play())


def test_what_a_step_raises_is_shown_and_the_next_step_works(shell):
    done = []

    def work():
        done.append(1)
        if len(done) == 2:
            raise ZeroDivisionError("our own mistake")

    moving = WhileMoving(work)

    async def play():
        for _ in range(3):
            moving.step()
            await asyncio.sleep(0)

    asyncio.run(play())
    assert len(done) == 3 and shell.shown == 1


@pytest.mark.slow
def test_what_is_saved_in_the_middle_of_a_movement_is_what_the_dials_say(shell, tmp_path):
    panel = rocker_panel()

    async def play():
        for value in (7.0, 10.5):
            hand(panel, "radius_mm", position(panel, "radius_mm", f"{value:.2f}"))
        return panel.view.png(), panel.save("PNG", tmp_path).read_bytes(), panel.view.png()

    before, saved, after = asyncio.run(play())
    assert before != after
    panel.dials["radius_mm"].value = 10.5 * 304.8
    assert panel.view.png() == after
    assert Image.open(io.BytesIO(saved)).tobytes() == Image.open(panel.save("PNG", tmp_path)).tobytes()


@pytest.mark.slow
def test_the_clinic_shows_and_exports_what_the_dials_say_in_the_middle_of_a_movement(shell, no_overview):
    box = clinic_panel()

    async def play(look):
        for feet in ("8.00", "11.00"):
            hand(box.panel, "radius_a_mm", position(box.panel, "radius_a_mm", feet))
        return look()

    bundle, _ = asyncio.run(play(box._repr_mimebundle_))
    assert "Blade A: rocker 11\u00a0ft" in bundle["text/plain"]
    box.panel.dials["radius_a_mm"].value = 3048.0
    deck = asyncio.run(play(box.files._deck))
    said = next(slide.said["radius_a"] for slide in deck.slides if "radius_a" in slide.said)
    assert said == "11\u00a0ft"
