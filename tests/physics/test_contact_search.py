"""Random stances over the whole legal range: solved to the promised balance, or refused in words.

By hand, 1.5 million realistic stances and 30,000 extreme ones were tried; here a few thousand.
"""

from __future__ import annotations

import re

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, solve_contact, solve_friction
from bladelab.physics.contact import Contact, solve_contacts
from bladelab.physics.film import FilmStretch, march_film, packed
from bladelab.physics.glide import solve_frictions
from tests.physics.stances import COMPARED, as_blade, as_ice, as_stance
from tests.reference.contact import solve
from tests.reference.standing import Case

BALANCED = 1e-10


def rocker(rng: np.random.Generator, length: float, shortest: float, longest: float) -> Rocker:
    count = int(rng.choice([1, 1, 2, 3, 4, 6]))
    parts = rng.dirichlet(np.full(count, 5.0)) * length
    radii = np.exp(rng.uniform(np.log(shortest), np.log(longest), count))
    blend = float(rng.choice([0.0, rng.uniform(0.05, 0.99) * parts.min()])) if count > 1 else 0.0
    pivot = float(rng.choice([0.0, rng.uniform(-0.2, 0.2) * length]))
    return Rocker(tuple(Zone(r, n) for r, n in zip(radii, parts, strict=True)), blend, pivot)


def realistic(rng: np.random.Generator, n: int) -> tuple[Blade, Stance, Ice]:
    """One rocker, n hollows, stances and ices: every combination that a skater can bring about, and more."""
    hollow = Hollow(np.exp(rng.uniform(np.log(6.0), np.log(40.0), n)), rng.uniform(2.5, 4.0, n))
    load = rng.uniform(20.0, 140.0, n) * 9.81 * rng.uniform(0.2, 3.0, n)
    place = np.where(rng.random(n) < 0.2, 0.0, rng.uniform(-120.0, 120.0, n))
    lean = np.where(rng.random(n) < 0.3, 0.0, rng.uniform(0.0, 75.0, n))
    blade = Blade(rocker(rng, rng.uniform(220.0, 320.0), 1200.0, 12_200.0), hollow)
    return blade, Stance(load, place, lean), Ice(rng.uniform(-15.0, -0.5, n))


def extreme(rng: np.random.Generator, n: int) -> tuple[Blade, Stance, Ice]:
    """Legal, though nobody grinds or skates it."""
    length = np.exp(rng.uniform(np.log(rng.choice([0.5, 20.0, 100.0])), np.log(400.0)))
    width = rng.uniform(0.5, 8.0, n)
    hollow = Hollow(width / 2 * (1 + np.exp(rng.uniform(np.log(1e-4), np.log(1e4), n))), width)
    load = np.exp(rng.uniform(0.0, np.log(20_000.0), n))
    place = np.where(rng.random(n) < 0.2, 0.0, rng.uniform(-0.5, 0.5, n) * length)
    lean = np.where(rng.random(n) < 0.3, 0.0, rng.uniform(0.0, 85.0, n))
    longest = rng.choice([1e5, 1e8, 1e12])
    blade = Blade(rocker(rng, length, max(1e3, length), longest), hollow)
    return blade, Stance(load, place, lean), Ice(rng.uniform(-30.0, 0.0, n))


def well_inside(contact: Contact) -> np.ndarray:
    """Whether the blade, all of its width bearing, has the groove's depth to spare at the nearer end."""
    stance, hollow = contact.stance, contact.blade.hollow
    lean = np.radians(stance.lean_deg)
    bears = stance.load_N / np.cos(lean) / contact.ice.hardness_MPa / hollow.width_mm / 2
    edge = np.arcsin(hollow.width_mm / hollow.radius_mm / 2)
    roof = 2 * hollow.radius_mm * np.sin((edge + lean) / 2) ** 2
    deep = np.where(lean < edge, roof, hollow.width_mm * np.sin(lean))
    room = contact.blade.rocker.length_mm / 2 - np.abs(stance.position_mm)
    return (bears + deep < room) & (lean + edge < np.pi / 2 - 1e-9)


def assert_balanced(contact: Contact) -> None:
    solved = contact.reason == ""
    assert (np.abs(contact.force_error[solved]) < BALANCED).all()
    assert (np.abs(contact.moment_error[solved]) < BALANCED).all()
    for name in COMPARED:
        value = getattr(contact, name)
        assert not np.isnan(value[solved]).any(), name
        assert np.isnan(value[~solved]).all(), name
    # Each refusal names the value at fault and says what would do.
    for reason in contact.reason[~solved]:
        assert re.match(r"(position_mm|lean_deg|load_N) is -?[\d.e+-]+ |the load is too great", reason), (
            reason
        )


@pytest.mark.slow
@pytest.mark.parametrize("gliding", [False, True])
def test_every_realistic_stance_well_inside_the_blade_is_solved(gliding: bool) -> None:
    cases = [(*realistic(np.random.default_rng(seed), 500), gliding) for seed in range(20)]
    for contact in solve_contacts(cases):
        assert_balanced(contact)
        inside = well_inside(contact)
        assert inside.mean() > 0.7
        assert (contact.reason[inside] == "").all()


@pytest.mark.slow
@pytest.mark.parametrize("gliding", [False, True])
def test_an_extreme_stance_is_solved_or_refused_never_wrong(gliding: bool) -> None:
    solved = 0
    cases = [(*extreme(np.random.default_rng(seed), 60), gliding) for seed in range(8)]
    for contact in solve_contacts(cases):
        assert_balanced(contact)
        solved += (contact.reason == "").sum()
    assert solved > 175


@pytest.mark.slow
def test_where_the_contact_is_solved_the_friction_is_a_number() -> None:
    draws = [np.random.default_rng(seed) for seed in range(10)]
    for found in solve_frictions([(*extreme(rng, 60), rng.uniform(0.2, 30.0, 60)) for rng in draws]):
        solved = found.contact.reason == ""
        for name in ("plough", "film", "film_thickness_um"):
            assert (getattr(found, name)[solved] > 0).all(), name


def test_a_film_that_rounding_leaves_no_width_at_its_front_has_a_drag() -> None:
    # As at a contact 1e-8 mm deep: the first cells have lost their width, the others none.
    places = packed(12)[:, None]
    width = 1e-6 * places
    whole = FilmStretch(0.01 * places, width, 2)
    cut = FilmStretch(0.01 * places, np.where(places < 0.05, 0.0, width), 2)
    drags = [
        march_film([one], *np.array([[7e-11], [1e-11], [1e6], [0.0]])).width_over_thickness_m[0]
        for one in (whole, cut)
    ]
    assert drags[1] == pytest.approx(drags[0], rel=0.01)


#: (R, length), r, w, load, position, lean, temperature: gliding at a great lean, the whole runner dips in.
DEEP = [
    ((4936.0, 225.4), 10.79, 3.2, 1581.0, -25.63, 72.4, -7.36),
    ((6467.0, 237.4), 9.295, 2.82, 3000.0, 0.0, 74.6, -3.64),
    ((4900.0, 226.0), 22.9, 3.25, 2675.0, 0.0, 74.3, -1.02),
    ((4900.0, 226.0), 8.798, 3.69, 2971.0, 0.0, 72.8, -4.11),
]


@pytest.mark.parametrize(("zone", "radius", "width", "load", "place", "lean", "cold"), DEEP)
def test_a_leaned_blade_that_glides_sunk_to_its_end_is_as_the_reference_solves_it(
    zone: tuple[float, float],
    radius: float,
    width: float,
    load: float,
    place: float,
    lean: float,
    cold: float,
) -> None:
    case = Case((zone,), radius, width, load, place, lean, 14.7 - 0.6 * cold, gliding=True)
    found, expected = solve_contact(as_blade(case), as_stance(case), as_ice(case), True), solve(case)
    for name in COMPARED:
        assert getattr(found, name) == pytest.approx(getattr(expected, name), rel=1e-4, abs=1e-6), name


def test_a_straight_short_blade_bears_its_whole_load() -> None:
    # A straight runner under a load at its middle lies flat: all its length bears, on w - 2 q of its
    # width, with q = sqrt(r^2 - (k + depth)^2): a circle cut by a line, by hand.
    load, length, r, w = 345.0, 24.3, 12.7, 2.9
    found = solve_contact(Blade(Rocker.single(1e12, length), Hollow(r, w)), Stance(load), Ice(), True)
    q = (w - load / Ice().hardness_MPa / length) / 2
    assert found.area_mm2 * found.ice.hardness_MPa == pytest.approx(load, rel=1e-10)
    assert found.length_mm == pytest.approx(length, rel=1e-6)
    assert found.depth_mm == pytest.approx(np.sqrt(r**2 - q**2) - np.sqrt(r**2 - w**2 / 4), rel=1e-6)


def test_among_several_the_others_keep_their_numbers_and_one_alone_is_refused() -> None:
    blade, off = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0)), Stance(736.0, 141.0)
    good, bad, other = solve_contacts([(blade, s, Ice(), False) for s in (Stance(736.0), off, Stance(800.0))])
    assert good.depth_mm == pytest.approx(solve_contact(blade, Stance(736.0), Ice()).depth_mm, rel=1e-12)
    assert good.reason == other.reason == ""
    assert np.isnan(bad.depth_mm)
    assert "position_mm is 141 mm" in bad.reason
    with pytest.raises(ValueError, match="position_mm is 141 mm"):
        solve_contact(blade, off, Ice())
    with pytest.raises(ValueError, match="position_mm is 141 mm"):
        solve_friction(blade, off, Ice(), 6.0)


def test_upright_the_hold_is_zero_without_a_sign() -> None:
    for seed in range(5):
        blade, stance, ice = realistic(np.random.default_rng(seed), 100)
        found = solve_contact(blade, Stance(stance.load_N, stance.position_mm), ice)
        solved = found.reason == ""
        assert (found.hold_deg[solved] == 0).all()
        assert not np.signbit(found.hold_deg[solved]).any()
