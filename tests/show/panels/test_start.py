"""The panel of a starting blade: wishes, the pick, and the search beside the page."""

from __future__ import annotations

import asyncio

import numpy as np
import pytest

from bladelab import Family
from bladelab._errors import InputError
from bladelab.show.panels.advice.start import pick_of, start_panel


@pytest.fixture
def start():
    return start_panel()


@pytest.mark.slow
def test_wishes_are_answered(start):
    start.wish(("more glide", "more hold"))
    assert not start.panel.fault
    assert (
        "Picked: " in start.panel.sentence_text
        and "In this order, one at a time" in start.panel.sentence_text
    )
    start.wish(("quicker", "more glide"))
    assert "pull against each other" in start.panel.sentence_text
    start.wish(("more back", "more forward"))
    assert start.panel.fault and "are opposites" in start.panel.sentence_text
    start.wish(())
    assert start.panel.fault and "Nothing is wished for" in start.panel.sentence_text
    start.wish(("more glide", "more hold"))
    assert not start.panel.fault


@pytest.mark.slow
def test_the_pick_keeps_within_the_changes_and_leans_where_asked(start):
    start.wish(("more glide", "more hold"))
    panel = start.panel
    for most in (1, 2, 5):
        panel.dials["most_steps"].value = most
        assert not panel.fault
        assert len(panel.view.picked.get_xdata()) == 1
    from bladelab.advice.starting import frontier

    front = frontier(start._scores, ["more glide", "more hold"])
    for most in range(0, 6):
        for toward in ("more glide", "more hold", "all equal"):
            pick = pick_of(front, most, toward)
            assert front.steps[pick] <= most
    allowed = np.nonzero((front.steps <= 4) & front.grants_all)[0]
    for k, word in enumerate(("more glide", "more hold")):
        assert front.gains[pick_of(front, 4, word), k] == pytest.approx(
            front.gains[allowed, k].max(), abs=1e-3
        )
    panel.dials["most_steps"].value = 4


def test_another_blade_asks_for_another_search(start):
    start.wish(("more glide", "more hold"))
    start.panel.dials["radius_mm"].value = 3352.8
    assert start.panel.fault and "search again with the button below" in start.panel.sentence_text
    start.panel.dials["radius_mm"].value = 3048.0
    assert not start.panel.fault


@pytest.mark.slow
def test_the_search_goes_on_beside_the_page_and_can_be_stopped():
    start = start_panel()
    before = start._scores

    async def play():
        start.search()
        start.search()  # a second press while it runs does nothing
        assert "searching" in start.work.report
        start.panel.dials["most_steps"].value = 2  # the page answers meanwhile
        assert not start.panel.fault
        start.work.stop_button.click()
        await start.work.task

    asyncio.run(play())
    assert "stopped" in start.work.report and start._scores is before
    assert not start.panel.fault  # what was searched before is still there


@pytest.mark.slow
@pytest.mark.parametrize("kernel", [True, False])
def test_the_search_finds_the_family_around_another_blade(kernel, monkeypatch):
    start = start_panel()
    # A smaller family than the reader's, through the same processes.
    monkeypatch.setattr("bladelab.show.panels.advice.start.Family", lambda blade: Family(blade, 1, 0, 1))
    start.panel.dials["radius_mm"].value = 3352.8
    assert start.panel.fault
    told = []
    start.work.bar.observe(lambda change: told.append(change["new"]), names="value")

    async def play():
        start.search()
        await start.work.task

    if kernel:
        asyncio.run(play())
    else:
        start.search()
    assert not start.panel.fault
    assert f" of {len(start._scores.family):,} blades are worth a look" in start.panel.sentence_text
    assert start.work.report.startswith(f"searched: {len(start._scores.family):,} blades within 1 ft")
    assert told == sorted(told) and len(told) > 3 and told[-1] == start.work.bar.max


@pytest.mark.slow
def test_a_search_that_cannot_begin_says_why(monkeypatch):
    start = start_panel()

    def no_family(blade):
        raise InputError("the radius is too small")

    monkeypatch.setattr("bladelab.show.panels.advice.start.Family", no_family)
    start.search()
    assert start.work.report == "the search failed: the radius is too small" and start.work.fault
