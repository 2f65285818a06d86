"""The picture and the tables of the page on trust say what the library computes."""

from __future__ import annotations

import math

import pytest

from bladelab import MOMENTS, Blade, Hollow, Ice, Rocker, Stance, solve_contact, solve_friction
from bladelab.physics.friction_gap import read_measured
from bladelab.physics.possible_ices import possible_ices
from bladelab.show.drawings.trust import checks_table
from bladelab.show.drawings.trust_picture import (
    ComputedAgainstMeasured,
    attempts_table,
    moments_table,
    verdicts_table,
)
from bladelab.trust.comparisons import comparisons


def test_the_picture_has_every_comparison_with_its_source() -> None:
    rows = comparisons()
    drawn = ComputedAgainstMeasured()
    said = [text.get_text() for text in drawn.figure.findobj(lambda artist: hasattr(artist, "get_text"))]
    for row in rows:
        assert row.fact in said and row.source.replace(" (", "\n(") in said
        for value, ok in zip((row.span.drop_test, row.span.pressed), row.agrees, strict=True):
            assert f"{value:.{row.digits}f} {'✓' if ok else '✗'}" in said
    pressed, dropped = (sum(row.agrees[k] for row in rows) for k in (1, 0))
    of = f"of {len(rows)} published facts"
    title = drawn.headline.get_text()
    assert title == f"Pressed ice agrees with {pressed} {of}, the drop test's ice with {dropped}"


def test_comparisons_are_those_of_the_library() -> None:
    for row, case in zip(comparisons()[:2], read_measured(), strict=True):
        assert row.published == case.mu
        stance = Stance(case.mass_kg * 9.81)
        for ice, value in ((Ice(-5.0), row.span.drop_test), (Ice.pressed(-5.0), row.span.pressed)):
            found = solve_friction(case.blade, stance, ice, case.speed_m_s).total
            assert value == pytest.approx(found, rel=1e-9)
    by_fact = {(row.fact, row.source): row.agrees for row in comparisons()}
    assert by_fact["hollow 3/8 over 7/8 in, sled", "Redmond & Federolf 2010"] == (True, False)
    assert by_fact["least friction at, °C below 0", "de Koning et al. 1992"] == (False, False)
    assert math.isinf(comparisons()[4].high)


def test_the_table_of_moments_is_that_of_the_library() -> None:
    rows = moments_table().rows
    assert [row[0] for row in rows] == [moment.name for moment in MOMENTS]
    blade = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9))
    for row, moment in zip(rows, MOMENTS, strict=True):
        stance = moment.stance(75.0, 6.0)
        contacts = [solve_contact(blade, stance, one.ice, moment.gliding) for one in possible_ices(-5.0)]
        depths = [float(contact.depth_mm) for contact in contacts]
        assert row[5:7] == (f"{depths[0]:.3f}", f"{depths[1]:.3f}")
        assert row[7] == f"{min(depths):.3f} to {max(depths):.3f}"
        assert row[9] == f"{contacts[1].length_mm:.0f}"
    assert [row[1] for row in rows][:3] == ["2 s", "4 ms", "0.3 s"]


@pytest.mark.slow
def test_the_tables_say_where_pressed_ice_breaks_and_sources_conflict() -> None:
    verdicts = [row[-1] for row in attempts_table().rows]
    assert set(verdicts) == {"survives", "breaks", "open"} and verdicts[0] == "survives"
    last = verdicts_table().rows[-1]
    same, of = (int(word) for word in last[0].split() if word.isdigit())
    assert 25 < same < of and len(verdicts_table().rows) == of - same + 1
    conflicts = [row for row in checks_table().rows if "sources conflict" in row[-1]]
    assert any("Kuroiwa" in row[1] and "de Koning" in row[-1] for row in conflicts)
    assert any("de Koning" in row[1] and "Kuroiwa" in row[-1] for row in conflicts)
