"""What a card knows puts the checks of a complaint in order."""

import datetime

import pytest

from bladelab import Facts, Rocker, next_check
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.facts import facts_of
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Complained, Joined
from bladelab.book.steel_happenings import Fitted, Ground, Sharpened

TODAY = datetime.date(2026, 11, 27)
TEN = Rocker.single(3048.0, 280.0)


def card(*happenings: tuple[int, object]) -> Card:
    """A card from pairs: so many days ago, this."""
    entries = [
        Entry("K07", TODAY - datetime.timedelta(days=ago), what, number=number)
        for number, (ago, what) in enumerate(happenings, 1)
    ]
    return card_of("K07", entries)


def test_an_empty_card_knows_nothing():
    assert facts_of(card((9, Joined())), "left", TODAY) == Facts()
    assert facts_of(card((9, Fitted("S1"))), "", TODAY) == Facts()


def test_sharpened_yesterday_or_forty_hours_ago():
    steel = [(200, Fitted("S1")), (200, Circumstances(hours_per_week=10.0))]
    fresh = facts_of(card(*steel, (1, Sharpened("S1", 12.7))), "left", TODAY)
    assert (fresh.days_since_sharpened, fresh.fresh) == (1, True)
    assert next_check("no bite", "left", facts=fresh).next.key == "hollow"
    long = facts_of(card(*steel, (28, Sharpened("S1", 12.7))), "left", TODAY)
    assert long.hours_since_sharpened == pytest.approx(40.0) and long.overdue
    assert next_check("no bite", "left", facts=long).next.key == "dull"


def test_hours_need_hours_a_week():
    facts = facts_of(card((28, Fitted("S1")), (28, Sharpened("S1"))), "left", TODAY)
    assert (facts.days_since_sharpened, facts.hours_since_sharpened) == (28, None)


def test_each_side_has_its_own_days_and_both_take_the_worse():
    found = card(
        (90, Fitted("S1")),
        (60, Sharpened("S1", 12.7, ("left",))),
        (2, Sharpened("S1", 15.875, ("right",))),
        (50, Ground("S1", TEN, ("left",))),
        (5, Ground("S1", TEN, ("right",))),
    )
    left, right, both = (facts_of(found, side, TODAY) for side in ("left", "right", ""))
    assert [f.days_since_sharpened for f in (left, right, both)] == [60, 2, 60]
    assert [f.days_since_ground for f in (left, right, both)] == [50, 5, 5]
    assert left.hollows_mm == right.hollows_mm == both.hollows_mm == (12.7, 15.875)


def test_a_side_of_which_nobody_knows_is_not_taken_for_the_other():
    found = card((90, Fitted("S1")), (2, Sharpened("S1", 12.7, ("right",))))
    assert facts_of(found, "", TODAY).days_since_sharpened is None
    assert facts_of(found, "right", TODAY).days_since_sharpened == 2
    assert facts_of(found, "", TODAY).hollows_mm is None


def test_new_steel_is_a_set_that_came_after_another():
    first = card((30, Fitted("S1")))
    assert facts_of(first, "left", TODAY).days_since_new_steel is None
    second = card((30, Fitted("S1")), (3, Fitted("S2")))
    assert facts_of(second, "left", TODAY).days_since_new_steel == 3
    rotated = card((30, Fitted("S1")), (20, Fitted("S2")), (3, Fitted("S1")))
    assert facts_of(rotated, "left", TODAY).days_since_new_steel is None, "the first set is back on"
    again = card((30, Fitted("S1")), (20, Fitted("S2")), (10, Fitted("S1")), (3, Fitted("S2")))
    assert facts_of(again, "left", TODAY).days_since_new_steel == 20


def test_new_steel_that_was_never_sharpened_counts_once_that_is_overdue():
    hours = (90, Circumstances(hours_per_week=7.0))
    for ago, known in ((3, None), (40, 40)):
        facts = facts_of(card(hours, (90, Fitted("S1")), (ago, Fitted("S2"))), "left", TODAY)
        assert facts.days_since_sharpened == known and not facts.fresh
    assert next_check("no bite", "left", facts=facts).next.key == "dull"


def test_a_day_in_the_future_is_today():
    facts = facts_of(card((30, Fitted("S1")), (-3, Sharpened("S1"))), "left", TODAY)
    assert facts.days_since_sharpened == 0


@pytest.mark.parametrize(
    ("after", "worked_on"),
    [
        ([], False),
        ([(2, Sharpened("S1", 12.7))], True),
        ([(2, Ground("S1", TEN))], True),
        ([(2, Fitted("S2"))], True),
        ([(2, Sharpened("S9"))], False),
        ([(2, Sharpened("S1")), (1, Complained("wobbles"))], False),
        ([(2, Circumstances(mass_kg=60.0))], False),
    ],
)
def test_a_card_says_whether_the_steel_was_worked_on_since_the_complaint(after, worked_on):
    found = card((30, Fitted("S1")), (20, Sharpened("S1")), (5, Complained("no bite", "left")), *after)
    assert found.worked_on is worked_on
