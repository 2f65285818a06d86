"""The numbers behind all advice are those of the physics, moment by moment."""

import numpy as np
import pytest

from bladelab import MOMENTS, Blade, Hollow, solve_contact
from bladelab.advice.evaluate import day_to_day, draw, evaluate
from bladelab.advice.quantities import QUANTITIES, Conditions, change
from bladelab.physics.glide import solve_friction
from bladelab.physics.ice import Ice
from tests.advice.blades import ALL, NAMED, SINGLE, THREE
from tests.reference.rock import rock_by_shifting


def test_values_are_those_of_the_physics() -> None:
    values = evaluate(THREE, ALL)
    for i, moment in enumerate(MOMENTS):
        stance = moment.stance(ALL.mass_kg)
        contact = solve_contact(THREE, stance, ALL.ice, gliding=moment.gliding)
        assert values["bite"][i] == pytest.approx(contact.depth_mm, rel=1e-9)
        assert values["length"][i] == pytest.approx(contact.length_mm, rel=1e-9)
        assert values["yaw_hold"][i] == pytest.approx(contact.yaw_hold_Nm, rel=1e-9)
        assert values["pitch"][i] == pytest.approx(contact.pitch_deg, abs=1e-9)
        rock = rock_by_shifting(THREE, stance, ALL.ice, moment.gliding)
        assert values["rock"][i] == pytest.approx(rock, rel=2e-3)
        if moment.lean_deg:
            assert values["hold"][i] == pytest.approx(contact.hold_deg, rel=1e-9)
            assert values["carve"][i] == pytest.approx(contact.carve_radius_m, rel=1e-9)
        else:
            assert np.isnan(values["hold"][i]) and np.isnan(values["carve"][i])
        if moment.gliding:
            friction = solve_friction(THREE, stance, ALL.ice, ALL.speed_m_s).total
            assert values["friction"][i] == pytest.approx(friction, rel=1e-9)
        else:
            assert np.isnan(values["friction"][i])


def test_many_hollows_in_one_call_are_the_same_as_one_at_a_time() -> None:
    radii = np.array([[9.5, 12.7], [15.9, 25.4]])
    together = evaluate(Blade(THREE.rocker, Hollow(radii, 2.9)), ALL)
    for place in np.ndindex(2, 2):
        alone = evaluate(Blade(THREE.rocker, Hollow(radii[place], 2.9)), ALL)
        for key in QUANTITIES:
            assert together[key].shape == (2, 2, 6)
            np.testing.assert_allclose(together[key][place], alone[key], rtol=1e-7, atol=1e-9)


def test_only_what_is_wanted_is_computed() -> None:
    assert set(evaluate(SINGLE, ALL, ["rock", "bite"])) == {"rock", "bite"}
    with pytest.raises(ValueError, match=r"no quantity is called \['speed'\]"):
        evaluate(SINGLE, ALL, ["speed"])


def test_a_moment_that_can_not_be_solved_is_left_empty() -> None:
    import dataclasses

    far = dataclasses.replace(NAMED["one-foot glide"], position_mm=200.0)
    values = evaluate(SINGLE, Conditions(moments=(far, NAMED["tight turn"])))
    assert np.isnan(values["bite"][0]) and np.isfinite(values["bite"][1])


@pytest.mark.slow
def test_one_day_differs_from_the_next_by_root_two_bands() -> None:
    # Independent: two sets of draws with other seeds, their differences counted directly.
    first, second = (draw(THREE, ALL, ["bite", "friction", "pitch"], 2500, seed) for seed in (11, 12))
    bands = day_to_day(THREE, ALL, ["bite", "friction", "pitch"], 2500)
    for key, expected in bands.items():
        for i in np.nonzero(np.isfinite(expected))[0]:
            low, high = np.percentile(change(first[key][:, i], second[key][:, i], key), [5, 95])
            assert expected[i] == pytest.approx((high - low) / 2, rel=0.06), (key, i)
    assert np.isnan(bands["friction"][0])


@pytest.mark.parametrize(
    ("how", "words"),
    [
        ({"mass_kg": 0}, "mass_kg is 0 kg; it must be at least 20 kg and at most 200 kg"),
        ({"speed_m_s": 0.0}, "speed_m_s is 0 m/s"),
        ({"moments": ()}, "moments is empty"),
        ({"ice": Ice([-5.0, -4.0])}, "the ice holds an array"),
    ],
)
def test_impossible_conditions_are_refused(how, words) -> None:
    with pytest.raises(ValueError, match=words):
        Conditions(**how)
