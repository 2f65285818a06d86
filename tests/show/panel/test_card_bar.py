"""The bar over a panel: whose card, which side, and what other notebooks did."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from bladelab.book.happenings import Circumstances, Joined
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.book.store import open_book
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.show.clinic.overview import Overview
from bladelab.show.clinic.panel import clinic_panel
from bladelab.show.controls import debounce
from bladelab.show.controls.blade import blade_of
from bladelab.show.panel.card_bar import CARD_IS_OPEN
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.workshop.season import season_panel
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS
from tests.show.bars import make
from tests.show.engine_checks import hand
from tests.show.panel.cards import (
    PRESENT,
    TRIAL,
    ask,
    buttons,
    press,
    values,
    write,
)

pytestmark = pytest.mark.usefixtures("unseen_pictures")


def test_with_no_skater_there_is_only_the_choice_and_every_dial_has_its_default(book_file):
    panel = main_panel()
    empty = dict.fromkeys(("code", "side", "says", "told"), "")
    assert panel._bar == empty | {"looks": True, "codes": [], "fault": False, "buttons": []}
    hand(panel, "mass_kg", 3)
    hand(panel, "units", "metric")
    assert panel._bar["buttons"] == [] and not book_file.exists()
    assert "image/png" in panel._repr_mimebundle_()[0]


@pytest.mark.slow
def test_choosing_another_skater_moves_every_panel_of_the_notebook(known):
    write(known, Circumstances(mass_kg=81.0, units="metric"), skater="K08", choose=False)
    main, glide = main_panel(), glide_panel()
    ask(main, "choose", "K08")
    assert main.dials["mass_kg"].value == glide.dials["mass_kg"].value == 81.0
    assert main._bar["code"] == glide._bar["code"] == "K08"
    assert (
        UNITS.system == "metric"
        and "metric" == main._units.value
        and " kg" in main.dials["mass_kg"].page()["text"]
    )
    assert main._answered["dials"]["mass_kg"]["text"] == "81 kg", "the page hears of it"
    assert main.dials["present.hollow_mm"].value == 12.7, "what this card doesn't know stays"
    before = values(main)
    ask(glide, "choose", "")
    assert values(main) == before and main._bar["code"] == "" and SKATER.card is None
    assert open_book(known).chosen == ""


def test_a_new_skater_is_typed_as_a_code(known):
    panel = main_panel()
    ask(panel, "begin", "Anna")
    assert panel._bar["fault"] and "must be a code" in panel._bar["told"] and panel._bar["code"] == "K07"
    ask(panel, "begin", "K09")
    assert panel._bar["code"] == "K09" and panel._bar["codes"] == ["K07", "K09"]
    assert (panel._bar["told"], panel._bar["fault"]) == ("", False)
    said = Circumstances(units=UNITS.system)
    assert [entry.what for entry in open_book(known).entries("K09")] == [Joined(), said]


def test_mass_ice_and_speed_are_kept_with_one_button(known):
    panel = glide_panel()
    assert "keep" not in buttons(panel)
    hand(panel, "temperature_C", 4)
    panel.dials["mass_kg"].value = 64.0
    ice = panel.dials["temperature_C"].page()["text"]
    assert buttons(panel)["keep"] == f"keep on the card: skater 141 lb, ice {ice}"
    press(panel, "keep")
    assert SKATER.card.mass_kg == 64.0 and SKATER.card.temperature_C == panel.dials["temperature_C"].value
    assert SKATER.card.speed_m_s == 5.0 and "keep" not in buttons(panel) and "back" not in buttons(panel)
    (last,) = open_book(known).entries()[-1:]
    assert last.what == Circumstances(64.0, panel.dials["temperature_C"].value), (
        "only what had moved is written"
    )


def test_the_ice_to_reckon_with_is_kept_and_opened_on(known):
    panel = glide_panel()
    assert panel.dials["hardness"].value == "drop test" and "keep" not in buttons(panel)
    hand(panel, "hardness", 1)
    assert buttons(panel)["keep"] == "keep on the card: ice under the blade pressed: softer with time"
    press(panel, "keep")
    assert SKATER.card.hardness == "pressed" and "keep" not in buttons(panel)
    assert open_book(known).entries()[-1].what == Circumstances(hardness="pressed")
    assert main_panel().view.ice_name.get_text().endswith(", pressed")


def test_the_height_of_the_steel_is_kept_with_a_button_of_its_own(book_file):
    write(book_file, Circumstances(mass_kg=62.0, hours_per_week=6.0), Fitted("S1"))
    panel = season_panel()
    assert buttons(panel)["steel"] == "keep on the card: steel height now 14.0 mm, maker's minimum 9.0 mm"
    assert "keep" not in buttons(panel)
    panel.dials["height_mm"].value = 13.2
    press(panel, "steel")
    assert (SKATER.card.on("left").height_mm, SKATER.card.on("right").least_mm) == (13.2, 9.0)
    assert "steel" not in buttons(panel)
    panel.dials["least_mm"].value = 9.5
    assert buttons(panel)["steel"] == "keep on the card: maker's minimum 9.5 mm"
    press(panel, "steel")
    assert (SKATER.card.on("left").height_mm, SKATER.card.on("left").least_mm) == (13.2, 9.5)


def test_a_button_is_about_the_last_move_even_if_that_is_not_drawn_yet(known, monkeypatch):
    later = SimpleNamespace(call_soon=lambda work: SimpleNamespace(cancel=lambda: None))
    monkeypatch.setattr(debounce, "running_loop", lambda: later)
    monkeypatch.setattr(debounce, "_from_page", lambda: True)
    panel = single_change_panel()
    changes = panel.result.found.changes
    for row in (1, 2):  # the second step comes too soon to be drawn at once
        hand(panel, "change", row)
    assert panel.result.chosen != changes[1]
    panel._from_page(panel, {"do": "card", "act": "press", "value": "makes"}, [])
    assert SKATER.card.trial == changes[1].blade


def test_a_button_of_the_bar_says_what_it_wrote(known):
    panel = main_panel()
    hand(panel, "trial.hollow_mm", "1 in")
    press(panel, "trial")
    said = (
        "Written on the card of K07: Next to try: 9, 11 and 8 ft from heel to toe, blend 20 mm, hollow 1 in."
    )
    assert panel._report["text"] == said


def test_back_to_the_card_moves_the_dials_back(known):
    panel = main_panel()
    hand(panel, "mass_kg", 3)
    hand(panel, "trial.hollow_mm", "1 in")
    assert {"back", "keep", "trial"} == set(buttons(panel))
    press(panel, "back")
    assert panel.dials["mass_kg"].value == 62.0 and panel.dials["trial.hollow_mm"].value == 9.525
    assert buttons(panel) == {} and "141" not in panel.sentence_text


@pytest.mark.slow
def test_a_new_skaters_first_blade_puts_a_first_set_on_both_sides(book_file):
    SKATER.begin("K07")
    panel = main_panel()
    press(panel, "present")
    card = SKATER.card
    assert dict(card.fitted) == {"left": "S1", "right": "S1"}
    for side in ("left", "right"):
        assert Blade(
            card.edge(side).rocker, Hollow(card.edge(side).hollow_mm, card.on(side).width_mm)
        ) == blade_of(panel.state().present)
    assert "present" not in buttons(panel) and "trial" in buttons(panel)
    press(panel, "trial")
    assert SKATER.card.trial == blade_of(panel.state().trial) and "trial" not in buttons(panel)


def test_left_and_right_are_chosen_in_the_bar_where_they_differ(book_file):
    write(book_file, Fitted("S1"), Stated("S1", PRESENT, ("left",)), Stated("S1", TRIAL, ("right",)))
    panel = main_panel()
    assert panel._bar["side"] == "left" and panel.dials["present.radius_mm"].value == 2743.2
    assert panel._bar["says"].startswith("Present: left single 9 ft")
    ask(panel, "side", "right")
    assert panel._bar["side"] == "right" and blade_of(panel.state().present) == TRIAL
    hand(panel, "present.hollow_mm", "1 in")
    press(panel, "present")
    assert SKATER.card.edge("right").hollow_mm == 25.4 and SKATER.card.edge("left").hollow_mm == 12.7


def test_a_change_in_another_notebook_is_offered_and_nothing_moves_by_itself(known):
    panel = main_panel()
    write(known, Circumstances(mass_kg=70.0), choose=False)
    before = values(panel)
    panel._from_page(panel, {"do": "look"}, [])
    assert values(panel) == before and panel._bar["told"] == "The card has changed."
    assert buttons(panel) == {"load": "load it"}
    write(known, Circumstances(mass_kg=63.0), skater="K09")
    again = glide_panel()  # the cell is run again in a kernel that opened its card before
    assert again._bar["told"] == "K09's card was opened in another notebook." and "load" in buttons(again)
    open_book(known).choose("K07")
    panel.look()
    press(panel, "load")
    assert panel.dials["mass_kg"].value == 70.0 and buttons(panel) == {} and panel._bar["told"] == ""


def test_when_one_panel_writes_others_follow_but_for_what_a_hand_moved(known):
    main, glide, other = main_panel(), glide_panel(), glide_panel()
    other.dials["mass_kg"].value = 65.0
    main.dials["mass_kg"].value = 70.0
    press(main, "keep")
    assert glide.dials["mass_kg"].value == 70.0 and buttons(glide) == {}
    assert other.dials["mass_kg"].value == 65.0 and "back" in buttons(other)
    assert "154 lb" not in other.dials["mass_kg"].page()["text"] and glide.state().mass_kg == 70.0


def test_a_panel_whose_blade_was_an_example_takes_the_present_blade_written_by_another(book_file):
    SKATER.begin("K07")
    compared, changes = compare_panel().panel, single_change_panel()
    assert changes.state().shape == "blended"
    hand(compared, "present.hollow_mm", "1/2 in")
    press(compared, "present")
    assert blade_of(changes.state()) == blade_of(compared.state().present)
    assert changes.result.found.present == blade_of(compared.state().present), "and it answers for that one"


def test_what_the_book_says_against_it_is_a_sentence_and_the_panel_goes_on(known, monkeypatch):
    panel = main_panel()
    panel.dials["mass_kg"].value = 70.0
    open_book(known).forget("K07")
    press(panel, "keep")
    assert panel._bar["told"] == "K07 is no longer in the book." and panel._bar["fault"]
    hand(panel, "mass_kg", 30)
    assert not panel.fault and panel.dials["mass_kg"].value != 70.0


def test_where_there_is_no_book_a_new_skater_is_refused_with_a_sentence():
    SKATER.close()
    panel = main_panel()
    assert not panel._bar["looks"]
    ask(panel, "begin", "K07")
    assert "there is no book to write in" in panel._bar["told"].lower() and panel._bar["code"] == ""
    SKATER.close()


@pytest.mark.slow
def test_a_blade_that_can_not_be_is_said_nowhere(known):
    panel = main_panel()
    assert panel.bar.blade("trial") is not None
    with panel.quiet():
        for name, value in (("shape", "stepped"), ("zone_length_1_mm", 200.0), ("zone_length_2_mm", 200.0)):
            panel.dials[f"trial.{name}"].value = value
    assert panel.fault and panel.bar.blade("trial") is None and "Trial:" not in panel.bar.footer()


def test_a_stored_notebook_keeps_nothing_of_a_skater(known, monkeypatch):
    monkeypatch.setattr(Overview, "drawing", lambda *_: iter(()))  # no thumbnails of the slides
    for made in (main_panel(), compare_panel(), clinic_panel()):
        bundle, metadata = made._repr_mimebundle_()
        assert bundle["text/plain"] == CARD_IS_OPEN and "image/png" not in bundle and not metadata
        assert "application/vnd.jupyter.widget-view+json" in bundle


def test_the_page_says_only_what_a_bar_can_ask(known):
    with pytest.raises(ValueError, match="'burn' of a card"):
        ask(main_panel(), "burn", "")


@pytest.mark.parametrize(
    ("form", "size"), [("PNG", (1200, 600)), ("GIF", (400, 200)), ("SVG", None), ("PDF", None)]
)
def test_saved_pictures_say_whose_they_are(form, size, book_file, tmp_path):
    write(book_file, Fitted("S1"), Stated("S1", PRESENT))
    panel = make()
    words = f"K07, {say_day(datetime.date.today())}. Present: single 9 ft, level 4 mm ahead of mid-length"
    assert panel.bar.footer().startswith(words)
    footed = panel.save(form, tmp_path)
    SKATER.choose("")
    assert panel.bar.footer() == ""
    plain = panel.save(form, tmp_path)
    if size:
        with Image.open(plain) as before, Image.open(footed) as after:
            assert before.size == size and after.width == before.width and after.height > before.height
            below = np.array(after.convert("L").crop((0, before.height, *after.size)))
        assert below.min() < 160 and below[:, -8:].min() > 250, "words, which end before the edge"
    elif form == "SVG":
        assert words[:40] in footed.read_text() and "K07" not in plain.read_text()
    else:
        assert footed.stat().st_size > plain.stat().st_size
