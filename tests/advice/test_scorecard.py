"""The scorecard: the values of the physics, bands that hold, plain sentences, a table on disk."""

import datetime
import re

import numpy as np
import pandas as pd
import pytest

from bladelab import Blade, Hollow, Rocker, feet
from bladelab.advice.evaluate import evaluate
from bladelab.advice.quantities import QUANTITIES
from bladelab.advice.scorecard import scorecard
from bladelab.physics.days import difference
from tests.advice.blades import ALL, NAMED, SINGLE, THREE

LONGER = Blade(Rocker.single(feet(13), 280), SINGLE.hollow)


def test_the_same_blade_twice_differs_in_nothing() -> None:
    card = scorecard(THREE, THREE, ALL)
    assert all(line.verdict == "too small" and line.change == 0 for line in card.lines)
    assert all("no difference is large enough to feel or to measure" in said for said in card.sentences())


def test_each_line_is_present_and_trial_in_the_physics() -> None:
    card = scorecard(SINGLE, THREE, ALL)
    before, after = evaluate(SINGLE, ALL), evaluate(THREE, ALL)
    names = [moment.name for moment in ALL.moments]
    for line in card.lines:
        i, key = names.index(line.moment.name), line.quantity.key
        # Solved in one call with the draws: the same to rounding.
        alone = (before[key][i], after[key][i])
        assert (line.present, line.trial) == pytest.approx(alone, rel=1e-9, abs=1e-9)
    # Friction means something in the 3 gliding moments, hold and carve radius in the 4 leaned ones.
    assert len(card.lines) == 5 * 6 + 3 + 2 * 4


def test_the_bands_are_those_of_the_uncertainty_room() -> None:
    from bladelab import solve_contact

    moment = NAMED["stride push"]
    card = scorecard(SINGLE, LONGER, ALL, n=100)
    line = next(x for x in card.lines if (x.moment.name, x.quantity.key) == ("stride push", "bite"))
    alone = difference(
        lambda stance, ice: solve_contact(SINGLE, stance, ice).depth_mm,
        lambda stance, ice: solve_contact(LONGER, stance, ice).depth_mm,
        moment.stance(ALL.mass_kg),
        ALL.ice,
        n=100,
    )
    for name in ("present", "trial", "same_day", "other_day"):
        assert getattr(line.difference, name).half_width == pytest.approx(
            getattr(alone, name).half_width, rel=1e-6
        )


def test_directions_that_practice_states() -> None:
    # PRACTICE, no source: a larger shape is steadier and turns wider; a smaller one is quicker.
    card = scorecard(SINGLE, LONGER, ALL)
    for line in card.lines:
        if line.quantity.key == "rock":
            assert line.change < 0 and line.verdict == "shows"
        if line.quantity.key == "carve":
            assert line.change > 0 and line.verdict == "shows"
        if line.quantity.key == "length":
            assert line.change > 0


def test_what_is_smaller_than_a_day_is_not_called_a_difference() -> None:
    nearly = Blade(SINGLE.rocker, Hollow(SINGLE.hollow.radius_mm * 1.02, 3.0))
    card = scorecard(SINGLE, nearly, ALL)
    bites = {line.moment.name: line.verdict for line in card.lines if line.quantity.key == "bite"}
    assert bites["one-foot glide"] == "same day only"  # 1.3 %
    assert bites["tight turn"] == "too small"  # less than 1 %
    said = card.sentences("one-foot glide")
    assert len(said) == 1 and said[0].endswith(", but within day-to-day variation.")
    with pytest.raises(ValueError, match="no moment is called 'jump'"):
        card.sentences("jump")


def test_the_table_goes_to_disk_whole_and_over_nothing(tmp_path) -> None:
    card = scorecard(SINGLE, LONGER, ALL)
    file = card.save_csv(tmp_path / "deep" / "card.csv")
    back = pd.read_csv(file, keep_default_na=False, na_values=[""], comment="#")
    columns = ["present", "trial", "percent"]
    pd.testing.assert_frame_equal(back[columns], card.table()[columns], rtol=5.001e-4)
    assert set(back.quantity) == {q.said for q in QUANTITIES.values()}
    assert "score" not in set(back.columns)
    before = file.read_bytes()
    with pytest.raises(FileExistsError, match=r"card[.]csv is there already"):
        card.save_csv(file)
    assert file.read_bytes() == before
    assert [p.name for p in file.parent.iterdir()] == ["card.csv"]
    assert np.isnan(back.percent[back.quantity == "pitch"]).all()


def test_a_saved_table_carries_the_blades_and_the_date_and_sensible_digits(tmp_path) -> None:
    text = scorecard(SINGLE, LONGER, ALL).as_csv(datetime.date(2026, 10, 5)).decode()
    notes = [line for line in text.splitlines() if line.startswith("# ")]
    assert notes[0] == "# scorecard of 2026-10-05" and len(notes) == 4
    for note, blade in zip(notes[1:3], (SINGLE, LONGER), strict=True):
        assert f"{blade.rocker.zones[0].radius_mm:.6g} over" in note
        assert f"hollow {blade.hollow.radius_mm:g} mm" in note
    assert notes[3] == "# skater 75 kg, gliding at 6 m/s, ice -5 °C"
    numbers = re.findall(r"(?<=,)-?[0-9.]+(?=,|$)", text)
    assert len(numbers) > 100
    assert not [number for number in numbers if 0 < abs(float(number)) < 1e-9], "a zero is written as 0"
    assert all(len(number.lstrip("-0.").replace(".", "")) <= 4 for number in numbers)
