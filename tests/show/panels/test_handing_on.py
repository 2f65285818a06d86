"""What one panel finds goes on to the others through the card: nothing is entered twice."""

import datetime
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from bladelab import Blade, Hollow, Rocker, Trace
from bladelab.advice.single_change import single_changes
from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.shape_now import shape_now
from bladelab.book.steel_happenings import Fitted, Measured, Sharpened, Stated, SteelMeasured
from bladelab.book.team import standing
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.advice.match import match_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.advice.start import start_panel
from bladelab.show.panels.advice.trials import TrialsPanel
from bladelab.show.panels.workshop.cut import cut_panel
from bladelab.show.panels.workshop.groove import groove_panel
from bladelab.show.panels.workshop.measure import measure_panel
from bladelab.show.panels.workshop.measured_files import DEMO, measured
from bladelab.show.panels.workshop.photo import EXAMPLE, photo_panel, set_dials
from bladelab.show.panels.workshop.season import season_panel
from bladelab.show.panels.workshop.sides import sides_panel
from bladelab.show.wording.changes import in_words
from bladelab.workshop.compare import deviation
from bladelab.workshop.gauge import gauge_on
from bladelab.workshop.radius import fit_radius
from tests.journeys.edges import heights, write_plain
from tests.show.engine_checks import click, hand, units

DAY = datetime.date(2026, 9, 1)
GAUGED = np.arange(-100.0, 101.0, 20.0)
FLATTER = Blade(Rocker.single(3352.8, 284.0), Hollow(12.7, 2.9))
PRESENT = Blade(Rocker.single(2743.2, 284.0), Hollow(12.7, 2.9))


@pytest.fixture
def card(book_file):
    """A skater with one set of steel of which only the shape is stated."""
    SKATER.begin("K07")
    SKATER.write(Fitted("S1"), Stated("S1", PRESENT), on=DAY)
    return SKATER


def buttons(panel):
    return [text for _, text in panel.bar.page()["buttons"]]


def press(panel, start):
    """Press the button of the bar whose text starts so."""
    (name,) = [name for name, text in panel.bar.page()["buttons"] if text.startswith(start)]
    panel.bar.act("press", name)
    assert not SKATER.trouble


@pytest.fixture
def own(tmp_path, monkeypatch):
    """The reader's own files beside the notebook: both edges, and a photograph."""
    folder = tmp_path / "notebook"
    (folder / "measured").mkdir(parents=True)
    monkeypatch.chdir(folder)
    for seed, side in enumerate(("left", "right")):
        write_plain(Path("measured", f"{side}.csv"), *heights(PRESENT.rocker, seed))
    shutil.copy(DEMO / "blade_photo.png", "measured/mine.png")
    return {one.name: f"measured/{one.name}" for one in Path("measured").iterdir()}


@pytest.mark.slow
def test_what_is_invented_does_not_go_on_a_card(card, own):
    measuring, pair, photo = measure_panel(), sides_panel(), photo_panel().panel
    click(photo, "set up the example")
    assert photo.result.trace is not None
    for panel in (measuring, pair, photo):
        assert not [text for text in buttons(panel) if "edge" in text], panel.panel_name
    pair.dials["left"].value = own["left.csv"]
    assert not [text for text in buttons(pair) if "edge" in text], "the right one is still invented"
    pair.dials["right"].value = own["right.csv"]
    assert "keep both edges on the card" in buttons(pair)


def test_a_measured_file_becomes_the_left_edge_and_the_others_begin_with_it(card, own):
    measuring = measure_panel()
    measuring.dials["file"].value = file = own["left.csv"]
    press(measuring, "it is the left edge")
    assert SKATER.card.edge("left").measured == measured(file)
    measuring.catch_up()
    assert not [text for text in buttons(measuring) if text.startswith("it is the")]
    words = [text for text, _ in measuring.dials["file"].control.options]
    assert words[0].startswith("left edge (card, ")
    assert cut_panel().state().present.shape.how == "measured"
    assert measure_panel().state().file == measured(file)  # tomorrow it opens on the card's own


def test_a_file_put_there_later_is_in_the_list_when_the_reader_is_back(card, own):
    measuring = measure_panel()
    write_plain(Path("measured", "later.csv"), *heights(PRESENT.rocker, 2))
    measuring.look()
    assert "later.csv" in [words for words, _ in measuring.dials["file"].control.options]


def test_both_edges_go_on_the_card_at_once(card, own):
    panel = sides_panel()
    with panel.quiet():
        panel.dials["left"].value, panel.dials["right"].value = own["left.csv"], own["right.csv"]
    press(panel, "keep both edges on the card")
    left, right = (SKATER.card.edge(side).measured for side in ("left", "right"))
    assert left is not None and right is not None and left != right
    panel.catch_up()
    assert "keep both edges on the card" not in buttons(panel)
    again = sides_panel()
    assert (again.state().left, again.state().right) == (left, right)
    np.testing.assert_allclose(again.result.apart.difference_mm, panel.result.apart.difference_mm)


def one_change():
    """The map of single changes with a row chosen: the hollow, which has no zone."""
    panel = single_change_panel()
    (shallower,) = [key for text, key in panel.dials["change"].control.options if "shallower" in text]
    panel.dials["change"].value = shallower
    return panel


@pytest.mark.slow
@pytest.mark.parametrize(
    "find",
    [match_panel, lambda: start_panel().panel, one_change],
    ids=["matched", "picked", "changed"],
)
def test_the_blade_that_was_found_becomes_the_trial(card, find):
    panel = find()
    made = panel.result.makes
    press(panel, "try this next")
    assert SKATER.card.trial == made
    panel.catch_up()
    assert not [text for text in buttons(panel) if text.startswith("try this next")]
    compared = compare_panel().panel.state().trial
    assert compared.hollow_mm == pytest.approx(made.hollow.radius_mm)
    assert compared.length_mm == pytest.approx(284.0)


@pytest.mark.slow
def test_a_single_change_is_chosen_by_its_words_and_stays_that_change(card):
    panel = single_change_panel()
    menu = panel.dials["change"]
    assert panel.result.makes is None and menu.value == "" and menu.shown
    words = [text for text, _ in menu.control.options]
    assert words == ["none", *(in_words(change) for change in single_changes(PRESENT))]
    menu.value = menu.control.options[1][1]
    assert panel.result.makes.rocker.zones[0].radius_mm == pytest.approx(2743.2 + 304.8)
    with units("metric"):
        assert menu.control.options[1][0] == "0.30 m flatter overall"
        assert panel.result.makes.rocker.zones[0].radius_mm == pytest.approx(2743.2 + 304.8)
    panel.dials["shape"].value = "stepped"  # another blade has other changes; this one it has too
    assert len(menu.control.options) > len(words) and panel.result.chosen.part == "whole shape"
    SKATER.choose("")
    panel.catch_up()
    assert not menu.shown


def test_a_file_that_came_since_is_in_the_menu_when_the_reader_is_back(card, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panels = {"file": measure_panel(), "left": sides_panel()}
    write_plain(tmp_path / "measured" / "k07.csv", *heights(PRESENT.rocker, 1))
    for name, panel in panels.items():
        chosen = panel.dials[name].value
        panel._from_page(panel, {"do": "look"}, [])
        assert "k07.csv" in [text for text, _ in panel.dials[name].control.options]
        assert panel.dials[name].value == chosen


def test_with_no_skater_no_panel_offers_anything_of_a_card(book_file):
    for panel in (measure_panel(), sides_panel(), match_panel(), cut_panel()):
        assert buttons(panel) == [] and panel.bar.page()["says"] == ""
    assert not book_file.exists()


def test_a_card_that_is_closed_leaves_no_menu_behind(card, own):
    panel = measure_panel()
    panel.dials["file"].value = own["right.csv"]
    press(panel, "it is the right edge")
    SKATER.choose("")
    panel.catch_up()
    assert not [text for text, _ in panel.dials["file"].control.options if "card" in text]
    assert isinstance(panel.state().file, str)


def rate(box, **ratings):
    for key, value in ratings.items():
        box.form.ratings[key].value = value


def test_trials_are_the_cards_own_with_the_conditions_of_the_day_and_can_be_taken_back(card, tmp_path):
    SKATER.write(Circumstances(mass_kg=61.0, temperature_C=-6.0, speed_m_s=5.0), Decided(FLATTER))
    box = TrialsPanel(tmp_path / "trials.csv")
    assert box.source.label == "the card of K07" and box.form.code.value == "K07"
    assert box.form.skated.label.startswith("the trial: ")
    rate(box, glide=4, hold=3)
    box.form.add()
    (entry,) = SKATER.card.trials
    assert entry.what.blade == FLATTER and entry.what.ratings == {"glide": 4, "hold": 3}
    assert (entry.what.mass_kg, entry.what.temperature_C, entry.what.speed_m_s) == (61.0, -6.0, 5.0)
    assert "K07, 1 trial" in box.panel.result.finding and not (tmp_path / "trials.csv").exists()
    box.form.take_back()
    assert SKATER.card.trials == () and "no trial in this log yet" in box.panel.sentence_text
    assert box.form.ratings["glide"].value == 4  # it is back in the form


def test_a_card_that_is_closed_gives_the_log_back_to_the_file(card, tmp_path):
    box = TrialsPanel(tmp_path / "trials.csv")
    SKATER.choose("")
    assert box.source.label == "an invented group, to look at"
    box.form.code.value = "K08"
    rate(box, glide=4)
    box.form.add()
    assert (tmp_path / "trials.csv").exists() and "my own" in box.source.label


def test_a_seasons_plan_goes_on_the_card_and_says_what_is_due(card):
    today = datetime.date.today()
    SKATER.write(SteelMeasured("S1", height_mm=12.0, least_mm=9.0), Circumstances(hours_per_week=5.0))
    panel = season_panel()
    panel.dials["present.hours_per_sharpening"].value = 8.0
    press(panel, "keep the present plan on the card")
    plan, season = SKATER.card.season, panel.result.seasons["present"]
    assert (plan.start, plan.end) == (today, today + datetime.timedelta(weeks=36))
    weeks = [(day - today).days / 7 for day in plan.reprofile_on]
    assert weeks == list(season.plan.reprofile_weeks) == [0.0, 18.0, 32.0]
    assert plan.hours_per_sharpening == 8.0
    stops = float(np.median(season.spent_week))
    assert (plan.steel_until - today).days == 7 * int(min(stops, 36))
    panel.catch_up()
    assert "keep the present plan on the card" not in buttons(panel)
    assert "keep the trial plan on the card" in buttons(panel)
    row = standing(SKATER.card, today)
    assert row.due[0] == "reprofile" and (row.allowed.hours, row.allowed.by) == (8.0, "plan")


def test_a_plan_says_nothing_of_steel_that_nobody_measured(card):
    panel = season_panel()
    press(panel, "keep the trial plan on the card")
    assert SKATER.card.season.steel_until is None


def test_the_season_begins_with_the_skaters_usual_hours(card):
    SKATER.write(Circumstances(hours_per_week=7.0), on=DAY)
    for days in (0, 9, 18, 27):
        SKATER.write(Sharpened("S1"), on=DAY + datetime.timedelta(days=days))
    assert season_panel().state().present.hours_per_sharpening == 9.0


def test_a_measured_groove_becomes_the_hollow_of_its_edge(card):
    panel = groove_panel()
    assert panel.sentence_text.startswith("This groove is an example")
    panel.dials["depth_b_mm"].value = 0.06
    assert not [text for text in buttons(panel) if text.endswith("hollow")], "nothing was measured yet"
    hand(panel, "depth_a_mm", 50)
    assert "example" not in panel.sentence_text
    reading = panel.result.reading
    press(panel, "it is the left hollow")
    assert SKATER.card.edge("left").hollow_mm == reading.radius_mm
    assert SKATER.card.edge("right").hollow_mm == PRESENT.hollow.radius_mm, "the other edge was not measured"
    assert SKATER.card.steel["S1"].width_mm == reading.width_mm
    panel.catch_up()
    offered = [text for text in buttons(panel) if text.endswith("hollow")]
    assert offered == ["it is the right hollow"]
    panel.dials["depth_error_mm"].value = 0.02
    hand(panel, "depth_a_mm", 0)  # as shallow as its error: a flat bottom would agree too
    press(panel, "it is the right hollow")
    *_, entry = SKATER.book.entries("K07")
    assert entry.what.high_mm is None and entry.what.low_mm < entry.what.hollow_mm


def test_a_photograph_goes_on_the_card_with_all_of_its_error(card, own):
    panel = photo_panel().panel
    assert not [text for text in buttons(panel) if "edge" in text], "nothing is set yet"
    with panel.quiet():
        panel.dials["file"].value = own["mine.png"]
    with panel.quiet():
        set_dials(panel, EXAMPLE)
    photo = panel.result.trace
    press(panel, "it is the left edge")
    edge = SKATER.card.edge("left").measured
    assert SKATER.book.entries("K07")[-1].note == "from a photograph"
    found = fit_radius(edge.x_mm, edge.y_mm, edge.error_mm)
    assert found.radius_mm == pytest.approx(photo.fit.radius_mm, rel=0.01)
    assert found.standard_error_mm == pytest.approx(photo.standard_error_mm, rel=0.02)
    assert shape_now(SKATER.card.edge("left"), 284.0).how == "measured"
    # What the lens may have bent is not told as a blade that is not as ordered.
    asked = Rocker.single(photo.fit.radius_mm + photo.standard_error_mm, 284.0)
    assert deviation(edge, asked, tolerance_mm=0.03).verdict != "outside"
    assert deviation(photo.trace, asked, tolerance_mm=0.03).verdict == "outside", (
        "as the picture's points would"
    )


def test_edges_read_by_a_gauge_can_be_laid_over_each_other(card):
    ten, nine = (gauge_on(Rocker.single(mm, 284.0), GAUGED, 60.0) for mm in (3048.0, 2743.2))
    SKATER.write(Measured("S1", "left", replace(ten, error_mm=0.003)))
    SKATER.write(Measured("S1", "right", replace(nine, error_mm=0.003)))
    panel = sides_panel()
    assert panel.state().left == SKATER.card.edge("left").measured and not panel.fault
    assert "Left and right differ" in panel.result.finding and "Gauge readings" in panel.sentence_text
    assert standing(SKATER.card, datetime.date.today()).sides_differ is True
    SKATER.write(Measured("S1", "right", replace(ten, error_mm=0.003)))
    SKATER.load()
    panel.catch_up()
    assert "show no difference" in panel.result.finding
    assert standing(SKATER.card, datetime.date.today()).sides_differ is False


def test_edges_that_differ_by_less_than_an_order_allows_are_not_to_be_ground(card):
    for side, spot, seed in (("left", 0.0, 1), ("right", 0.02, 2)):
        SKATER.write(Measured("S1", side, Trace(*heights(PRESENT.rocker, seed, spot))))
    panel = sides_panel()
    assert panel.result.apart.stretches_mm and abs(panel.result.apart.largest_mm) < 0.03
    assert "no reason to have anything ground" in panel.sentence_text
    assert "Have both ground" not in panel.sentence_text
    assert standing(SKATER.card, datetime.date.today()).sides_differ is False
