"""Blade files: saved and loaded exactly, refused with a sentence when damaged, never half written."""

import errno
import json
import random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bladelab import Blade, Hollow, InputError, Rocker, Zone
from bladelab.advice.blade_file import load_blade, save_blade
from tests.advice.blades import SINGLE, THREE


@pytest.fixture
def file(tmp_path):
    return save_blade(tmp_path / "three.json", THREE, "three zones, åäö")


def test_a_blade_comes_back_as_it_was(file) -> None:
    assert load_blade(file) == ("three zones, åäö", THREE)
    document = json.loads(file.read_text(encoding="utf-8"))
    assert document["version"] == 1
    assert set(document) == {"file", "version", "name", "rocker", "hollow"}  # nothing about a person


@given(
    st.lists(st.tuples(st.floats(1000, 9000), st.floats(50, 150)), min_size=1, max_size=5),
    st.floats(0, 40),
    st.floats(-20, 20),
    st.floats(5, 40),
)
def test_every_number_survives(tmp_path_factory, zones, blend, pivot, hollow) -> None:
    blade = Blade(Rocker(tuple(Zone(*z) for z in zones), blend, pivot), Hollow(hollow, 2.9))
    path = tmp_path_factory.mktemp("blade") / "b.json"
    assert load_blade(save_blade(path, blade, "b"))[1] == blade


def test_dull_edges_survive_and_a_file_without_them_has_sharp_ones(tmp_path) -> None:
    dull = Blade(SINGLE.rocker, Hollow(12.7, 2.9, 0.02))
    path = save_blade(tmp_path / "dull.json", dull, "dull")
    document = json.loads(path.read_text(encoding="utf-8"))
    assert document["hollow"]["edge_radius_mm"] == 0.02
    assert load_blade(path)[1] == dull
    # As files were written before edges could be dull; sharp ones still are.
    del document["hollow"]["edge_radius_mm"]
    path.write_text(json.dumps(document), encoding="utf-8")
    sharp = Blade(SINGLE.rocker, Hollow(12.7, 2.9))
    assert load_blade(path)[1] == sharp
    again = json.loads(save_blade(tmp_path / "sharp.json", sharp, "dull").read_text(encoding="utf-8"))
    assert again == document


def test_nothing_is_written_over_unless_it_is_said(file) -> None:
    before = file.read_bytes()
    with pytest.raises(FileExistsError, match=r"three[.]json is there already"):
        save_blade(file, SINGLE, "other")
    assert file.read_bytes() == before
    save_blade(file, SINGLE, "other", replace=True)
    assert load_blade(file) == ("other", SINGLE)
    assert [p.name for p in file.parent.iterdir()] == ["three.json"]


def test_a_save_that_fails_leaves_the_old_file(file, monkeypatch) -> None:
    before = file.read_bytes()

    def fail(*_args) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr("os.fsync", fail)
    with pytest.raises(InputError, match=r"three\.json: it can't be written: the disk is full"):
        save_blade(file, SINGLE, "other", replace=True)
    assert file.read_bytes() == before
    assert [p.name for p in file.parent.iterdir()] == ["three.json"]


def changed(file, how: dict) -> None:
    document = json.loads(file.read_text(encoding="utf-8")) | how
    file.write_text(json.dumps(document), encoding="utf-8")


HOLLOW = {"radius_mm": 12.7, "width_mm": 3.0}
ROCKER = {"zones": [{"radius_mm": 3048, "length_mm": 280}], "blend_mm": 0, "pivot_mm": 0}


@pytest.mark.parametrize(
    ("how", "why"),
    [
        ({"version": 2}, "its version is 2; this program reads version 1"),
        ({"version": True}, "its version is True"),
        ({"file": "recipe"}, 'it is not marked "file": "bladelab blade"'),
        (
            {"hollow": HOLLOW | {"edge_radius_mm": 1.5}},
            "edge_radius_mm is 1.5 mm; it must be below half",
        ),
        ({"hollow": HOLLOW | {"edge_radius_mm": "dull"}}, "edge_radius_mm is 'dull'; it must be a number"),
        ({"name": ""}, "name is ''; it must be one line of 1 to 60 characters"),
        ({"name": "x" * 61}, "it must be one line of 1 to 60"),
        ({"name": "a\nb"}, "one line"),
        ({"name": 7}, "name is '7'"),
        ({"skater": "K07"}, "the file holds 'skater', which no blade file of version 1 has"),
        ({"hollow": {"radius_mm": 12.7}}, "hollow has no width_mm"),
        ({"hollow": [12.7, 3]}, "hollow is .* it must hold radius_mm, width_mm"),
        ({"hollow": HOLLOW | {"radius_mm": "12.7"}}, "radius_mm is '12.7'; it must be a number"),
        ({"hollow": HOLLOW | {"radius_mm": 1.0}}, "radius_mm is 1 mm; it must be above half the width"),
        ({"hollow": HOLLOW | {"radius_mm": 10**400}}, "radius_mm is too large"),
        ({"rocker": ROCKER | {"zones": []}}, "zones must be a list of 1 to 50"),
        ({"rocker": ROCKER | {"zones": [[3048, 280]]}}, "zone is .* it must hold"),
        ({"rocker": ROCKER | {"pivot_mm": 300}}, "pivot_mm is 300 mm"),
        ({"rocker": ROCKER | {"pivot_mm": None}}, "pivot_mm is None; it must be a number"),
    ],
)
def test_a_wrong_file_is_refused_with_a_sentence(file, how, why) -> None:
    changed(file, how)
    with pytest.raises(ValueError, match=why) as error:
        load_blade(file)
    assert str(error.value).startswith("three.json can't be read as a blade: ")


@pytest.mark.parametrize(
    ("contents", "why"),
    [
        (b"", "it is not JSON"),
        (b"\xff\xfe{\x00", "it is not UTF-8 text"),
        (b"[" * 100_000, "nested too deep|not JSON"),
        (b'{"file": "bladelab blade", "version": 1, "version": 1}', "'version' appears twice"),
        (b'{"file": "bladelab blade", "version": NaN}', "NaN is not a number"),
        (b" " * 1_100_000, "has 1.1 MB; a saved blade has at most 0.1 MB"),
    ],
)
def test_what_is_no_blade_file_is_refused(tmp_path, contents, why) -> None:
    path = tmp_path / "odd.json"
    path.write_bytes(contents)
    with pytest.raises(ValueError, match=why):
        load_blade(path)


def test_a_thousand_damaged_files_are_read_or_refused(file) -> None:
    rng, whole = random.Random(5), file.read_bytes()
    for _ in range(1000):
        damaged = bytearray(whole)
        for _ in range(rng.randint(1, 4)):
            at = rng.randrange(len(damaged))
            if rng.random() < 0.5:
                damaged[at] = rng.randrange(256)
            else:
                del damaged[at : at + rng.randint(1, 40)]
        file.write_bytes(damaged)
        try:
            name, blade = load_blade(file)
        except ValueError as problem:
            assert "can't be read as a blade" in str(problem)
        else:
            assert isinstance(name, str) and isinstance(blade, Blade)


def test_no_such_file(tmp_path) -> None:
    with pytest.raises(InputError, match=r"none\.json: there is no such file"):
        load_blade(tmp_path / "none.json")


def test_a_family_of_hollows_is_no_blade(tmp_path) -> None:
    with pytest.raises(ValueError, match="a file holds one blade"):
        save_blade(tmp_path / "many.json", Blade(SINGLE.rocker, Hollow([9.0, 12.7], 3.0)), "many")
    assert not list(tmp_path.iterdir())
