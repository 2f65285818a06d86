"""Panels open on the card: which dial shows what, and what the bar says about the rest."""

from __future__ import annotations

import pytest

from bladelab.advice.quantities import Conditions
from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.steel_happenings import Fitted, Sharpened, Stated, SteelMeasured
from bladelab.physics.ice import Ice
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.clinic.panel import clinic_panel
from bladelab.show.controls.blade import blade_of, rocker_of
from bladelab.show.panel.card_dials import card_blade
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import compare_panel
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
from bladelab.show.wording.units_shown import UNITS
from tests.show.engine_checks import hand, seen, units
from tests.show.panel.cards import (
    ORDER,
    PRESENT,
    TRIAL,
    ZONES,
    ask,
    buttons,
    defaults,
    press,
    values,
    write,
)

pytestmark = pytest.mark.usefixtures("unseen_pictures")


def test_a_panel_of_two_blades_opens_on_the_card(known):
    panel = main_panel()
    state = panel.state()
    assert blade_of(state.present) == PRESENT
    assert blade_of(state.trial) == TRIAL
    assert (state.mass_kg, state.temperature_C) == (62.0, -4.0)
    assert panel._bar["says"] == (
        "Present: single 9 ft, level 4 mm ahead of mid-length, hollow 1/2 in. Trial: 9, 11 and 8 ft from "
        "heel to toe, blend 20 mm, hollow 3/8 in. Ordered on 3 November 2026: 9, 11 and 8 ft from heel to "
        "toe, stepped, level 5 mm ahead of mid-length, hollow 3/4 in. Sharpened 3 November 2026."
    )
    assert buttons(panel) == {} and not panel.fault


@pytest.mark.slow
def test_other_panels_open_on_the_card_by_the_names_of_their_dials(known, no_overview):
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


@pytest.mark.slow
def test_a_shape_that_nobody_ordered_is_said_to_be_only_set_here(known):
    assert "only set here" not in measure_panel()._bar["says"]
    SKATER.begin("K09")
    assert measure_panel()._bar["says"].endswith("Not on the card, only set here: shape ordered.")


@pytest.mark.slow
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


@pytest.mark.slow
def test_the_starting_blade_is_looked_for_from_the_card(known):
    write(known, Circumstances(mass_kg=81.0), Fitted("S1"), Stated("S1", ORDER), skater="K08", choose=False)
    start = start_panel()
    assert not start.panel.fault and start._scores.family.present == PRESENT
    assert start._scores.conditions == Conditions(62.0, Ice(-4.0), 5.0)
    ask(start.panel, "choose", "K08")
    assert not start.panel.fault and start._scores.family.present == ORDER


@seen()
def test_a_new_panel_is_drawn_in_the_units_of_the_card(book_file):
    with units("feet and inches"):
        write(book_file, Circumstances(units="metric"))
        panel = rocker_panel()
        assert UNITS.system == "metric" and panel._picture._units == "metric"
        assert " ft" not in panel._still + panel._frame + panel.sentence_text
