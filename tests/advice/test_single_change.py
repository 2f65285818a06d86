"""The single change map against finite differences done by hand."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from bladelab import Blade, Contact, Hollow, Ice, Rocker, Zone, feet, inches, solve_contact
from bladelab.advice.change_map import single_change_map
from bladelab.advice.quantities import Conditions
from bladelab.advice.single_change import Change, hollow_step, single_changes, zone_names
from bladelab.physics.glide import solve_friction
from bladelab.physics.possible_ices import Span, all_possible
from bladelab.shape.blade import what_differs
from tests.advice.blades import ALL, GLIDE, NAMED, SINGLE, THREE
from tests.reference.rock import rock_by_shifting


@cache
def contact_of(blade: Blade, moment) -> Contact:
    return solve_contact(blade, moment.stance(75.0), Ice(-5.0), gliding=moment.gliding)


def by_hand(blade: Blade, moment, key: str) -> float:
    stance, ice = moment.stance(75.0), Ice(-5.0)
    if key == "rock":
        return rock_by_shifting(blade, stance, ice, moment.gliding)
    if key == "friction":
        return solve_friction(blade, stance, ice, 6.0).total if moment.gliding else np.nan
    names = {"length": "length_mm", "bite": "depth_mm", "hold": "hold_deg", "yaw_hold": "yaw_hold_Nm"}
    names |= {"carve": "carve_radius_m", "pitch": "pitch_deg"}
    if key in ("hold", "carve") and not moment.lean_deg:
        return np.nan
    return getattr(contact_of(blade, moment), names[key])


#: Written out by hand: the three-zone blade with one thing changed, by part, zone and direction.
CHANGED = {
    ("whole shape", "", 1): ((10, 13, 9), 20, 5, "1/2"),
    ("whole shape", "", -1): ((8, 11, 7), 20, 5, "1/2"),
    ("radius", "heel", 1): ((10, 12, 8), 20, 5, "1/2"),
    ("radius", "heel", -1): ((8, 12, 8), 20, 5, "1/2"),
    ("radius", "middle", 1): ((9, 13, 8), 20, 5, "1/2"),
    ("radius", "middle", -1): ((9, 11, 8), 20, 5, "1/2"),
    ("radius", "toe", 1): ((9, 12, 9), 20, 5, "1/2"),
    ("radius", "toe", -1): ((9, 12, 7), 20, 5, "1/2"),
    ("blend", "", 1): ((9, 12, 8), 40, 5, "1/2"),
    ("blend", "", -1): ((9, 12, 8), 0, 5, "1/2"),
    ("level point", "", 1): ((9, 12, 8), 20, 10, "1/2"),
    ("level point", "", -1): ((9, 12, 8), 20, 0, "1/2"),
    ("hollow", "", 1): ((9, 12, 8), 20, 5, "9/16"),
    ("hollow", "", -1): ((9, 12, 8), 20, 5, "7/16"),
}


def which(change: Change) -> tuple[str, str, int]:
    return change.part, change.zone, change.direction


@pytest.mark.slow
def test_the_map_agrees_with_differences_done_by_hand() -> None:
    found = single_change_map(THREE, ALL)
    assert {which(change) for change in found.changes} == set(CHANGED)
    before = {(key, moment): by_hand(THREE, moment, key) for key in found.keys for moment in ALL.moments}
    for i, change in enumerate(found.changes):
        radii, blend, pivot, hollow = CHANGED[which(change)]
        zones = tuple(Zone(feet(r), length) for r, length in zip(radii, (90, 100, 90), strict=True))
        after = Blade(Rocker(zones, blend, pivot), Hollow(inches(hollow), 2.9))
        assert not what_differs(change.blade, after)
        for k, key in enumerate(found.keys):
            for m, moment in enumerate(ALL.moments):
                was, now = before[key, moment], by_hand(after, moment, key)
                expected = now - was if key == "pitch" else 100 * (now / was - 1)
                # 0.02 per cent points, or degrees to 1e-6; the rock comes from a Jacobian, good to 0.1 %.
                close = 1e-6 if key == "pitch" else 0.25 if key == "rock" else 0.02
                if key == "rock" and change.part == "blend":
                    continue  # on a step the rock jumps; which side is taken is arbitrary
                np.testing.assert_allclose(
                    found.effects[i, k, m],
                    expected,
                    atol=close,
                    err_msg=str((which(change), key, moment.name)),
                )


def test_a_pivot_move_only_tips_the_boot() -> None:
    found = single_change_map(THREE, GLIDE)
    i = list(map(which, found.changes)).index(("level point", "", 1))
    for k, key in enumerate(found.keys):
        effect = found.effects[i, k, 0]
        if key == "pitch":
            # The new level point was tilted by 5 mm / 12 ft, so the boot tips back by that.
            assert effect == pytest.approx(-np.degrees(5 / feet(12)), rel=1e-3)
        elif np.isfinite(effect):
            assert abs(effect) < 0.02


def test_effects_within_a_day_are_marked() -> None:
    found = single_change_map(THREE, ALL)
    assert found.bands.shape == found.effects.shape[1:]
    seen = found.beyond_band
    assert not seen[np.isnan(found.effects)].any()
    changes, keys = list(map(which, found.changes)), list(found.keys)
    deeper = changes.index(("hollow", "", -1))
    stride = found.moment_index("stride push")
    assert seen[deeper, keys.index("hold"), stride]
    assert not seen[deeper, keys.index("carve"), stride]
    with pytest.raises(ValueError, match="no moment is called 'jump'"):
        found.table("jump")
    table = found.table("stride push")
    assert table.loc[("hollow", "", inches("1/2"), inches("7/16")), "hold_percent"] == pytest.approx(
        found.effects[deeper, keys.index("hold"), stride]
    )


def test_each_change_changes_one_thing() -> None:
    for blade in (SINGLE, THREE):
        for change in single_changes(blade):
            assert len(what_differs(blade, change.blade)) == 1, which(change)


def test_a_change_is_its_numbers_and_no_words() -> None:
    for blade in (SINGLE, THREE):
        for change in single_changes(blade):
            rocker, after = blade.rocker, change.blade
            of = {"blend": lambda b: b.rocker.blend_mm, "level point": lambda b: b.rocker.pivot_mm}
            of |= {
                "hollow": lambda b: b.hollow.radius_mm,
                "whole shape": lambda b: b.rocker.zones[0].radius_mm,
            }
            zone = zone_names(rocker).index(change.zone) if change.zone else 0
            of["radius"] = lambda b, zone=zone: b.rocker.zones[zone].radius_mm
            assert (change.from_mm, change.to_mm) == (of[change.part](blade), of[change.part](after))
            texts = [value for value in vars(change).values() if isinstance(value, str)]
            assert not any(letter.isdigit() for text in texts for letter in text), texts


def test_what_can_not_be_ground_is_left_out() -> None:
    small = replace(THREE, rocker=replace(THREE.rocker, zones=(Zone(feet(1.5), 90), *THREE.rocker.zones[1:])))
    found = list(map(which, single_changes(small)))
    assert ("radius", "heel", -1) not in found and ("whole shape", "", -1) not in found
    assert ("radius", "heel", 1) in found
    stepped = replace(THREE, rocker=replace(THREE.rocker, blend_mm=0.0))
    assert "blend" not in {c.part for c in single_changes(stepped) if c.direction < 0}
    full = replace(THREE, rocker=replace(THREE.rocker, blend_mm=80.0))
    assert [(c.from_mm, c.to_mm) for c in single_changes(full) if c.part == "blend"] == [(80.0, 60.0)]


def test_the_next_usual_hollow() -> None:
    assert hollow_step(Hollow(inches("5/8"), 3.0), 1).radius_mm == inches("11/16")
    assert hollow_step(Hollow(inches("5/8"), 3.0), -1).radius_mm == inches("9/16")
    assert hollow_step(Hollow(16.0, 3.0), -1).radius_mm == inches("9/16")  # 16 mm is 5/8 in, written in mm
    assert hollow_step(Hollow(inches("1 1/2"), 3.0), 1) is None
    assert hollow_step(Hollow(inches("1/4"), 3.0), -1) is None


def test_an_effect_on_friction_is_beyond_its_band_on_every_ice_held_possible() -> None:
    moment = NAMED["tight turn"]
    blade = Blade(Rocker.single(1800.0, 280.0), Hollow(15.875, 2.9))
    found = single_change_map(blade, Conditions(75.0, moments=(moment,)), ["friction"])
    beyond = np.argwhere(np.abs(found.effects[:, 0, 0]) > found.bands[0, 0])
    assert {(int(i), 0) for (i,) in beyond} == set(found.over_ices) != set()
    for (i, _), span in found.over_ices.items():
        mu = [
            solve_friction(one, moment.stance(75.0), all_possible(-5.0), 6.0).total
            for one in (blade, found.changes[i].blade)
        ]
        more = 100 * (mu[1] / mu[0] - 1)
        assert (span.low, span.high) == pytest.approx((more.min(), more.max()), rel=1e-6)
        assert span.drop_test == pytest.approx(found.effects[i, 0, 0], rel=1e-6)
        assert found.beyond_band[i, 0, 0] == (min(abs(more)) > found.bands[0, 0])
        # On an ice on which nothing is left of it, it would be lost.
        nothing = Span(span.drop_test, span.pressed, -0.1, span.high)
        assert not replace(found, over_ices={(i, 0): nothing}).beyond_band[i, 0, 0]
