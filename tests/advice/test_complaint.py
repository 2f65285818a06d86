"""From a complaint to the next check: every way through the answers ends somewhere, in the least time."""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import nbformat
import pytest
from scipy.optimize import brentq

from bladelab import Blade, EdgeLevel, Hollow, Ice, InputError, Rocker, Stance, solve_contact, solve_friction
from bladelab.advice.causes import CAUSES
from bladelab.advice.complaint import COMPLAINTS
from bladelab.advice.complaint_numbers import ON_BLADE, ON_ICE, SHARP_EDGES, model_says
from bladelab.advice.next_check import Advice, Facts, next_check
from bladelab.physics.moments import MOMENTS

ROOT = Path(__file__).resolve().parents[2]
NAMED = {moment.name: moment for moment in MOMENTS}
EVERY_TEXT = [
    *(text for c in CAUSES.values() for text in (c.name, c.check, c.how, c.yes, c.no)),
    *(text for c in COMPLAINTS.values() for text in (c.said, c.heard, c.then)),
]
FACTS = [
    Facts(),
    Facts(days_since_sharpened=1),
    Facts(hours_since_sharpened=40),
    Facts(
        days_since_ground=3, days_since_new_steel=3, hollows_mm=(12.7, 15.875), new_boots=True, other_ice=True
    ),
]


def order(advice: Advice) -> list[str]:
    return [rung.cause.key for rung in advice.ladder]


def ends(complaint: str, side: str, facts: Facts) -> Iterator[tuple[list[str], Advice]]:
    """Every way through the answers: the checks asked for on the way, and the advice at its end."""
    ways: list[tuple[list[str], dict[str, str]]] = [([], {})]
    while ways:
        asked, found = ways.pop()
        advice = next_check(complaint, side, found, facts)
        if advice.next is None:
            yield asked, advice
            continue
        assert advice.next.key not in asked, "it was checked already"
        assert advice.next.how in advice.sentence and advice.next.check in advice.sentence
        ways += [([*asked, advice.next.key], {**found, advice.next.key: said}) for said in ("yes", "no")]


# The data ---------------------------------------------------------------------------------------


def test_every_notebook_named_is_there():
    named = {thing.notebook for thing in (*CAUSES.values(), *COMPLAINTS.values())} - {""}
    assert len(named) >= 9
    for name in named:
        assert (ROOT / "notebooks" / f"{name}.ipynb").exists(), name


def test_the_notebook_lists_every_cause_with_where_it_leads():
    cells = nbformat.read(ROOT / "notebooks" / "17_first_the_complaint.ipynb", as_version=4).cells
    rows = [line for cell in cells if cell.cell_type == "markdown" for line in cell.source.splitlines()]
    table = [[part.strip() for part in row.strip("|").split("|")] for row in rows if row.startswith("|")][2:]
    assert [row[:2] for row in table] == [[cause.name, cause.check] for cause in CAUSES.values()]
    for row, cause in zip(table, CAUSES.values(), strict=True):
        assert row[2].endswith(f"({cause.notebook}.ipynb)") if cause.notebook else row[2] == ""
        assert row[3] == cause.person


def test_every_cause_is_behind_a_complaint_and_leads_somewhere():
    used = {key for complaint in COMPLAINTS.values() for key in complaint.odds}
    assert used == set(CAUSES)
    for thing in (*CAUSES.values(), *COMPLAINTS.values()):
        assert thing.notebook or thing.person
    assert (
        len({cause.how for cause in CAUSES.values()})
        == len(CAUSES)
        == len({c.check for c in CAUSES.values()})
    )
    for cause in CAUSES.values():
        assert 0 < cause.minutes <= 30
    for complaint in COMPLAINTS.values():
        assert 3 <= len(complaint.odds) <= 9 and min(complaint.odds.values()) > 0


def test_texts_are_sentences():
    for cause in CAUSES.values():
        for text in (cause.how, cause.yes, cause.no):
            assert text[0].isupper() and text.endswith("."), text
        for text in (cause.name, cause.check):
            assert text[0].islower() and not text.endswith("."), text
    assert not [text for text in EVERY_TEXT if re.search(r"\s{2,}|\w\.\w|[*_]", text)]


def test_what_can_hurt_says_so():
    assert "gloves" in CAUSES["loose"].how and "Don't skate" in CAUSES["loose"].yes
    assert "Edges cut" in CAUSES["dull"].how and "never along it" in CAUSES["dull"].how
    assert "never a bare finger" in CAUSES["burr"].how
    assert "clinician" in CAUSES["fit"].yes and COMPLAINTS["hurts"].person == "a clinician"
    for _, advice in ends("hurts", "", Facts()):
        assert "clinician" in advice.sentence
    assert "clinician" in next_check("hurts").sentence


# The way through it -----------------------------------------------------------------------------


@pytest.mark.parametrize("complaint", COMPLAINTS)
def test_every_way_ends_and_no_check_is_asked_for_twice(complaint):
    for side, facts in [("", FACTS[0]), ("left", FACTS[1]), ("right", FACTS[2]), ("", FACTS[3])]:
        ways = list(ends(complaint, side, facts))
        count = len(next_check(complaint, side, {}, facts).ladder)
        assert len(ways) == count + 1, "one way for each cause that is confirmed, and one where none is"
        for asked, advice in ways:
            assert len(set(asked)) == len(asked)
            assert advice.notebook or advice.person
            if advice.found:
                (cause,) = advice.found
                assert asked[-1] == cause.key and cause.yes in advice.sentence
                assert (advice.notebook, advice.person) == (cause.notebook, cause.person)
            else:
                assert len(asked) == count and COMPLAINTS[complaint].then in advice.sentence


def minutes_on_average(rungs) -> float:
    spent = total = 0.0
    for rung in rungs:
        spent += rung.cause.minutes
        total += rung.odds * spent
    return total / sum(rung.odds for rung in rungs)


@pytest.mark.parametrize("facts", FACTS)
@pytest.mark.parametrize("complaint", ["no bite", "pitches back", "hurts", "slow glide"])
def test_no_other_order_takes_less_time(complaint, facts):
    """All orders tried; that falling odds / minutes is best is the rule of Smith 1956 (from memory)."""
    ladder = next_check(complaint, "left", {}, facts).ladder
    best = min(map(minutes_on_average, itertools.permutations(ladder)))
    assert minutes_on_average(ladder) == pytest.approx(best, rel=1e-12)
    assert minutes_on_average(ladder[::-1]) > 1.01 * best


def test_what_is_known_moves_the_list():
    plain, fresh, overdue = (order(next_check("no bite", "left", {}, facts)) for facts in FACTS[:3])
    assert plain[0] == "dull"
    assert fresh[0] == "hollow" and fresh.index("dull") > plain.index("dull") + 2
    assert "because it was sharpened yesterday" in next_check("no bite", "", {}, FACTS[1]).sentence
    assert next_check("no bite", "left", {}, FACTS[1]).next.check == "ask which hollow was ground"
    for complaint in COMPLAINTS.values():
        if "dull" in complaint.odds:
            assert order(next_check(complaint.key, "", {}, FACTS[2]))[0] == "dull", complaint.key
    assert overdue[0] == "dull"
    assert "about 40 hours of ice ago" in next_check("no bite", "", {}, FACTS[2]).sentence
    assert "60 days ago" in next_check("no bite", "", {}, Facts(days_since_sharpened=60)).sentence


@pytest.mark.parametrize(
    ("complaint", "cause", "facts", "because"),
    [
        ("pitches back", "pivot", Facts(days_since_ground=2), "it was profiled 2 days ago"),
        ("wobbles", "mounted", Facts(days_since_new_steel=0), "new steel went on today"),
        ("wobbles", "fit", Facts(new_boots=True), "the boots are new"),
        ("slow glide", "ice", Facts(other_ice=True), "the ice isn't what the skater is used to"),
        ("left and right", "differ", Facts(hollows_mm=(12.7, 15.875)), "the hollows differ, left and right"),
    ],
)
def test_each_fact_moves_its_cause_up_and_is_named(complaint, cause, facts, because):
    before, after = order(next_check(complaint)), next_check(complaint, facts=facts)
    assert order(after).index(cause) < before.index(cause)
    (rung,) = [rung for rung in after.ladder if rung.cause.key == cause]
    assert rung.because == because


def test_hours_on_the_ice_count_before_days():
    assert Facts(days_since_sharpened=60, hours_since_sharpened=1).fresh
    assert not Facts(days_since_sharpened=60, hours_since_sharpened=1).overdue
    assert Facts(days_since_sharpened=2, hours_since_sharpened=30).overdue
    assert not Facts().fresh and not Facts().overdue


def test_old_changes_and_equal_hollows_count_for_nothing():
    old = Facts(
        days_since_ground=60, days_since_new_steel=60, hollows_mm=(12.7, 12.7), hours_since_sharpened=10
    )
    for complaint in COMPLAINTS:
        assert next_check(complaint, facts=old) == next_check(complaint)


def test_what_concerns_both_skates_is_no_cause_on_one():
    assert "ice" in order(next_check("no bite")) and "ice" not in order(next_check("no bite", "right"))


def test_several_found_are_all_told_and_the_likeliest_leads():
    advice = next_check("no bite", "", {"hollow": "yes", "dull": "yes", "burr": "no", "fit": "no"})
    assert [cause.key for cause in advice.found] == ["dull", "hollow"] and advice.next is None
    assert CAUSES["dull"].yes in advice.sentence and CAUSES["hollow"].yes in advice.sentence
    assert advice.notebook == CAUSES["dull"].notebook
    assert {rung.cause.key: rung.said for rung in advice.ladder}["burr"] == "no"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("it squeaks",), "the complaint is 'it squeaks'; it must be one of no bite"),
        (("no bite", "both"), "the side is 'both'; it must be left, right, or empty"),
        (("no bite", "", {"rust": "yes"}), "the cause is 'rust'; it must be one of dull"),
        (("no bite", "", {"dull": "maybe"}), "the check of 'dull' says 'maybe'; it must be yes or no"),
    ],
)
def test_what_is_unknown_is_said(arguments, said):
    with pytest.raises(InputError, match=re.escape(said)):
        next_check(*arguments)


@pytest.mark.parametrize(
    "facts",
    [
        {"days_since_sharpened": -1},
        {"hours_since_sharpened": math.nan},
        {"hollows_mm": (0.0, 12.0)},
        {"hollows_mm": (12.0,)},
    ],
)
def test_impossible_facts_are_rejected(facts):
    with pytest.raises(InputError, match=next(iter(facts))):
        Facts(**facts)


# What the model says ----------------------------------------------------------------------------


def contact(blade, moment, ice=ON_ICE):
    return solve_contact(blade, NAMED[moment].stance(75.0), ice, NAMED[moment].gliding)


def test_numbers_are_the_librarys():
    shallower = replace(ON_BLADE, hollow=Hollow(14.2875, 2.9))
    less = 100 * (
        1 - contact(shallower, "one-foot glide").depth_mm / contact(ON_BLADE, "one-foot glide").depth_mm
    )
    sooner = contact(ON_BLADE, "stride push").hold_deg - contact(shallower, "stride push").hold_deg
    glide = NAMED["one-foot glide"].stance(75.0)
    drags = [solve_friction(blade, glide, ON_ICE, 6.0).total for blade in (ON_BLADE, shallower)]
    saved = 100 * (1 - drags[1] / drags[0])
    assert less > 1 and sooner > 0.1 and saved > 1
    assert (
        f"bites {less:.0f} % less in a glide, with {saved:.0f} % less drag, and slips out {sooner:.1f}°"
        in model_says("hollow")
    )

    high, low = EdgeLevel(1.0, 100.0).hold_deg(ON_BLADE, NAMED["tight turn"].stance(75.0), ON_ICE)
    assert high > contact(ON_BLADE, "tight turn").hold_deg > low
    assert f"hold {high:.1f}° on the high side and {low:.1f}° on the low side" in model_says("uneven")

    bites = [contact(ON_BLADE, "one-foot glide", Ice(at)).depth_mm for at in (-3.0, -8.0)]
    assert f"{100 * (1 - bites[1] / bites[0]):.0f} % less on cold" in model_says("ice")


def test_a_level_point_toward_the_heel_tips_the_boot_forward():
    """By hand, 5 mm on a circle of 3048 mm is 5 / 3048 rad; under a weight that stays where it is, the blade
    rolls toward the toe."""
    moved = Blade(Rocker.single(3048.0, 280.0, -5.0), Hollow(12.7, 2.9))
    pitch = solve_contact(moved, Stance(750.0, 0.0), ON_ICE).pitch_deg
    assert pitch == pytest.approx(math.degrees(5 / 3048), rel=0.01)
    assert "tips the boot 0.09° forward" in model_says("pivot")


def test_a_flatter_rocker_turns_wider_in_proportion():
    """Carve radius = R / sin(lean) on a single radius, so 10 % flatter is 10 % wider."""
    assert "10 % flatter on one skate turns 10 % wider" in model_says("differ")


def test_it_says_what_dull_edges_lose():
    push = next(moment for moment in MOMENTS if moment.name == "stride push").stance(75.0)

    def at(edge):
        return solve_contact(Blade(ON_BLADE.rocker, Hollow(12.7, 2.9, edge)), push, ON_ICE)

    gone = brentq(lambda edge: at(edge).hold_deg, 0.0, 0.1)
    said = model_says("dull")
    assert f"0.02 mm hold a push up to {at(0.02).hold_deg:.1f}° off" in said
    assert f"sharp ones up to {at(0.0).hold_deg:.1f}°" in said
    assert f"bite only {100 * (1 - at(0.02).depth_mm / at(0.0).depth_mm):.0f} % less" in said
    assert f"at {gone:.2f} mm the hold is gone" in said


def test_it_says_nothing_where_it_knows_nothing():
    assert "sharp edges" in SHARP_EDGES
    assert not [cause for cause in ("loose", "dirt", "bent", "laces", "fit") if model_says(cause)]
    with pytest.raises(InputError, match="the cause is 'rust'"):
        model_says("rust")
