"""The panel of the trial log: what is written down, what is refused, and that nothing is lost."""

from __future__ import annotations

import datetime

import pytest

from bladelab import RATINGS, TrialLog
from bladelab.physics.moments import MOMENTS
from bladelab.physics.possible_ices import friction_span
from bladelab.show.panels.advice.trials import TrialsPanel, trials_panel
from tests.show.engine_checks import tile_colours

NAMED = {moment.name: moment for moment in MOMENTS}


def filled(box: TrialsPanel, **ratings: int) -> TrialsPanel:
    box.form.date.value = datetime.date(2024, 10, 5)
    box.form.code.value = "Q1"
    for key, value in ratings.items():
        box.form.ratings[key].value = value
    return box


@pytest.mark.slow
def test_the_group_is_shown_and_its_warning_said():
    box = trials_panel()
    assert "changed 2 things since" in box.panel.sentence_text
    assert box.skater.value == "D17"
    assert "Try this and nothing else: level point 5 mm toward the toe." in box.panel.sentence_text
    for code in box.skater.options:
        box.skater.value = code
        assert not box.panel.fault and "Based on" in box.panel.sentence_text


def test_a_tile_of_the_log_has_the_colour_of_its_rating():
    box, colours = trials_panel(), {}
    view = box.panel.view
    tile = tile_colours(box.panel, view.strip)
    for row, (key, cells) in enumerate(zip(RATINGS, view.tiles.words, strict=True)):
        for column, (cell, date) in enumerate(zip(cells, view.dates, strict=True)):
            colour = tile(column, row)
            assert (colour == (255, 255, 255)) == (not date.get_text())  # no trial, no tile
            if cell.get_text() and key != "balance":
                well = {"1": "low", "2": "low", "3": "between"}.get(cell.get_text(), "well")
                colours.setdefault(well, set()).add(colour)
    assert set(colours) == {"low", "between", "well"}
    assert len(set.union(*colours.values())) == 3  # one for each, another for each


def test_a_trial_is_added_and_the_next_builds_on_it(tmp_path):
    own = tmp_path / "saved" / "trials.csv"
    box = filled(TrialsPanel(own), hold=1, glide=4)
    box.form.note.value = 'soft "ice", <b>cold</b>'
    box.form.add()
    (first,) = TrialLog(own).read().trials
    assert first.ratings == {"glide": 4, "hold": 1} and first.changed == "first trial"
    assert first.note == 'soft "ice", <b>cold</b>'
    assert box.source.value == own and box.skater.value == "Q1"
    span = friction_span(first.blade, NAMED["one-foot glide"].stance(75.0), -5.0, 6.0)
    rated = f"rated for glide: {span.drop_test:.4f}, between {span.low:.4f} and {span.high:.4f} over the ices"
    assert rated in box.panel.sentence_text
    assert "Try this and nothing else: deeper hollow, 9/16 in" in box.panel.sentence_text
    labels = [label for label, _ in box.form.skated.options]
    assert labels[0] == "the same blade as last time" and "deeper hollow, 9/16 in" in labels
    box.form.skated.index = labels.index("deeper hollow, 9/16 in")
    filled(box, hold=4).form.add()
    second = TrialLog(own).read().trials[1]
    assert second.changed == "hollow" and second.blade.hollow.radius_mm == 14.2875
    assert set(box.form.ratings) == set(RATINGS) and all(r.value == "" for r in box.form.ratings.values())


def test_a_second_press_adds_nothing(tmp_path):
    own = tmp_path / "trials.csv"
    box = filled(TrialsPanel(own), hold=3)
    box.form.add()
    box.form.add()
    assert "Not added: nothing is rated" in box.form.message.value
    filled(box, hold=3).form.add()
    assert "the last trial of Q1 on 2024-10-05 is exactly the same" in box.form.message.value
    assert len(TrialLog(own).read().trials) == 1
    filled(box, hold=4).form.add()  # the same blade skated twice that day, and rated otherwise
    assert len(TrialLog(own).read().trials) == 2


def test_a_date_to_come_is_refused(tmp_path):
    own = tmp_path / "trials.csv"
    box = filled(TrialsPanel(own), hold=3)
    box.form.date.value = tomorrow = datetime.date.today() + datetime.timedelta(days=1)
    box.form.add()
    assert (
        f"the date is {tomorrow}, which is in the future; it must be today or earlier"
        in box.form.message.value
    )
    assert not own.exists() and box.form.ratings["hold"].value == 3
    box.form.date.value = datetime.date.today()
    box.form.add()
    assert len(TrialLog(own).read().trials) == 1


def test_what_was_added_is_taken_back_and_stands_in_the_form_again(tmp_path):
    own = tmp_path / "trials.csv"
    box = filled(TrialsPanel(own), hold=3)
    assert box.form.undo_button.disabled
    box.form.add()
    before = own.read_bytes()
    box.form.note.value = "felt slow"
    filled(box, hold=4, glide=2).form.add()
    box.form.undo_button.click()
    assert own.read_bytes() == before
    assert (box.form.ratings["hold"].value, box.form.ratings["glide"].value, box.form.note.value) == (
        4,
        2,
        "felt slow",
    )
    assert "Taken out of" in box.form.message.value and not box.form.undo_button.disabled
    box.form.undo_button.click()
    assert TrialLog(own).read().trials == () and box.form.undo_button.disabled
    assert box.form.code.value == "Q1"


def test_what_another_took_out_meanwhile_is_said(tmp_path):
    own = tmp_path / "trials.csv"
    box = filled(TrialsPanel(own), hold=3)
    box.form.add()
    (trial,) = TrialLog(own).read().trials
    TrialLog(own).take_back(trial)
    box.form.undo_button.click()
    assert "Not taken back: trials.csv: it has no such trial of Q1 on 2024-10-05" in box.form.message.value


@pytest.mark.parametrize(
    ("code", "why"), [("Anna", "no name"), ("", "it must be a code"), ("a" * 20, "at most 12")]
)
def test_a_trial_that_makes_no_sense_is_not_added(tmp_path, code, why):
    own = tmp_path / "trials.csv"
    box = filled(TrialsPanel(own), hold=3)
    box.form.code.value = code
    box.form.add()
    assert "Not added" in box.form.message.value and why in box.form.message.value
    assert not own.exists() and box.form.ratings["hold"].value == 3  # nothing typed is lost


def test_a_damaged_own_log_is_reported_and_left_in_place(tmp_path):
    own = tmp_path / "trials.csv"
    box = filled(TrialsPanel(own), hold=3)
    box.form.add()
    with open(own, "ab") as file:
        file.write(b"2026-10-12,Q1,cut sh")
    before = own.read_bytes()
    filled(box, hold=4).form.add()
    assert own.read_bytes().startswith(before)
    assert (
        "line 3: it was cut short while it was written" in box._damage.value
        and "left in the file as they are" in box._damage.value
    )
    assert len(TrialLog(own).read().trials) == 2


def test_a_file_that_is_no_log_is_never_written_to(tmp_path):
    own = tmp_path / "trials.csv"
    own.write_bytes(b"something else\n")
    box = filled(TrialsPanel(own), hold=3)
    box.form.add()
    assert "is no trial log" in box.form.message.value and own.read_bytes() == b"something else\n"
    box.source.value = own
    assert "is no trial log" in box._damage.value and box.panel.fault


def test_an_empty_own_log_says_what_to_do(tmp_path):
    box = TrialsPanel(tmp_path / "trials.csv")
    box.source.value = tmp_path / "trials.csv"
    assert "There is no trial in this log yet" in box.panel.sentence_text


def test_a_log_without_trials_and_back_shows_a_skater_again():
    box = trials_panel()
    box.source.index = 1
    assert box.panel.fault and box.skater.value is None
    box.source.index = 0
    assert not box.panel.fault and box.skater.value == box.skater.options[0]


def test_the_buttons_of_the_form_are_whole_on_a_phone():
    form = trials_panel().form
    (row,) = (part for part in form.children if form.add_button in getattr(part, "children", ()))
    assert row.layout.flex_flow == "row wrap"  # else the page cuts their words off
