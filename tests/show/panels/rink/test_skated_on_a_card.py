"""Glide-outs, timed trials and blind pairs go onto the card that is open; the trial log takes them first."""

from dataclasses import replace

import pytest
from pypdf import PdfReader

from bladelab import Hollow
from bladelab.book.happenings import Decided, Tried
from bladelab.book.rink_happenings import Preferred
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.trials import trials_panel
from bladelab.show.panels.rink.glide_out import glide_out_panel
from bladelab.show.panels.rink.timed import timed_panel
from bladelab.show.wording.say import say_blade
from bladelab.show.wording.say_entry import say_entry
from bladelab.show.wording.say_rink import measured_on_ice, newest_on_ice
from tests.show.engine_checks import set_state
from tests.show.panels.rink.on_a_card import DAY, PRESENT, TRIAL, buttons


def test_glide_outs_are_kept_with_the_blades_on_the_sliders(card):
    box = glide_out_panel()
    form = box.children[-1]
    assert "glide" not in buttons(box.panel)
    form.fields["marks"].value = "0 16.404 32.808 49.213 65.617"
    form.fields["times"].value = "> A 0 1.71 3.53 5.50 7.66\n< B 0 1.71 - 5.39 7.40"
    form.use()
    box.panel.bar.act("press", "glide")
    (entry,) = SKATER.card.glides
    assert (entry.what.first.hollow, entry.what.second.hollow) == (PRESENT.hollow, TRIAL.hollow)
    assert entry.what.time_s[1][2] is None and entry.what.direction == (1, -1)
    assert say_entry(entry).startswith("Glide measured over 2 runs")
    assert "glide" not in buttons(box.panel)


def timed_on_card(times, slower_s=0.2):
    box = timed_panel()
    box.panel.dials["count"].value = 5
    order = box.order
    slow = iter(times)
    for blade in order.runs:
        box.next_time.value = f"{next(slow) + (slower_s if blade == 'B' else 0.0):.2f}"
    return box


def test_a_timed_session_is_kept_and_sends_the_skater_back_to_the_better_blade(card):
    box = timed_on_card([4.0, 4.01, 4.02, 4.0, 3.99, 4.03, 4.0, 4.02, 4.01, 4.0])
    assert "present blade, B the trial" in buttons(box.panel)["timed"]
    box.drill.value = "15 m from a standing start"
    box.panel.bar.act("press", "timed")
    (entry,) = SKATER.card.timed
    assert (entry.what.first, entry.what.second) == (PRESENT, TRIAL)
    assert entry.what.session == box.panel.state().sessions.last
    assert entry.what.drill == "15 m from a standing start"
    assert "timed" not in buttons(box.panel)
    # Rated as well as can be: what was measured counts first.
    SKATER.write(Tried(TRIAL, {"glide": 5, "hold": 5}), on=DAY)
    log = trials_panel()
    said = log.panel.sentence_text
    assert f"more time than on {say_blade(PRESENT)}" in said and "Skate on that one" in said
    assert log.panel.view.headline.get_text().endswith("skate on the better blade")
    assert log.panel.result.makes == PRESENT


@pytest.mark.slow
def test_what_was_timed_but_never_rated_is_proposed_from_too(card):
    log = trials_panel()
    assert log.panel.fault and "no trial in this log yet" in log.panel.sentence_text
    session = timed_on_card([4.0, 4.01, 4.02, 4.0, 3.99, 4.03, 4.0, 4.02, 4.01, 4.0], slower_s=-0.2)
    session.panel.bar.act("press", "timed")
    low, high = SKATER.card.timed[0].what.session.result.percent[1:]
    assert not log.panel.fault and log.panel.result.makes == TRIAL
    said = log.panel.sentence_text
    assert said.startswith(f"Measured last: {say_blade(TRIAL)}. Measured on ")
    assert f"less time than on {say_blade(PRESENT)} ({low:+.1f} to {high:+.1f} %)".replace("-", "−") in said
    assert log.panel.view.headline.get_text() == "K07, measured on the ice, not rated: keep the better blade"
    slower = timed_on_card([4.0, 4.01, 4.02, 4.0, 3.99, 4.03, 4.0, 4.02, 4.01, 4.0], slower_s=0.3)
    slower.panel.bar.act("press", "timed")
    assert log.panel.result.makes == PRESENT and "Skate on that one" in log.panel.sentence_text


@pytest.mark.slow
def test_the_sheet_says_which_blades_are_a_and_b(card, tmp_path):
    box = timed_panel()
    box.print_sheet()
    (sheet,) = (tmp_path / "saved").glob("timed_sheet*.pdf")
    text = " ".join(PdfReader(sheet).pages[0].extract_text().replace("\u00a0", " ").split())
    assert f"A: {say_blade(PRESENT)}. B: {say_blade(TRIAL)}." in text and "Blade A" not in text


def test_blind_pairs_are_kept_with_the_blades(card):
    panel = timed_panel().panel
    assert "preferred" not in buttons(panel)
    set_state(panel, {"prefers_a": 2, "prefers_b": 9, "prefers_neither": 1})
    panel.bar.act("press", "preferred")
    (entry,) = SKATER.card.preferred
    assert entry.what == Preferred(2, 9, 1, PRESENT, TRIAL)
    assert "preferred" not in buttons(panel)
    said = "B preferred 9 times, A 2, 1 undecided; may be the toss of a coin"
    assert said in panel.saving.work.report and said in newest_on_ice(SKATER.card)
    assert any(said in line for line in measured_on_ice(SKATER.card))
    SKATER.write(Tried(TRIAL, {"hold": 4}), on=DAY)
    log = trials_panel().panel.sentence_text
    assert f"this blade was preferred to {say_blade(PRESENT)} 82 % of the time (48 to 98 %), which may" in log
    SKATER.write(Tried(replace(TRIAL, hollow=Hollow(22.0, 2.9)), {"hold": 4}), on=DAY)
    assert f"{said}. Weigh that yourself: it did not count" in trials_panel().panel.sentence_text


def test_a_button_says_where_the_card_does_not_know_both_blades(card):
    SKATER.write(Decided(None))
    box = timed_on_card([4.0, 4.01, 4.02, 4.0, 3.99, 4.03, 4.0, 4.02, 4.01, 4.0])
    assert buttons(box.panel)["timed"].endswith("on the card, without the blades: it doesn't know both")
    SKATER.write(Decided(PRESENT))  # ground to the trial, say
    box.panel.catch_up()
    assert buttons(box.panel)["timed"].endswith("without the blades: present and trial are the same")


def test_with_no_card_nothing_can_be_kept(book_file, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    box = timed_on_card([4.0, 4.01, 4.02, 4.0, 3.99, 4.03, 4.0, 4.02, 4.01, 4.0])
    assert box.panel._bar["buttons"] == []
    assert not book_file.exists()
