"""The bar over a panel: its dials on the card, and what can be kept."""

from __future__ import annotations

import datetime
from types import SimpleNamespace

import numpy as np
import pytest
from PIL import Image

from bladelab.advice.quantities import Conditions
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Decided, Happening, Joined
from bladelab.book.steel_happenings import Fitted, Ordered, Sharpened, Stated, SteelMeasured
from bladelab.book.store import open_book
from bladelab.physics.ice import Ice
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.clinic.panel import clinic_panel
from bladelab.show.controls import debounce
from bladelab.show.controls.blade import blade_of, rocker_of
from bladelab.show.panel.card_bar import CARD_IS_OPEN
from bladelab.show.panel.card_dials import card_blade
from bladelab.show.panel.declare import PanelKind
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.advice.start import start_panel
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.blade.rocker import rocker_panel
from bladelab.show.panels.ice.balance import balance_panel
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.show.panels.ice.contact import contact_panel
from bladelab.show.panels.ice.glide import glide_panel
from bladelab.show.panels.ice.push import push_panel
from bladelab.show.panels.workshop.cut import cut_panel
from bladelab.show.panels.workshop.groove import groove_panel
from bladelab.show.panels.workshop.measure import measure_panel
from bladelab.show.panels.workshop.season import season_panel
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS
from tests.show.bars import make
from tests.show.engine_checks import hand, units

DAY = datetime.date(2026, 11, 3)
PRESENT = Blade(Rocker.single(2743.2, 284.0, 4.0), Hollow(12.7, 3.0))
ZONES = (Zone(2743.2, 90.0), Zone(3352.8, 110.0), Zone(2438.4, 84.0))
TRIAL = Blade(Rocker(ZONES, blend_mm=20.0), Hollow(9.525, 2.9))
ORDER = Blade(Rocker(ZONES, pivot_mm=5.0), Hollow(19.05, 2.9))


def write(path, *happenings: Happening, skater: str = "K07", choose: bool = True) -> None:
    """What is in the book when the notebook opens, or what another notebook writes."""
    book = open_book(path)
    book.add(*(Entry(skater, DAY, what) for what in happenings))
    if choose:
        book.choose(skater)


@pytest.fixture
def known(book_file):
    """A book with a skater of whom nearly all is known."""
    write(
        book_file,
        Circumstances(62.0, -4.0, 5.0, 7.5),
        Fitted("S1"),
        Stated("S1", PRESENT),
        SteelMeasured("S1", height_mm=13.4, least_mm=10.0),
        Sharpened("S1", taken_mm=0.1),
        Ordered("S1", ORDER, tolerance_mm=0.05),
        Decided(TRIAL),
    )
    return book_file


def press(panel: Panel, name: str) -> None:
    """Press a button of the bar."""
    assert name in buttons(panel), buttons(panel)
    panel._from_page(panel, {"do": "card", "act": "press", "value": name}, [])


def ask(panel: Panel, act: str, value: str) -> None:
    panel._from_page(panel, {"do": "card", "act": act, "value": value}, [])


def buttons(panel: Panel) -> dict[str, str]:
    """The buttons of the bar as the page has them, by name."""
    return dict(panel._bar["buttons"])


def defaults(kind: PanelKind) -> dict[str, object]:
    return {control.name: control.default for control in kind.controls}


def values(panel: Panel) -> dict[str, object]:
    return {name: dial.value for name, dial in panel.dials.items()}


def test_with_no_skater_there_is_only_the_choice_and_every_dial_has_its_default(book_file):
    panel = main_panel()
    empty = dict.fromkeys(("code", "side", "says", "told"), "")
    assert panel._bar == empty | {"looks": True, "codes": [], "fault": False, "buttons": []}
    hand(panel, "mass_kg", 3)
    hand(panel, "units", "metric")
    assert panel._bar["buttons"] == [] and not book_file.exists()
    assert "image/png" in panel._repr_mimebundle_()[0]


def test_a_panel_of_two_blades_opens_on_the_card(known):
    panel = main_panel()
    state = panel.state()
    assert blade_of(state.present) == PRESENT
    assert blade_of(state.trial) == TRIAL
    assert (state.mass_kg, state.temperature_C) == (62.0, -4.0)
    assert panel._bar["says"] == (
        "Present: single 9 ft, level 4 mm ahead of mid-length, hollow 1/2 in. Trial: 9, 11 and 8 ft from "
        "heel to toe, blend 20 mm, hollow 3/8 in. Sharpened 3 November 2026."
    )
    assert buttons(panel) == {} and not panel.fault


@pytest.mark.slow
def test_other_panels_open_on_the_card_by_the_names_of_their_dials(known):
    contact = values(contact_panel())
    assert (contact["radius_mm"], contact["length_mm"], contact["hollow_mm"]) == (2743.2, 284.0, 12.7)
    assert values(glide_panel())["speed_m_s"] == 5.0
    season = values(season_panel())
    assert season["ice_hours"] == 7.5 and season["least_mm"] == 10.0
    assert season["height_mm"] == pytest.approx(13.3), "measured, less what came off since"
    assert season["tolerance_mm"] != 0.05, "the drift allowed is no tolerance of an order"
    measure = measure_panel()
    assert measure.state().tolerance_mm == 0.05
    assert rocker_of(measure.state()) == ORDER.rocker
    groove = values(groove_panel())
    assert (groove["asked_mm"], groove["width_mm"]) == (19.05, 3.0)
    assert values(balance_panel())["hollow_mm"] == 12.7
    clinic = clinic_panel()
    assert values(clinic.panel)["mass_kg"] == 62.0 and clinic.panel._bar["code"] == "K07"


def test_what_the_card_does_not_know_keeps_its_default_and_is_named(book_file):
    write(book_file, Circumstances(temperature_C=-3.0), Fitted("S1"), SteelMeasured("S1", least_mm=9.5))
    panel, usual = cut_panel(), defaults(cut_panel)
    assert values(panel) == usual | {"least_mm": 9.5}
    assert panel._bar["says"] == (
        "No present blade yet. No trial yet. Not on the card, only set here: height, length, rocker."
    )
    assert (
        main_panel()._bar["says"].endswith("Not on the card, only set here: weight, rocker, hollow, width.")
    )


def test_a_hollow_alone_is_known_after_a_sharpening(book_file):
    write(book_file, Fitted("S1"), Sharpened("S1", hollow_mm=9.525))
    panel = main_panel()
    assert panel.dials["present.hollow_mm"].value == 9.525
    assert panel._bar["says"].startswith("Present: hollow 3/8 in. No trial yet. Sharpened 3 November 2026.")
    assert values(groove_panel())["asked_mm"] == 9.525, "nothing is ordered: what it was sharpened to"


def test_a_shape_that_nobody_ordered_is_said_to_be_only_set_here(known):
    assert "only set here" not in measure_panel()._bar["says"]
    SKATER.begin("K09")
    assert measure_panel()._bar["says"].endswith("Not on the card, only set here: shape ordered.")


def test_dull_edges_go_to_the_card_and_come_back_until_the_steel_is_sharpened(known):
    bite = bite_panel()
    assert bite.dials["present.edge_radius_mm"].value == 0.0
    hand(bite, "present.edge_radius_mm", "0.03 mm")
    press(bite, "present")
    assert SKATER.card.edge("left").edge_radius_mm == 0.03
    assert "edges 0.03 mm round" in bite._bar["says"]
    assert card_blade(SKATER.card, "left", "present").hollow == Hollow(12.7, 3.0, 0.03)
    assert push_panel().dials["present.edge_radius_mm"].value == 0.03
    # A panel without that dial changes the hollow, and leaves the edges as the card has them.
    main = main_panel()
    hand(main, "present.hollow_mm", "1 in")
    press(main, "present")
    assert (SKATER.card.edge("left").hollow_mm, SKATER.card.edge("left").edge_radius_mm) == (25.4, 0.03)
    hand(bite, "trial.edge_radius_mm", "0.01 mm")
    press(bite, "trial")
    assert SKATER.card.trial.hollow.edge_radius_mm == 0.01
    assert compare_panel().shelf._panel.dials["trial.edge_radius_mm"].value == 0.01
    SKATER.write(Sharpened("S1"))
    assert bite_panel().dials["present.edge_radius_mm"].value == 0.0
    assert bite_panel().dials["trial.edge_radius_mm"].value == 0.01


def test_what_a_dial_cannot_show_is_said_and_not_bent(book_file):
    five = Blade(Rocker(tuple(Zone(3000.0 + i, 56.0) for i in range(5))), Hollow(12.7, 2.9))
    write(book_file, Circumstances(mass_kg=150.0), Fitted("S1"), Stated("S1", five), Decided(TRIAL))
    assert blade_of(main_panel().state().present) == five, "the menu of shapes has it"
    panel, usual = bite_panel(), defaults(bite_panel)
    assert panel.dials["mass_kg"].value == usual["mass_kg"]
    assert panel.dials["radius_mm"].value == usual["radius_mm"]
    assert panel.dials["present.hollow_mm"].value == 12.7
    assert panel._bar["says"].endswith(
        "Not on the card, only set here: ice. Skater is 331 lb, and its dial goes from 55 lb to 287 lb. The "
        "present rocker has 5 zones, and this panel has dials for one radius."
    )
    assert "ice" in buttons(panel)["keep"] and "skater" not in buttons(panel)["keep"]
    # What it can't show it doesn't overwrite either: the rocker stays, the hollow is new.
    hand(panel, "present.hollow_mm", "1 in")
    press(panel, "present")
    assert SKATER.card.edge("left").rocker == five.rocker and SKATER.card.edge("left").hollow_mm == 25.4
    assert SKATER.card.mass_kg == 150.0


def test_a_panel_with_one_length_shows_no_trial_of_another(book_file):
    long = Blade(Rocker(tuple(Zone(z.radius_mm, z.length_mm + 2) for z in ZONES)), Hollow(12.7, 2.9))
    write(book_file, Fitted("S1"), Stated("S1", PRESENT), Decided(long))
    panel = cut_panel()
    assert panel.state().length_mm == 284.0 and panel.state().trial.shape == "blended"
    assert "The trial rocker is 290 mm long, and this panel has one length for both." in panel._bar["says"]


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


def test_75_kg_stays_75_kg_whatever_the_units(book_file):
    write(book_file, Circumstances(mass_kg=75.0))
    panel = main_panel()
    for system in ("metric", "feet and inches") * 2:
        hand(panel, "units", system)
        assert panel.dials["mass_kg"].value == 75.0
    at = panel.dials["mass_kg"].page()["at"]
    hand(panel, "mass_kg", at + 1)
    hand(panel, "mass_kg", at)  # 165 lb, which is 74.84 kg
    assert "skater" not in buttons(panel).get("keep", "")
    assert SKATER.card.mass_kg == 75.0 and SKATER.card.units == "feet and inches"


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


def test_two_sets_on_two_feet_are_both_stated(book_file):
    write(
        book_file,
        Fitted("S1", ("left",)),
        Fitted("S2", ("right",)),
        Stated("S1", PRESENT),
        Stated("S2", PRESENT),
    )
    panel = main_panel()
    assert panel._bar["side"] == ""
    hand(panel, "present.hollow_mm", "1 in")
    press(panel, "present")
    assert {side: SKATER.card.edge(side).hollow_mm for side in ("left", "right")} == {
        "left": 25.4,
        "right": 25.4,
    }


def test_a_panel_without_all_dials_of_a_blade_takes_the_rest_from_the_card(known):
    rocker = rocker_panel()
    assert buttons(rocker) == {}
    rocker.dials["radius_mm"].value = 3048.0
    press(rocker, "present")
    edge = SKATER.card.edge("left")
    assert edge.rocker == Rocker.single(3048.0, 284.0, 4.0) and edge.hollow_mm == 12.7
    bite = bite_panel()
    hand(bite, "trial.hollow_mm", "1 in")
    press(bite, "trial")
    assert SKATER.card.trial == Blade(TRIAL.rocker, Hollow(25.4, 2.9))


def test_a_rocker_alone_is_no_blade_while_the_hollow_is_not_known(book_file):
    SKATER.begin("K07")
    assert "present" not in buttons(rocker_panel())
    assert not {"present", "trial"} & set(buttons(season_panel())), "its present and trial are plans"
    assert "present" not in buttons(measure_panel()), "its dials are the order"


def test_a_change_in_another_notebook_is_offered_and_nothing_moves_by_itself(known):
    panel = main_panel()
    write(known, Circumstances(mass_kg=70.0), choose=False)
    before = values(panel)
    panel._from_page(panel, {"do": "look"}, [])
    assert values(panel) == before and panel._bar["told"] == "The card has changed."
    assert buttons(panel) == {"load": "load it"}
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


def test_a_stored_notebook_keeps_nothing_of_a_skater(known):
    for made in (main_panel(), compare_panel(), clinic_panel()):
        bundle, metadata = made._repr_mimebundle_()
        assert bundle["text/plain"] == CARD_IS_OPEN and "image/png" not in bundle and not metadata
        assert "application/vnd.jupyter.widget-view+json" in bundle


@pytest.mark.slow
def test_the_starting_blade_is_looked_for_from_the_card(known):
    write(known, Circumstances(mass_kg=81.0), Fitted("S1"), Stated("S1", ORDER), skater="K08", choose=False)
    start = start_panel()
    assert not start.panel.fault and start._scores.family.present == PRESENT
    assert start._scores.conditions == Conditions(62.0, Ice(-4.0), 5.0)
    ask(start.panel, "choose", "K08")
    assert not start.panel.fault and start._scores.family.present == ORDER


def test_a_new_panel_is_drawn_in_the_units_of_the_card(book_file):
    with units("feet and inches"):
        write(book_file, Circumstances(units="metric"))
        panel = rocker_panel()
        assert UNITS.system == "metric" and panel._picture._units == "metric"
        assert " ft" not in panel._still + panel._frame + panel.sentence_text


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
