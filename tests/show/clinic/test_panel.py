"""The clinic's panel: each choice reaches the slides, faults are told and lose nothing."""

import asyncio
import base64
import io
import random
import re

import pytest
from PIL import Image

from bladelab.show.clinic.deck import TOPICS, build_deck
from bladelab.show.clinic.drawing import Page
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.clinic.overview import Overview
from bladelab.show.clinic.panel import ClinicPanel
from bladelab.show.controls.control import Tick
from tests.show.clinic.hands import click, keep_only, no_thumbnails, press
from tests.show.engine_checks import draw_value, extremes, units, unnamed


def test_a_closed_panel_is_at_rest(panel):
    before = panel.panel.sentence_text
    panel.close()
    with units("metric"):
        assert panel.panel.sentence_text == before


@pytest.mark.slow
def test_it_starts_with_every_slide_of_the_whole_clinic(tmp_path):
    """A reader without a kernel gets them in one picture and as text, the same in every run."""
    panel = ClinicPanel(tmp_path)
    assert panel.deck == build_deck("adults", TOPICS, Examples())
    assert not panel.panel.fault and panel.panel.sentence_text.startswith(
        "24 slides for adults. Blade A: rocker 10\u00a0ft"
    )
    assert panel.overview.value.count("<img") == 24 and panel.overview.value.count("aria-current=") == 1
    bundle, _ = panel._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in bundle
    for slide in panel.deck.slides:
        assert slide.title in bundle["text/plain"] and slide.sentence in bundle["text/plain"]
    assert Image.open(io.BytesIO(base64.b64decode(bundle["image/png"]))).width > 900
    with no_thumbnails():
        again, _ = ClinicPanel()._repr_mimebundle_()  # its words are compared
    assert bundle["text/plain"] == again["text/plain"]
    keep_only(panel, "rocker")
    assert panel.overview.value.count("<img") == 6


@pytest.mark.slow
def test_a_slider_moves_the_slides(panel):
    for number in range(24):
        panel.go_to(number)
        radius_mm = 3352.8 + number % 2
        panel.panel.dials["radius_a_mm"].value = radius_mm
        fresh = build_deck("adults", examples=Examples(radius_a_mm=radius_mm))
        assert panel.deck.slides[number].sentence == fresh.slides[number].sentence
        page = Page()
        page.draw(fresh.slides[number], number + 1)
        assert unnamed(panel.panel._frame) == unnamed(page.html(fresh.slides[number].alt))


@pytest.mark.slow
def test_audience_units_topics(panel):
    for audience in AUDIENCES:
        panel.panel.dials["audience"].value = audience
        assert panel.deck == build_deck(audience)
    with units("metric"):
        assert panel.deck == build_deck("coaches", system="metric")
        assert "3.05\u00a0m" in panel.panel.sentence_text
    panel.panel.dials["audience"].value = "young players"
    assert [key for key in TOPICS if not panel.panel.dials[key].shown] == ["zones", "steel", "season"]
    panel.panel.dials["audience"].value = "coaches"
    for key in TOPICS:
        panel.panel.dials[key].value = False
    assert panel.panel.fault and panel.panel.sentence_text.startswith("No topic is chosen")
    assert len(panel.deck.slides) == 6, "the last good deck stays"
    panel.panel.dials["turn"].value = True
    assert not panel.panel.fault and [s.key for s in panel.deck.findings] == ["turn"]


@pytest.mark.slow
def test_the_overview_follows(small_panel):
    keep_only(small_panel, "hollow")
    assert small_panel.overview.value.count("<img") == 6
    before = small_panel.overview.value
    small_panel.go_to(2)
    assert small_panel.overview.value != before, "it marks the slide shown"


def test_blades_that_agree_are_told_and_the_slides_stay(panel):
    before, picture = panel.deck, panel.panel._frame
    panel.panel.dials["radius_a_mm"].value = panel.panel.dials["radius_b_mm"].value
    assert panel.panel.fault and "must differ" in panel.panel.sentence_text and panel.panel._fault
    assert panel.deck == before and panel.panel._frame == picture
    panel.panel.dials["radius_a_mm"].value = 3048.0
    assert not panel.panel.fault and panel.deck == before


@pytest.mark.slow
def test_turning_the_pages(panel):
    titles = []
    for _ in range(24):
        titles.append(panel._texts["title"].value)
        press(panel, "next ▶")
    assert titles == [slide.title for slide in panel.deck.slides]
    assert panel._texts["title"].value == titles[0]
    press(panel, "◀ back")
    assert panel._texts["title"].value == titles[-1]
    panel.go_to(4)
    assert panel._texts["notes"].value == panel.deck.slides[4].notes


def test_own_words(panel):
    panel.go_to(3)
    ours = panel.deck.slides[3].title
    panel._texts["title"].value = "My <own> title & more"
    assert panel.deck.slides[3].title == "My <own> title & more"
    assert "Slide 4 keeps your own words" in panel.panel.sentence_text
    panel.panel.dials["mass_kg"].value = 90
    assert panel.deck.slides[3].title == "My <own> title & more", "they outlive a slider"
    panel.panel.dials["audience"].value = "coaches"
    assert panel.deck.slides[3].title != "My <own> title & more", "each audience has its own"
    panel.panel.dials["audience"].value = "adults"
    assert panel._texts["title"].value == "My <own> title & more"
    click(panel, "put the original words back")
    assert panel.deck.slides[3].title == ours and "own words" not in panel.panel.sentence_text
    panel._texts["sentence"].value = "word " * 90
    assert panel.panel.fault and re.search(r"Slide 4 .*please shorten it", panel.panel.sentence_text)
    click(panel, "put the original words back")
    assert not panel.panel.fault


@pytest.mark.slow
def test_every_choice_at_its_ends(panel):
    for name, dial in panel.panel.dials.items():
        if isinstance(dial.control, Tick) or name == "slide":
            continue
        before = dial.value
        for value in extremes(dial):
            dial.value = value
            assert panel.panel.sentence_text and "nan" not in panel.panel.sentence_text, name
            for slide in panel.deck.slides:
                assert not re.search(r"\b(nan|inf|None)\b", slide.title + slide.sentence + slide.notes), name
        dial.value = before
    assert not panel.panel.fault


def test_random_states(panel):
    chance = random.Random(3)
    for _ in range(6):
        for dial in chance.sample(list(panel.panel.dials.values()), 3):
            dial.value = draw_value(dial, chance)
        assert len(panel.panel.sentence_text) > 10
        if not panel.panel.fault:
            panel.deck.check()


@pytest.mark.slow
def test_in_a_running_kernel(small_panel, tmp_path):
    """Drawing of the overview waits until nothing has moved for a moment; an export can be stopped, and what
    it wrote is whole."""
    panel = small_panel
    keep_only(panel, "hollow")

    async def play():
        old = panel.overview.value
        for mass in (70, 71, 72):
            panel.panel.dials["mass_kg"].value = mass
        assert panel.overview.value == old and "159\u00a0lb" in panel.panel.sentence_text, (
            "the slide shown is renewed at once"
        )
        await panel.at_rest.task
        assert panel.overview.value != old and panel.overview.value.count("<img") == 6
        panel.files.export()
        while not panel.files.work.bar.value:
            await asyncio.sleep(0.01)
        panel.files.export()  # a second click does nothing
        panel.files.work.stop_button.click()
        await panel.files.work.task

    asyncio.run(play())
    assert re.fullmatch(r"Stopped after \d+ of 18 files; each of them is complete\.", panel.files.work.report)
    written = [p for p in tmp_path.rglob("*") if p.is_file()]
    assert 1 <= len(written) < 18
    assert all(p.stat().st_size > 1000 and not p.name.startswith(".") for p in written)


def test_the_picture_of_all_slides_asked_for_while_they_are_drawn():
    """It draws what is missing, and the drawing that goes on then draws no slide twice."""
    overview, deck = Overview(), build_deck(topics=["rocker"])
    drawing = overview.drawing(deck, 0)
    next(drawing)
    whole = overview.png(deck)
    assert list(drawing) == []
    assert overview.value.count("<img") == 6 and overview.png(deck) == whole
