"""A team on one day: estimates from what is on the cards, unknown where nothing is, and what is due."""

import csv
import datetime
import io
from dataclasses import replace

import numpy as np
import pytest

from bladelab import InputError, Trace
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined
from bladelab.book.invented import invented_cards
from bladelab.book.roster import read_roster
from bladelab.book.steel_happenings import Fitted, Measured, Sharpened, SteelMeasured
from bladelab.book.team import DUE, sharpened_today, standing, team_csv

TODAY = datetime.date(2026, 3, 29)
CARDS = invented_cards()


def card(*pairs):
    """A card from pairs of days ago and what happened."""
    entries = [
        Entry("K07", TODAY - datetime.timedelta(days=ago), what, number=n)
        for n, (ago, what) in enumerate(pairs, 1)
    ]
    return card_of("K07", entries)


def test_nothing_known_is_nothing_due():
    row = standing(card((3, Joined("U15"))), TODAY)
    assert (row.hours, row.above_least_mm, row.ends_on, row.sides_differ) == (None,) * 4
    assert (row.sharpened_on, row.ground_on, row.tried_on, row.due) == (None, None, None, ())


def test_hours_are_days_times_hours_a_week():
    known = card((30, Fitted("S1")), (30, Circumstances(hours_per_week=5.0)), (14, Sharpened("S1")))
    assert standing(known, TODAY).hours == pytest.approx(10.0)
    assert "sharpening" in standing(known, TODAY, hours_per_sharpening=10.0).due
    assert "sharpening" not in standing(known, TODAY, hours_per_sharpening=10.1).due


def test_of_two_sides_the_one_due_first_counts():
    known = card(
        (30, Circumstances(hours_per_week=7.0)), (30, Fitted("S1")), (9, Sharpened("S1", sides=("left",))),
        (2, Sharpened("S1", sides=("right",))),
    )  # fmt: skip
    assert standing(known, TODAY).hours == pytest.approx(9.0)


def test_steel_ends_at_the_pace_since_it_was_measured():
    pairs = [(100, Fitted("S1")), (100, SteelMeasured("S1", height_mm=11.0, least_mm=9.0))]
    known = card(*pairs, (50, Sharpened("S1", taken_mm=0.5)), (1, Sharpened("S1", taken_mm=0.5)))
    row = standing(known, TODAY)
    assert row.above_least_mm == pytest.approx(1.0)
    assert row.ends_on == TODAY + datetime.timedelta(days=100)  # 1 mm in 100 days, and 1 mm is left
    assert standing(card(*pairs, (1, Sharpened("S1"))), TODAY).ends_on is None  # nobody measured that


def test_edges_that_share_too_little_leave_the_rest_of_the_page_whole():
    x = np.linspace(-120.0, 120.0, 121)
    short, whole = (Trace(part, part**2 / 6096, 0.003) for part in (x[:40], x))
    known = card((3, Fitted("S1")), (2, Measured("S1", "left", short)), (1, Measured("S1", "right", whole)))
    assert standing(known, TODAY).sides_differ is None


def test_the_invented_team_has_each_reason():
    due = {key for one in CARDS.values() for key in standing(one, TODAY).due}
    assert due == set(DUE) - {"check"}
    assert standing(CARDS["N04"], TODAY).due[0] == "order"
    assert standing(CARDS["N02"], TODAY).sides_differ is True


def test_many_are_sharpened_in_one_action():
    two = replace(CARDS["N03"], fitted={"left": "S1", "right": "S2"})
    entries = sharpened_today([CARDS["N01"], two, card((1, Joined()))], TODAY, 12.7, "rink")
    said = [(e.skater, e.what.steel, e.what.sides, e.what.hollow_mm, e.by) for e in entries]
    assert said == [
        ("N01", "S1", ("left", "right"), 12.7, "rink"),
        ("N03", "S1", ("left",), 12.7, "rink"),
        ("N03", "S2", ("right",), 12.7, "rink"),
    ]


def test_the_table_has_a_row_for_each_and_dates_as_iso_8601():
    rows = [standing(one, TODAY) for one in CARDS.values()]
    table = list(csv.DictReader(io.StringIO(team_csv(rows, TODAY, {"N01": ("9 ft", "", "-1")}).decode())))
    assert [row["skater"] for row in table] == list(CARDS)
    assert {row["date"] for row in table} == {TODAY.isoformat()}
    assert datetime.date.fromisoformat(table[0]["sharpened"]) == rows[0].sharpened_on
    assert (table[0]["left_blade"], table[0]["right_blade"], table[1]["left_blade"]) == ("9 ft", "", "")


def test_the_table_comes_back_in_as_a_roster(tmp_path):
    file = tmp_path / "team.csv"
    file.write_bytes(team_csv([standing(one, TODAY) for one in CARDS.values()], TODAY))
    roster = read_roster(file, {}, TODAY)
    assert [(one.skater, one.what.team) for one in roster.entries] == [
        (c.skater, c.team) for c in CARDS.values()
    ]
    assert roster.refused == () and read_roster(file, CARDS, TODAY).known == 18


def test_a_day_must_be_a_day():
    with pytest.raises(InputError, match="it must be a date"):
        standing(CARDS["N01"], "2026-03-29")
