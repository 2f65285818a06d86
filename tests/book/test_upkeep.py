"""What is due by a season's plan and by a skater's own habit; without either, by the number asked with."""

import datetime

import pytest

from bladelab import Blade, Hollow, InputError, Rocker
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.happenings import Circumstances, Joined
from bladelab.book.kept_cards import card_of_text, text_of_card
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.steel_happenings import Fitted, Ground, Ordered, Sharpened, SteelMeasured
from bladelab.book.team import standing
from bladelab.book.upkeep import hours_allowed, reprofile_on, usual_hours

TODAY = datetime.date(2026, 3, 29)
TEN = Rocker.single(3048.0, 280.0)


def day(ago):
    return TODAY - datetime.timedelta(days=ago)


def card(*pairs):
    """A card from pairs of days ago and what happened."""
    return card_of("K07", [Entry("K07", day(ago), what, number=n) for n, (ago, what) in enumerate(pairs, 1)])


def plan(start, weeks, reprofile=(), hours=6.0, steel_until=None):
    """A plan in days ago."""
    end = day(start - 7 * weeks)
    return start, SeasonPlanned(day(start), end, tuple(map(day, reprofile)), hours, steel_until)


SHARPENED = [(60, Circumstances(hours_per_week=7.0)), (60, Fitted("S1"))]


def test_the_usual_hours_are_the_median_gap():
    """Gaps of 10, 10, 30 (a holiday) and 12 days at 7 h a week: 10, 10, 12, 30 h; the middle is 11."""
    days = [62, 52, 42, 12, 0]
    known = card(*SHARPENED, *((ago, Sharpened("S1")) for ago in days))
    assert usual_hours(known) == pytest.approx(11.0)
    assert hours_allowed(known, TODAY, 6.0).by == "habit"


def test_three_sharpenings_are_no_habit_and_the_number_asked_with_counts():
    known = card(*SHARPENED, *((ago, Sharpened("S1")) for ago in (30, 20, 10)))
    assert usual_hours(known) is None
    assert (hours_allowed(known, TODAY, 6.0).hours, hours_allowed(known, TODAY, 6.0).by) == (6.0, "asked")


def test_who_is_due_for_a_sharpening_goes_by_plan_then_habit_then_the_number():
    sharpened = [(ago, Sharpened("S1")) for ago in (47, 35, 23, 11)]  # every 12 h, the last 11 h ago
    assert "sharpening" not in standing(card(*SHARPENED, *sharpened), TODAY).due
    assert "sharpening" in standing(card(*SHARPENED, *sharpened), TODAY, by_card=False).due
    assert "sharpening" in standing(card(*SHARPENED, *sharpened), TODAY + datetime.timedelta(days=1)).due
    planned = card(*SHARPENED, *sharpened, plan(5, 20, hours=10.0))
    assert "sharpening" in standing(planned, TODAY).due and standing(planned, TODAY).allowed.by == "plan"
    over = card(*SHARPENED, plan(59, 8, hours=10.0), *sharpened)  # the plan ended three days ago
    assert standing(over, TODAY).allowed.by == "habit"


def test_a_planned_re_profile_is_due_from_its_day_until_it_is_ground():
    known = [(200, Fitted("S1")), (100, Ground("S1", TEN)), plan(95, 36, reprofile=(95, 1, -60))]
    assert reprofile_on(card(*known), day(2)) == day(1), "the first is done: ground five days early"
    assert "reprofile" not in standing(card(*known), day(2)).due
    assert "reprofile" in standing(card(*known), TODAY).due
    half = (0, Ground("S1", TEN, ("left",)))
    assert "reprofile" in standing(card(*known, half), TODAY).due, "the right edge was not ground"
    assert standing(card(*known, (0, Ground("S1", TEN))), TODAY).reprofile_on == day(-60)
    ordered = card(*known, (0, Ordered("S1", Blade(TEN, Hollow(12.7, 2.9)))))
    assert [key for key in standing(ordered, TODAY).due if key in ("order", "reprofile")] == ["order"]


def test_new_steel_is_due_when_the_plan_says_that_it_ends():
    steel = (90, SteelMeasured("S1", height_mm=9.8, least_mm=9.0))
    known = [(90, Fitted("S1")), steel]
    assert "steel" in standing(card(*known), TODAY).due, "0.8 mm, less than 1 mm"
    lasts = plan(80, 36, steel_until=day(80 - 7 * 36))
    assert "steel" not in standing(card(*known, lasts), TODAY).due, "the plan says that it lasts the season"
    for ago, due in ((-29, False), (-28, True), (3, True)):
        assert ("steel" in standing(card(*known, plan(80, 36, steel_until=day(ago))), TODAY).due) is due
    used_up = (1, Sharpened("S1", taken_mm=0.8))
    assert "steel" in standing(card(*known, lasts, used_up), TODAY).due, "nothing is left, plan or not"
    assert "steel" in standing(card(*known, plan(80, 36)), TODAY).due, "a plan that knows no steel"


def test_the_next_date_is_due_until_the_skater_comes():
    known = card((20, Joined()), (14, NextDate(day(0))))
    assert known.next_on == TODAY and standing(known, TODAY).due == ("visit",)
    assert "visit" not in standing(known, day(1)).due
    early = card((20, Joined()), (14, NextDate(day(0))), (2, Sharpened("S1")))
    assert early.next_on == TODAY, "what was done before that day is not the visit"
    came = card((20, Joined()), (14, NextDate(day(1))), (0, Sharpened("S1")))
    assert came.next_on is None and "visit" not in standing(came, TODAY).due
    assert card((14, NextDate(day(0))), (3, NextDate(None))).next_on is None


def test_a_kept_card_has_its_plan():
    known = card(*SHARPENED, plan(80, 36, (80, 1)), (3, NextDate(day(-9))), (2, Sharpened("S1")))
    assert card_of_text(text_of_card(known)) == known


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ((TODAY, TODAY, (), 6.0), "end is 2026-03-29; it must be after the start"),
        ((TODAY, day(-9), (day(1),), 6.0), "reprofile_on is 2026-03-28; it must be from 2026-03-29"),
        ((TODAY, day(-9), (), 0.1), "hours_per_sharpening is 0.1 h"),
        ((TODAY, day(-9), (), 6.0, day(-10)), "steel_until is 2026-04-08; it must be from"),
        (("today", day(-9), (), 6.0), "start is 'today'; it must be a date"),
    ],
)
def test_an_impossible_plan_is_refused(fields, says):
    with pytest.raises(InputError, match=says):
        SeasonPlanned(*fields)
