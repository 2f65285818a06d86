"""Tests of the ice go onto the card that is open and onto the rink's own; the pages reckon with that ice."""

import csv
import datetime
import io
import re

import pytest

from bladelab import Ice, InputError, exponent_between, hardness_from_drop, hardness_from_press
from bladelab.book.rink_happenings import IceTested
from bladelab.book.rinks import rink_cards
from bladelab.show.controls import blade as controls
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.show.panels.ice.contact import contact_panel
from bladelab.show.panels.rink.drop_test import drop_test_panel
from bladelab.show.wording.say_rink import measured_on_ice
from tests.show.engine_checks import hand, set_state, units
from tests.show.panels.rink.on_a_card import DAY, buttons


def test_a_test_of_the_ice_is_kept_with_the_rink_and_listed_on_the_rinks_card(card):
    box = drop_test_panel()
    panel, (tests, form) = box.panel, box.children[1:]
    assert "ice" not in buttons(panel)  # the invented craters are nobody's
    form.fields["craters"].value = "9.8 10.1 9.9 10.0 10.2"
    form.use()
    panel.bar.act("press", "ice")
    assert SKATER.trouble.startswith("the rink's code is missing; it must be chosen or typed")
    assert SKATER.card.ice is None
    tests.code.value = "R1"
    assert tests.message.text == "" and tests.table.value == ""
    panel.bar.act("press", "ice")
    what = SKATER.card.ice.what
    assert (what.rink, what.crater_mm, what.mass_kg) == ("R1", (9.8, 10.1, 9.9, 10.0, 10.2), None)
    assert what.temperature_C == pytest.approx(panel.state().temperature_C)
    assert "ice" not in buttons(panel)
    other = drop_test_panel()
    test = hardness_from_drop(12.7, 1.0, what.crater_mm)
    said = f"hardness {test.hardness_MPa:.1f} ± {test.standard_error_MPa:.1f} MPa, the only test so far."
    for shown in (tests, other.children[1]):  # the page on which it was kept shows it at once
        assert shown.message.text.startswith("Rink R1, ") and shown.message.text.endswith(said)
        assert shown.table.value.count("<tr>") == 2


def ice(craters, cold_C=-5.0, rink="R1"):
    return IceTested(rink, 12.7, 1.0, craters, temperature_C=cold_C)


def cells(table):
    return [re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row) for row in re.findall(r"<tr>(.*?)</tr>", table)]


@pytest.mark.slow
@pytest.mark.parametrize(("system", "colds"), [("metric", "−6.5 °C"), ("feet and inches", "20.3 °F")])
def test_a_rinks_card_lists_its_tests_newest_first_with_what_changed(card, system, colds):
    soft, same, hard = (10.0, 10.1, 9.9, 10.0, 10.1), (10.0, 10.2, 9.9, 10.1, 9.9), (9.4, 9.5, 9.4, 9.4, 9.5)
    SKATER.write(ice(soft, -4.0), on=DAY)
    SKATER.write(ice(same, None), on=DAY + datetime.timedelta(1))
    box = drop_test_panel().children[1]
    box.choose("R1")
    assert "No change is shown since 3 November 2026: −0.0 ± " not in box.message.text
    assert "No change is shown since 3 November 2026: " in box.message.text
    assert "within the error of the two tests" in box.message.text
    SKATER.write(ice(hard, -6.5), on=DAY + datetime.timedelta(2))
    SKATER.write(ice(hard, rink="R2"), on=DAY + datetime.timedelta(3))
    with units(system):
        head, *rows = cells(box.table.value)
    assert head[:3] == ["date", "hardness, MPa", "craters"]
    assert [row[0] for row in rows] == ["5 November 2026", "4 November 2026", "3 November 2026"]
    assert [row[4].split(", ")[-1] for row in rows] == ["shown", "not shown", ""]
    test = hardness_from_drop(12.7, 1.0, hard)
    assert rows[0][1] == f"{test.hardness_MPa:.1f} ± {test.standard_error_MPa:.1f}"
    assert (rows[0][3], rows[1][3]) == (colds, "not known")
    assert re.search(r"Since 4 November 2026, it got \d+ % harder \(\d+ to \d+\): \+", box.message.text)
    assert "more than the error of the two tests" in box.message.text
    box.choose("R9")
    assert box.message.text == "" and box.table.value == ""


def test_the_rinks_in_the_book_are_offered_and_a_card_opens_on_its_own(card):
    SKATER.write(ice((10.0, 10.1, 9.9), rink="R2"), on=DAY)
    SKATER.begin("K08")
    box = drop_test_panel()
    panel, tests = box.panel, box.children[1]
    assert [words for words, _ in tests.menu.options] == ["no rink", "R2", "another rink …"]
    assert (tests.menu.value, tests.code.layout.display, panel.rink) == ("", "none", "")
    tests.menu.value = "+"
    assert tests.code.layout.display == "" and panel.rink == ""
    tests.code.value = " R1 "
    assert panel.rink == "R1" and tests.menu.value == "+" and tests.table.value == ""
    SKATER.write(ice((9.5, 9.6, 9.5)), on=DAY)  # in this or any other notebook
    assert [code for _, code in tests.menu.options] == ["", "R1", "R2", "+"]
    assert tests.menu.value == "R1" and tests.code.layout.display == "none" and panel.rink == "R1"
    tests.menu.value = ""
    assert panel.rink == "" and tests.table.value == ""
    SKATER.choose("K07")
    assert tests.menu.value == "R2" and panel.rink == "R2" and "Rink R2" in tests.table.value
    tests.menu.value = "R1"
    assert panel.rink == "R1" and "Rink R1" in tests.table.value


@pytest.mark.slow
def test_with_no_rink_in_the_book_there_is_only_a_field(book_file):
    box = drop_test_panel()
    tests = box.children[1]
    assert tests.menu.layout.display == "none" and tests.code.layout.display == ""
    tests.code.value = "R1"
    assert box.panel.rink == "R1" and tests.message.text == ""
    assert not book_file.exists()


def test_what_the_panel_refuses_is_not_kept(card):
    box = drop_test_panel()
    panel, (tests, form) = box.panel, box.children[1:]
    tests.code.value = "R1"
    form.fields["craters"].value = "4.0 4.1 4.0"
    form.use()
    assert panel.fault and "ice" not in buttons(panel)
    form.fields["craters"].value = "9.8 10.1 9.9"
    form.use()
    assert not panel.fault and "ice" in buttons(panel)


def test_a_slow_press_is_kept_with_the_test_and_shown_on_the_rinks_card(card):
    box = drop_test_panel()
    panel, (tests, form) = box.panel, box.children[1:]
    tests.code.value = "R1"
    form.fields["craters"].value, form.fields["press"].value = "9.8 10.1 9.9", ""
    form.use()
    hand(panel, "press_craters", "five craters (invented)")
    panel.bar.act("press", "ice")
    assert SKATER.card.ice.what.press is None  # nobody pressed that
    form.fields["press"].value = "14.1 14.3 14.2"
    form.use()
    assert form.message.text == "Taken over: 3 craters and 3 craters of the slow press."
    set_state(panel, {"press_kg": 80.0, "press_s": 12.0})
    panel.bar.act("press", "ice")
    what = SKATER.card.ice.what
    press = hardness_from_press(12.7, 80 * 9.81, 12.0, [14.1, 14.3, 14.2])
    assert what.press == press
    value, error = exponent_between(what.drop, press)
    (row,) = (row for row in csv.DictReader(io.StringIO(rink_table())) if row["press_s"])
    assert [float(row[name]) for name in ("press_MPa", "press_error_MPa", "press_s")] == pytest.approx(
        [press.hardness_MPa, press.standard_error_MPa, 12.0], rel=1e-3
    )
    assert [float(row[name]) for name in ("exponent", "exponent_error")] == pytest.approx(
        [value, error], rel=1e-3
    )
    newest, before = cells(tests.table.value)[1:]
    assert newest[5:] == [
        f"{press.hardness_MPa:.1f} ± {press.standard_error_MPa:.1f}", f"{100 * (1 - 10**-value):.0f} %"
    ]  # fmt: skip
    assert before[5:] == ["", ""]
    assert f"; pressed for 12 s, {press.hardness_MPa:.1f} ± " in panel.saving.work.report
    assert f"pressed for 12 s, {press.hardness_MPa:.1f} ± " in measured_on_ice(SKATER.card)[0]


def rink_table():
    return rink_cards(SKATER.book.entries())["R1"].as_csv().decode("utf-8-sig")


def test_colder_ice_is_said_to_be_harder_by_the_usual_fit(card):
    """14.7 - 0.6 T MPa (Poirier, Lozowski & Thompson 2011): 18.6 at -6.5 and 17.1 at -4 °C, 9 % more."""
    SKATER.write(ice((10.0, 10.1, 9.9, 10.0, 10.1), -4.0), on=DAY)
    SKATER.write(ice((9.4, 9.5, 9.4, 9.4, 9.5), -6.5), on=DAY + datetime.timedelta(1))
    box = drop_test_panel().children[1]
    box.choose("R1")
    assert box.message.text.endswith("It was colder: that alone usually makes ice 9 % harder.")


def test_rinks_that_can_not_be_read_are_said(card, monkeypatch):
    def fails(**_):
        raise InputError("the book is in use")

    box = drop_test_panel().children[1]
    monkeypatch.setattr(type(SKATER.book), "entries", lambda book, **words: fails(**words))
    box.choose("R1")
    assert box.message.text == "The rinks' cards can't be read: the book is in use."


def test_a_rinks_card_is_saved_as_a_table(card, tmp_path):
    SKATER.write(ice((10.0, 10.1, 9.9, 10.0, 10.1)), on=DAY)
    box = drop_test_panel().children[1]
    box.choose("")
    assert box.children[-1].layout.display == "none"
    box.choose("R1")
    assert box.children[-1].layout.display == ""
    box.save()
    (saved,) = (tmp_path / "saved").glob("rink-r1*.csv")
    assert saved.read_bytes() == rink_cards(SKATER.book.entries())["R1"].as_csv()


@pytest.mark.slow
def test_the_pages_reckon_with_the_ice_that_was_tested(card):
    plain = bite_panel()
    test = IceTested("R1", 12.7, 1.0, (10.4, 10.5, 10.3, 10.6, 10.5), temperature_C=-5.0)
    SKATER.write(test, on=DAY)
    panel = contact_panel()
    tested = panel.state().hardness
    assert (tested.rink, tested.on) == ("R1", DAY)
    page = panel.dials["hardness"].page()
    assert page["texts"][page["at"]] == "as tested, rink R1, 3 November 2026"
    assert "keep" not in buttons(panel) or "ice under" not in buttons(panel)["keep"]
    ice = controls.ice_of(panel.state())
    # At the temperature of the test it has the hardness that was measured; colder, that many times the fit.
    assert tested.at(-5.0).hardness_MPa == pytest.approx(test.drop.hardness_MPa)
    assert tested.at(-8.0).hardness_MPa / Ice(-8.0).hardness_MPa == pytest.approx(tested.factor)
    assert ice.hardness_factor == pytest.approx(tested.factor) and tested.factor < 0.9
    assert "tested at rink R1" in controls.ice_said(panel.state())
    hand(panel, "hardness", "as in a drop test")
    assert controls.ice_of(panel.state()) == Ice(panel.state().temperature_C)
    assert "as in a drop test" in buttons(panel)["keep"]
    panel.bar.act("press", "keep")
    assert contact_panel().state().hardness == "drop test"
    assert plain.state().hardness in ("drop test", tested)
    SKATER.choose("")
    assert contact_panel().state().hardness == "drop test"
