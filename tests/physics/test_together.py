"""Several blades solved in one call give what each gives alone, whatever else is in the call."""

from __future__ import annotations

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, solve_contact, solve_friction
from bladelab.physics import solver
from bladelab.physics.contact import all_solved, solve_contacts
from bladelab.physics.glide import solve_frictions
from tests.physics.stances import COMPARED

SINGLE = Rocker.single(3048, 280, 5.0)
ZONES = Rocker((Zone(2600, 60), Zone(3400, 110), Zone(2900, 70), Zone(1900, 50)), 20.0)
STEPPED = Rocker((Zone(1500, 100), Zone(9000, 80), Zone(4000, 60)))
HOLLOW = Hollow(12.7, 3.0)

CASES = [
    (Blade(SINGLE, HOLLOW), Stance(736.0), Ice(), False),
    (Blade(ZONES, HOLLOW), Stance(500.0, np.linspace(-90, 90, 7), 12.0), Ice(-3.0), True),
    (Blade(STEPPED, Hollow(np.array([[8.0], [25.4]]), 2.5)), Stance(400.0, [-30.0, 20.0]), Ice(-8.0), False),
    (Blade(ZONES, Hollow(1000.0, 3.0)), Stance(900.0, -12.0, 40.0), Ice(), True),
    (Blade(SINGLE, HOLLOW), Stance(736.0, [0.0, 500.0, 139.9]), Ice(), False),
]


def test_contacts_solved_together_are_those_solved_alone() -> None:
    for case, together in zip(CASES, solve_contacts(CASES), strict=True):
        alone = solve_contact(*case)
        assert together.gliding is alone.gliding
        assert np.array_equal(together.reason, alone.reason)
        assert np.array_equal(together.reaches_end, alone.reaches_end)
        for name in (*COMPARED, "rock_deg"):
            here, there = getattr(together, name), getattr(alone, name)
            assert np.shape(here) == np.shape(there)
            assert here == pytest.approx(there, rel=1e-9, abs=1e-9, nan_ok=True), name


def test_frictions_solved_together_are_those_solved_alone() -> None:
    cases = [(blade, stance, ice, 4.0 + i) for i, (blade, stance, ice, _) in enumerate(CASES)]
    cases[0] = (*cases[0][:3], np.array([1.0, 9.0]))
    for case, together in zip(cases, solve_frictions(cases), strict=True):
        alone = solve_friction(*case)
        for name in ("plough", "film", "film_thickness_um", "total"):
            here, there = getattr(together, name), getattr(alone, name)
            assert np.shape(here) == np.shape(there)
            assert here == pytest.approx(there, rel=1e-9, nan_ok=True), name


def test_one_stance_that_cannot_be_solved_says_so_from_among_many() -> None:
    bad = (Blade(SINGLE, HOLLOW), Stance(736.0, 200.0), Ice(), False)
    *others, found = solve_contacts([*CASES, bad])
    assert "position_mm is 200 mm" in found.reason
    with pytest.raises(ValueError, match="position_mm is 200 mm"):
        all_solved([*others, found])
    assert solve_contacts([]) == solve_frictions([]) == []


@pytest.mark.parametrize("gliding", [False, True])
@pytest.mark.parametrize("lean_deg", [0.0, 35.0])
def test_where_the_search_starts_changes_the_way_and_not_the_answer(monkeypatch, gliding, lean_deg) -> None:
    blade = Blade(Rocker((Zone(2700, 90), Zone(3400, 100), Zone(2400, 90)), 20, 5), Hollow(12.7, 3.0))
    stance = Stance(700.0, np.linspace(-70, 70, 9), lean_deg)
    plain, first = solve_contact(blade, stance, Ice(), gliding), solver._first_guess
    for change, turn in ((1.1, 0.002), (50.0, -0.3)):  # close by, and far off

        def guess(problem, groove, change=change, turn=turn):
            depth, slope = first(problem, groove)
            return change * depth, slope + turn

        monkeypatch.setattr(solver, "_first_guess", guess)
        found = solve_contact(blade, stance, Ice(), gliding)
        for name in COMPARED:
            np.testing.assert_allclose(getattr(found, name), getattr(plain, name), rtol=1e-7, atol=1e-8)
