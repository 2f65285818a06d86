"""What can't be solved: a ValueError that names value and range, or in an array NaN with a reason."""

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Moment, Rocker, Stance, solve_contact
from tests.physics.stances import COMPARED

BLADE = Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0))


@pytest.mark.parametrize(
    ("build", "message"),
    [
        (lambda: Stance(0.0), r"load_N is 0 N; it must be above 0 N"),
        (lambda: Stance(-5.0), r"load_N is -5 N; it must be above 0 N"),
        (lambda: Stance(np.nan), r"load_N is nan N"),
        (lambda: Stance(np.inf), r"load_N is inf N"),
        (lambda: Stance("heavy"), r"load_N is 'heavy'; it must be a number"),
        (lambda: Stance([700.0, -1.0]), r"load_N is -1 N"),
        (lambda: Stance(700.0, np.nan), r"position_mm is nan mm"),
        (lambda: Stance(700.0, 0.0, -1.0), r"lean_deg is -1 deg; it must be at least 0 deg and below 90 deg"),
        (lambda: Stance(700.0, 0.0, 90.0), r"lean_deg is 90 deg; it must be at least 0 deg and below 90 deg"),
        (lambda: Stance(700.0, 0.0, [0.0, np.nan]), r"lean_deg is nan deg"),
        (
            lambda: Stance([700.0, 800.0], [0.0, 1.0, 2.0]),
            r"load_N, position_mm have shapes \[\(2,\), \(3,\)\] that do not broadcast",
        ),
        (lambda: Ice(1.0), r"temperature_C is 1 °C; it must be at least -30 °C and at most 0 °C"),
        (lambda: Ice(-31.0), r"temperature_C is -31 °C; it must be at least -30 °C"),
        (lambda: Ice(np.nan), r"temperature_C is nan °C"),
        (lambda: Ice([-5.0, 3.0]), r"temperature_C is 3 °C"),
        (
            lambda: Moment("a", 1.0, 0.0, 0.0, False, "").stance(0.0),
            r"mass_kg is 0 kg; .* above 0 kg .* 200 kg",
        ),
        (
            lambda: Moment("a", 1.0, 0.0, 0.0, False, "").stance(201.0),
            r"mass_kg is 201 kg; .* at most 200 kg",
        ),
    ],
)
def test_impossible_arguments_are_refused(build: object, message: str) -> None:
    with pytest.raises(ValueError, match=message):
        build()  # type: ignore[operator]


def test_shapes_that_do_not_go_together_are_refused() -> None:
    with pytest.raises(ValueError, match="do not broadcast"):
        solve_contact(BLADE, Stance([700.0, 800.0]), Ice([-5.0, -4.0, -3.0]))


@pytest.mark.parametrize(
    ("stance", "message"),
    [
        (Stance(736.0, 141.0), r"position_mm is 141 mm; .* within 13\d\.\d+ mm of mid-length"),
        (Stance(736.0, -500.0), r"position_mm is -500 mm; .* within 13\d\.\d+ mm of mid-length"),
        (Stance(736.0, 139.9), r"position_mm is 139.9 mm; .* within 13\d\.\d+ mm of mid-length"),
        (Stance(736.0, 0.0, 84.0), r"lean_deg is 84 deg; .* side wall .* below 83.22 deg"),
        (Stance(1e6), r"load is too great: it would sink the whole runner of 280 mm"),
    ],
)
@pytest.mark.parametrize("gliding", [False, True])
def test_a_stance_that_cannot_be_is_refused(stance: Stance, message: str, gliding: bool) -> None:
    with pytest.raises(ValueError, match=message):
        solve_contact(BLADE, stance, Ice(), gliding=gliding)


@pytest.mark.parametrize("gliding", [False, True])
def test_inside_an_array_it_is_nan_with_the_reason(gliding: bool) -> None:
    stance = Stance(
        np.array([736.0, 736.0, 736.0, 1e6, 736.0]),
        np.array([0.0, 141.0, 0.0, 0.0, 30.0]),
        np.array([0.0, 0.0, 84.0, 0.0, 20.0]),
    )
    found = solve_contact(BLADE, stance, Ice(), gliding=gliding)
    solved = np.array([True, False, False, False, True])
    for name in COMPARED:
        np.testing.assert_array_equal(np.isnan(getattr(found, name)), ~solved, err_msg=name)
    np.testing.assert_array_equal(found.reason == "", solved)
    for word, reason in zip(
        ("position_mm is 141 mm", "side wall", "too great"), found.reason[1:4], strict=True
    ):
        assert word in reason
    assert not found.reaches_end[~solved].any()
    # The neighbours of a stance that cannot be solved are what they are without it.
    alone = solve_contact(BLADE, Stance(736.0, 30.0, 20.0), Ice(), gliding=gliding)
    assert found.depth_mm[4] == pytest.approx(alone.depth_mm, rel=1e-9)


def test_an_array_of_nothing_but_impossible_stances_gives_reasons_only() -> None:
    found = solve_contact(BLADE, Stance([736.0, 736.0], 150.0), Ice())
    assert np.isnan(found.depth_mm).all()
    assert all("position_mm is 150 mm" in reason for reason in found.reason)


def test_an_empty_array_gives_empty_arrays() -> None:
    found = solve_contact(BLADE, Stance(np.empty((0, 3))), Ice())
    assert found.depth_mm.shape == found.reason.shape == (0, 3)


@pytest.mark.parametrize("gliding", [False, True])
def test_up_to_the_end_of_the_runner_it_is_solved_or_refused_never_wrong(gliding: bool) -> None:
    places = np.linspace(-145.0, 145.0, 581)
    found = solve_contact(BLADE, Stance(736.0, places, 20.0), Ice(), gliding=gliding)
    solved = found.reason == ""
    assert np.all(np.isnan(found.depth_mm) == ~solved)
    # One stretch without a gap is solved, nearly to the ends, and the contact there is under its load.
    assert solved[np.abs(places) < 130.0].all()
    assert not solved[np.abs(places) > 139.0].any()
    assert np.all(np.diff(np.nonzero(solved)[0]) == 1)
    assert np.all(found.heel_end_mm[solved] < places[solved])
    assert np.all(found.toe_end_mm[solved] > places[solved])
    assert np.nanmax(np.abs(found.force_error)) < 1e-9
    assert np.nanmax(np.abs(found.moment_error)) < 1e-9


@pytest.mark.parametrize("name", ["depth_mm", "blade", "reason"])
def test_a_contact_cannot_be_changed(name: str) -> None:
    found = solve_contact(BLADE, Stance(736.0), Ice())
    with pytest.raises(AttributeError):
        setattr(found, name, 0)


def test_the_givens_cannot_be_changed_behind_a_stance() -> None:
    loads = np.array([700.0, 800.0])
    stance = Stance(loads)
    loads[0] = -1.0
    assert stance.load_N[0] == 700.0
    with pytest.raises(ValueError, match="read-only"):
        stance.load_N[0] = -1.0
