"""Reading and using a stride."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Stride, read_stride, solve_contact, solve_friction

HEAD = "time_s,load_share,position_mm,lean_deg\n"


def test_the_stride_that_comes_along_says_that_it_is_assumed_and_can_be_solved() -> None:
    from bladelab.physics.stride import STRIDE_FILE

    assert "our own assumption, not a measurement" in STRIDE_FILE.read_text(encoding="utf-8")
    stride = read_stride().at_times(60)
    blade = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
    for mass in (30, 75, 130):
        assert not any(solve_contact(blade, stride.stance(mass), Ice()).reason)
        assert np.isfinite(solve_friction(blade, stride.stance(mass), Ice(), 5.0).total).all()
    # The other foot carries the rest, or hangs: on average no more than about all of the weight.
    mean = np.trapezoid(stride.load_share, stride.time_s) / np.ptp(stride.time_s)
    assert 0.8 < mean < 1.1


def test_one_call_is_the_single_stances() -> None:
    stride, blade, ice = read_stride(), Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0)), Ice()
    whole = solve_contact(blade, stride.stance(75), ice)
    for i in (0, 8, 16):
        load = stride.load_share[i] * 75 * 9.81
        one = solve_contact(blade, Stance(load, stride.position_mm[i], stride.lean_deg[i]), ice)
        assert whole.depth_mm[i] == pytest.approx(one.depth_mm, rel=1e-9)


def test_between_its_times_a_stride_is_straight() -> None:
    stride = Stride([0.0, 1.0], [0.5, 1.5], [0.0, 40.0], [0.0, 30.0]).at_times(5)
    assert stride.time_s == pytest.approx([0, 0.25, 0.5, 0.75, 1])
    assert stride.position_mm == pytest.approx([0, 10, 20, 30, 40])


def test_an_edited_file_is_read(tmp_path: Path) -> None:
    file = tmp_path / "mine.csv"
    file.write_text(
        "# mine\n" + "lean_deg,time_s,load_share,position_mm\n0,0,1,5\n\n10,0.5,1.2,6\n", "utf-8-sig"
    )
    stride = read_stride(file)
    assert stride.lean_deg.tolist() == [0, 10]
    assert stride.load_share.tolist() == [1, 1.2]


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (
            "time_s,lean_deg\n0,1\n",
            "there must be one column each of .* see load_share, position_mm",
        ),
        (HEAD + "0,1,0,0\n# remark\n0.1,much,0,0\n", "mine.csv: line 4: load_share is 'much'"),
        (HEAD + "0,1,0,0\n0.1,1,0,95\n", "mine.csv: line 3: lean_deg is 95 deg; it must be at least 0 deg"),
        (HEAD + "0,1,0,0\n0.1,1,0\n", "mine.csv: line 3 has no lean_deg"),
        (HEAD + "0.2,1,0,0\n0.1,1,0,0\n", "goes from 0.2 s to 0.1 s; it must rise"),
        (HEAD + "0,1,0,0\n", "at least 2"),
        ("", "the file is empty"),
    ],
)
def test_a_bad_file_is_refused_with_its_line(tmp_path: Path, text: str, complaint: str) -> None:
    file = tmp_path / "mine.csv"
    file.write_text(text, encoding="utf-8")
    with pytest.raises(ValueError, match=complaint):
        read_stride(file)
