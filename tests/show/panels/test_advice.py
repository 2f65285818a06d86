"""The panels of advice behave like every panel, say what the library says, and lose nothing."""

from __future__ import annotations

import datetime
import re

import numpy as np
import pytest

from bladelab import (
    MOMENTS,
    Blade,
    Conditions,
    Hollow,
    Ice,
    Rocker,
    Zone,
    inches,
    match_hollow,
    scorecard,
    solve_contact,
)
from bladelab.advice.blade_file import load_blade, save_blade
from bladelab.advice.change_map import single_change_map
from bladelab.book.entry import Entry
from bladelab.book.exchange import export_json
from bladelab.book.happenings import Joined
from bladelab.book.store import open_book
from bladelab.show.controls.blade import blade_of
from bladelab.show.controls.blade_dials import dials_of
from bladelab.show.panel.blade_shelf import _is_book, show_blade
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.advice.match import match_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.advice.start import start_panel
from bladelab.show.panels.advice.trials import trials_panel
from bladelab.show.wording.units_shown import UNITS
from tests.show.engine_checks import (
    assert_speaks,
    check_bundle,
    check_panel,
    extremes,
    tile_colours,
    units,
)

NAMED = {moment.name: moment for moment in MOMENTS}
PANELS = [lambda: compare_panel().panel, match_panel, single_change_panel]
WAITING = [lambda: start_panel().panel, lambda: trials_panel().panel]


@pytest.mark.slow
@pytest.mark.parametrize("make_panel", PANELS, ids=["compare", "match", "single change"])
def test_it_does_what_every_panel_does(make_panel):
    check_panel(make_panel)


@pytest.mark.slow
@pytest.mark.parametrize("make_panel", WAITING, ids=["start", "trials"])
def test_readers_without_a_kernel_see_it(make_panel):
    check_bundle(make_panel)


@pytest.mark.slow
@pytest.mark.parametrize("box", [compare_panel, start_panel, trials_panel])
def test_a_box_shows_the_picture_of_its_panel(box):
    made = box()
    bundle, metadata = made._repr_mimebundle_()
    inner, _ = made.panel._repr_mimebundle_()
    assert bundle["image/png"] == inner["image/png"] and bundle["text/plain"] == inner["text/plain"]
    assert "application/vnd.jupyter.widget-view+json" in bundle and "image/png" in metadata


# The scorecard ----------------------------------------------------------------------------------


def test_the_scorecard_says_what_the_library_says():
    panel = compare_panel().panel
    panel.dials["moment"].value = NAMED["tight turn"]
    blades = [Blade(Rocker.single(r, 280), Hollow(15.875, 2.9)) for r in (3048, 3657.6)]
    card = scorecard(*blades, Conditions(moments=(NAMED["tight turn"],)), n=60)
    assert panel.sentence_text.startswith(card.sentences()[0])
    assert "One thing differs: radius of the rocker." in panel.sentence_text
    carve = [line.quantity.key for line in card.lines].index("carve")
    assert panel.view.bars[carve]["bar"].get_width() == pytest.approx(20.0, abs=0.01)
    assert panel.view.rows[carve]["says"].get_text() == "turns 20 % wider"


def test_the_table_of_all_moments_is_saved(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    from bladelab.show.panels.advice.compare import save_card

    panel = compare_panel().panel
    save_card(panel)
    (file,) = (tmp_path / "saved").iterdir()
    text = file.read_text(encoding="utf-8")
    notes, table = text.split("moment,quantity,unit,present,present_band")
    assert str(datetime.date.today()) in notes and "# present: radius" in notes and "# trial: radius" in notes
    assert max(len(cell.lstrip("-0.")) for cell in re.findall(r"(?<=,)[-0-9.]+(?=,)", table)) <= 5
    assert all(moment.name in text for moment in MOMENTS)


def test_blades_go_to_the_shelf_and_come_back(tmp_path):
    box = compare_panel(tmp_path)
    panel, shelf = box.panel, box.shelf
    shelf.take("trial")
    assert "No blade has been saved yet." in shelf.message.value
    with panel.quiet():
        panel.dials["trial.shape"].value = "blended"
        panel.dials["trial.zone_radius_2_mm"].value = 4000.0
        panel.dials["trial.pivot_mm"].value = 7.0
    shelf.name.value = "Åsa's <flat> one"
    shelf.save("trial")
    assert (tmp_path / "asa-s-flat-one.json").exists()
    name, blade = load_blade(tmp_path / "asa-s-flat-one.json")
    assert name == "Åsa's <flat> one" and blade.rocker.zones[1].radius_mm == 4000.0
    shelf.save("trial")
    assert "Not saved: asa-s-flat-one.json is there already" in shelf.message.value
    shelf.take("present")
    assert vars(panel.state().present)["zone_radius_2_mm"] == 4000.0
    assert "The two blades are the same." in panel.sentence_text
    assert "<flat>" not in shelf.message.value  # what people type is shown as text


def test_a_blade_that_the_sliders_can_not_show_moves_none_of_them(tmp_path):
    panel = compare_panel().panel
    before = vars(panel.state().trial)
    with pytest.raises(ValueError, match=r"radius is 295.28 ft, and its dial goes from 3.94 ft to 40.03 ft"):
        show_blade(panel, "trial", Blade(Rocker.single(90000.0, 300), Hollow(12.7, 3.0)))
    five = Blade(Rocker((Zone(3000, 50),) * 5), Hollow(12.7, 3.0))
    with pytest.raises(ValueError, match="5 zones; the sliders show at most 4"):
        dials_of(five)
    assert vars(panel.state().trial) == before
    save_blade(tmp_path / "five.json", five, "five")
    box = compare_panel(tmp_path)
    box.shelf.take("trial")
    assert "Not loaded: the blade has 5 zones" in box.shelf.message.value


@pytest.mark.parametrize(
    ("name", "file"),
    [
        ("../etc/passwd", "etc-passwd.json"),
        ("雪", "blade.json"),
        ("CON", "con-blade.json"),
        ("Lpt1", "lpt1-blade.json"),
        ("x" * 60, "x" * 60 + ".json"),
    ],
)
def test_blades_get_file_names_that_every_system_takes(name, file, tmp_path):
    shelf = compare_panel(tmp_path).shelf
    shelf.name.value = name
    shelf.save("present")
    assert [path.name for path in tmp_path.iterdir()] == [file], shelf.message.value


# The match --------------------------------------------------------------------------------------


@pytest.mark.parametrize("hollow_mm", [8.0, 38.1])
def test_the_tags_of_a_match_keep_to_the_picture(hollow_mm):
    panel = match_panel()
    panel.dials["hollow_mm"].value = hollow_mm
    room = panel.view.axes.get_window_extent()
    for tag in panel.view.tags.values():
        box = tag.get_window_extent()
        assert not tag.get_visible() or (room.x0 <= box.x0 and box.x1 <= room.x1), tag.get_text()


@pytest.mark.parametrize("keep", ["bite", "hold", "yaw_hold"])
def test_the_match_says_what_the_library_says(keep):
    panel = match_panel()
    panel.dials["keep"].value = keep
    present = Blade(Rocker.single(3048, 280), Hollow(15.875, 2.9))
    rocker, moment = Rocker.single(3657.6, 280), NAMED["stride push"]
    found = match_hollow(present, rocker, moment.stance(75), Ice(-5), keep, moment.gliding)
    assert f"exact match is {UNITS.say('hollow', found.radius_mm)}" in panel.sentence_text
    assert panel.view.match.get_xdata()[0] == pytest.approx(found.radius_mm)
    # The match by hold angle lies 2 % from the present hollow, the next one to be had 10 %.
    assert "by bite deeper in every moment; by hold angle the same in every moment" in panel.sentence_text
    assert re.search(r"by yaw hold shallower in \d moments?, the same in \d\.", panel.sentence_text)
    said = re.search(
        r"(the nearest you can order|than the present hollow), ([\d/ ]+ in),", panel.sentence_text
    )
    assert said and (said[1] == "than the present hollow") == (said[2] == "5/8 in")
    order = Hollow(inches(said[2]), 2.9)
    score = {"bite": "depth_mm", "hold": "hold_deg", "yaw_hold": "yaw_hold_Nm"}[keep]
    trial, before = (
        getattr(solve_contact(blade, moment.stance(75), Ice(-5), moment.gliding), score)
        for blade in (Blade(rocker, order), present)
    )
    remains = 100 * (trial / before - 1)
    said = f"gives {abs(remains):.0f} % {'more' if remains > 0 else 'less'}."
    assert (said if abs(remains) >= 0.5 else "gives as much.") in panel.sentence_text


@pytest.mark.slow
@pytest.mark.parametrize("system", ["feet and inches", "metric"])
@pytest.mark.parametrize("hollow_mm", [12.7, 13.0, 9.525, 30.2])
def test_what_a_match_offers_can_be_ordered_and_is_called_by_what_it_says(system, hollow_mm):
    """Ordered are the usual fractions, a sixteenth apart and more, and in metric units half millimetres:
    common practice, no source."""
    with units(system):
        panel = match_panel()
        with panel.quiet():
            panel.dials["hollow_mm"].value = hollow_mm
            panel.dials["trial.radius_mm"].value = 3200.0
        present, texts = UNITS.say("hollow", hollow_mm), set()
        for moment in MOMENTS[2:]:
            panel.dials["moment"].value = moment
            texts |= {
                cell.get_text() for row in panel.view.tiles.words for cell in row if "\n" in cell.get_text()
            }
            title = panel.view.headline.get_text().partition(": ")[2]
            texts.add(title.removeprefix("a ").replace(" hollow, ", "\n"))
        assert len(texts) > 2
        for text in texts:
            verdict, said = text.split("\n")
            number = float(inches(said)) if said.endswith("in") else float(said.removesuffix(" mm"))
            assert (verdict == "the same") == (said == present), text
            if verdict != "the same":
                assert (verdict == "shallower") == (number > hollow_mm), text
                steps = number / 25.4 * 16 if said.endswith("in") else number / 0.5
                assert steps == pytest.approx(round(steps), abs=1e-6), text


def test_a_tile_of_the_match_has_the_colour_of_its_verdict():
    panel, colours = match_panel(), {}
    tile = tile_colours(panel, panel.view.table)
    for row, cells in enumerate(panel.view.tiles.words):
        for column, cell in enumerate(cells):
            verdict = cell.get_text().split("\n")[0]
            colours.setdefault(verdict, set()).add(tile(column, row))
    assert set(colours) == {"shallower", "deeper", "the same", "–"} and colours["–"] == {(255, 255, 255)}
    assert len(set.union(*colours.values())) == 4  # one for each, another for each


def test_upright_the_hold_can_not_be_matched_and_says_so():
    panel = match_panel()
    panel.dials["moment"].value = NAMED["one-foot glide"]
    assert not panel.fault and "Upright, both edges hold alike" in panel.sentence_text
    assert not panel.view.match.get_visible()


# The single changes -----------------------------------------------------------------------------


def test_the_map_shows_what_is_beyond_a_day():
    panel = single_change_panel()
    panel.dials["moment"].value = NAMED["stride push"]
    words = [name.get_text() for name in panel.view.names if name.get_text()]
    row = panel.view.tiles.words[words.index("deeper hollow, 9/16 in")]
    assert row[3].get_text() == "+11 %"  # the hold angle
    assert row[0].get_text() == ""  # no glide friction at rest
    assert "hold angle: deeper hollow, 9/16 in" in panel.sentence_text
    tile = tile_colours(panel, panel.view.axes)
    assert tile(0, words.index("deeper hollow, 9/16 in")) == (255, 255, 255)
    state = panel.state()
    conditions = Conditions(state.mass_kg, Ice(state.temperature_C), moments=(state.moment,))
    found = single_change_map(blade_of(state), conditions)
    for row, column in np.argwhere(np.isfinite(found.effects[:, :, 0])):
        red, green, blue = tile(column, row)
        grey, effect = max(abs(part - 232) for part in (red, green, blue)) <= 1, found.effects[row, column, 0]
        assert grey != found.beyond_band[row, column, 0]
        if not grey and abs(effect) > 2:  # per cent: more is orange, less violet
            assert (red > blue) == (effect > 0)


@pytest.mark.slow
def test_the_sliders_of_the_waiting_panels_go_to_their_ends():
    for box in (start_panel(), trials_panel()):
        for name in ("hollow_mm", "mass_kg", "speed_m_s", "temperature_C"):
            dial = box.panel.dials[name]
            before = dial.value
            for value in extremes(dial):
                dial.value = value
                assert_speaks(box.panel)
            dial.value = before
        assert not box.panel.fault


def test_an_exported_book_is_no_blade_on_the_shelf(tmp_path):
    book = open_book(tmp_path / "book.sqlite")
    book.add(Entry("K07", datetime.date(2026, 11, 3), Joined("U14")))
    export_json(book, tmp_path / "book-1.json")
    shelf = compare_panel(tmp_path).shelf
    assert shelf.saved.options == ()
    shelf.name.value = "ten"
    shelf.save("present")
    assert not _is_book(tmp_path / "gone.json")  # which somebody else deleted
