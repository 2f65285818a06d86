"""The trial log: what is appended is read back; whatever is wrong with a file, nothing in it is lost."""

import dataclasses
import datetime
import os
from string import ascii_letters, digits

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bladelab import Blade, Hollow, InputError, Rocker, Zone, feet
from bladelab._files import Kind
from bladelab._locked import locked
from bladelab.advice.trial import LONGEST_NOTE, RATINGS, TRIAL_COLUMNS, Trial, warnings_of, what_changed
from bladelab.advice.trial_log import TrialLog
from tests.advice.blades import DAY, FIRST, SECOND, SINGLE

DULL = Blade(SINGLE.rocker, Hollow(12.7, 3.0, 0.02))


def test_what_is_appended_is_read_back(log) -> None:
    reading = log.read()
    assert reading.trials == (FIRST, SECOND) and reading.damage == () and reading.lines == (2, 3)
    assert reading.skaters == ("K07",) and reading.of("K07") == (FIRST, SECOND) and reading.of("Z1") == ()
    assert log.path.read_text(encoding="utf-8").splitlines()[0] == ",".join(TRIAL_COLUMNS)


LINES = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=60)
LENGTHS = st.floats(50, 150)
# The letters are named, or hypothesis looks for them among all of Unicode, which takes seconds.
CODES = st.from_regex(
    r"[A-Za-z-]{0,3}[0-9][A-Za-z0-9-]{0,8}", fullmatch=True, alphabet=f"{ascii_letters}{digits}-"
)


@pytest.mark.slow
@given(
    st.dates(datetime.date(2000, 1, 1), datetime.date(2100, 12, 31)),
    CODES,
    st.lists(st.tuples(st.floats(1000, 9000), LENGTHS), min_size=1, max_size=4),
    st.floats(0, 40),
    st.floats(-20, 20),
    st.floats(5, 40),
    st.fixed_dictionaries({}, optional={k: st.integers(r.low, r.high) for k, r in RATINGS.items()}),
    LINES,
    LINES,
)
def test_any_trial_survives_the_file(
    tmp_path_factory, date, skater, zones, blend, pivot, hollow, ratings, name, note
) -> None:
    blade = Blade(Rocker(tuple(Zone(*z) for z in zones), blend, pivot), Hollow(hollow, 2.9))
    trial = Trial(date, skater, blade, ratings, name, "", note)
    log = TrialLog(tmp_path_factory.mktemp("any") / "log.csv")
    log.append(trial)
    assert log.read().trials == (trial,), log.path.read_bytes()


@pytest.mark.parametrize("contents", [None, b"", b"\n", b" \r\n\n"])
def test_an_empty_log_reads_as_no_trials_and_can_be_begun(tmp_path, contents) -> None:
    log = TrialLog(tmp_path / "new" / "trials.csv")
    if contents is not None:
        log.path.parent.mkdir()
        log.path.write_bytes(contents)
    assert log.read().trials == ()
    log.append(FIRST)
    assert log.read().trials == (FIRST,)


DAMAGE = [
    (b"2026-10-12,K07", "it has 2 cells; the log has 16 columns"),
    (b"2026-13-12,K07,,3048x280,0,0,12.7,3,0,,4,,,,,", "date is '2026-13-12'; it must be a date such as"),
    (b"2026-10-12,Jan,,3048x280,0,0,12.7,3,0,,4,,,,,", "skater is 'Jan'; it must be a code"),
    (b"2026-10-12,K07,,3048 280,0,0,12.7,3,0,,4,,,,,", "zones_mm is '3048 280'; it must be radius x length"),
    (b"2026-10-12,K07,,,0,0,12.7,3,0,,4,,,,,", "zones_mm is ''"),
    (b"2026-10-12,K07,,3048x-280,0,0,12.7,3,0,,4,,,,,", "each number in it must be above 0"),
    (b"2026-10-12,K07,,3048x280,0,0,ten,3,0,,4,,,,,", "hollow_mm is 'ten'; it must be a number"),
    (b"2026-10-12,K07,,3048x280,0,0,nan,3,0,,4,,,,,", "hollow_mm is 'nan'; it must be a number"),
    (b"2026-10-12,K07,,3048x280,0,400,12.7,3,0,,4,,,,,", "pivot_mm is 400 mm; it must be at least -140 mm"),
    (b"2026-10-12,K07,,3048x280,0,0,12.7,3,0,,9,,,,,", "glide is 9; it must be a whole number from 1 to 5"),
    (
        b"2026-10-12,K07,,3048x280,0,0,12.7,3,0,,4.5,,,,,",
        "glide is '4.5'; it must be a whole number",
    ),
    (
        b"2026-10-12,K07,,3048x280,0,0,12.7,3,0,,4,,,,3,",
        "balance is 3; it must be a whole number from -2",
    ),
    (
        b"2026-10-12,K07,,3048x280,0,0,12.7,3,2,,4,,,,,",
        "edge_radius_mm is 2 mm; it must be below half",
    ),
    (b'2026-10-12,K07,"open,3048x280,0,0,12.7,3,0,,4,,,,,', "a quotation mark in it is not closed"),
    (b"2026-10-12,K07,,3048x280,0,0,12.7,3,0,,4,,,,,caf\xe9", "it holds a character that is not UTF-8"),
    (b"\x00\x00\x00\x00\x00\x00", "it contains something that isn't text"),
    (b"x" * 30_000, "it has 30000 characters"),
]


@pytest.mark.parametrize(("line", "why"), DAMAGE, ids=[why for _, why in DAMAGE])
def test_a_damaged_row_is_reported_with_its_line_and_left_in_place(log, line, why) -> None:
    whole = log.path.read_bytes().splitlines(keepends=True)
    log.path.write_bytes(whole[0] + whole[1] + line + b"\n" + whole[2])
    before = log.path.read_bytes()
    reading = log.read()
    assert reading.trials == (FIRST, SECOND) and reading.lines == (2, 4)
    assert [damage.line for damage in reading.damage] == [3]
    assert why in reading.damage[0].why and str(reading.damage[0]).startswith("line 3: ")
    log.append(SECOND)
    assert log.path.read_bytes()[: len(before)] == before
    assert log.read().trials == (FIRST, SECOND, SECOND)


@pytest.mark.slow
def test_wherever_a_crash_cuts_the_last_row_it_is_told_and_all_else_is_kept(log) -> None:
    log.append(dataclasses.replace(SECOND, note='ends in "marks", and more, "'))
    whole = log.path.read_bytes()
    start = whole.rindex(b"\n", 0, -1) + 1
    for cut in range(start, len(whole), 2):
        log.path.write_bytes(whole[:cut])
        before = log.read()
        assert before.trials == (FIRST, SECOND) and len(before.damage) == (cut > start), cut
        log.append(SECOND)
        assert log.path.read_bytes().startswith(whole[:cut])
        # The cut row is never taken for a whole one, even if the process that goes on is cut off too.
        for again in (log.path.read_bytes(), log.path.read_bytes()[:-3], whole[:cut] + b'" cut'):
            log.path.write_bytes(again)
            reading = log.read()
            assert all(trial in (FIRST, SECOND) for trial in reading.trials), cut
            assert len(reading.damage) >= (cut > start), cut


FOREIGN = [
    ("date;skater".encode("utf-16"), "not UTF-8 text .UTF-16, it seems"),
    (b"caf\xe9,date\n", "not UTF-8 .byte 0xe9.; save the file as 'CSV UTF-8'"),
    (b"time,place\n1,2\n", "is no trial log: its first line must name each of the columns"),
    (",".join((*TRIAL_COLUMNS, "date")).encode(), "wrong are date"),
    (b"PK\x03\x04\x00\x00\x00", "it contains something that isn't text"),
    (b"\x89PNG\r\n\x1a\n", "is no trial log: line 1: it holds a character that is not UTF-8"),
]


@pytest.mark.parametrize(("contents", "why"), FOREIGN, ids=[why for _, why in FOREIGN])
def test_a_file_that_is_no_log_is_refused_and_left_as_it_is(tmp_path, contents, why) -> None:
    log = TrialLog(tmp_path / "other.csv")
    log.path.write_bytes(contents)
    with pytest.raises(ValueError, match=why):
        log.read()
    with pytest.raises(ValueError, match=why):
        log.append(FIRST)
    assert log.path.read_bytes() == contents


def test_a_log_from_before_edges_were_kept_goes_on_with_sharp_ones_only(log) -> None:
    rows = [line.split(",") for line in log.path.read_text(encoding="utf-8").splitlines()]
    at = rows[0].index("edge_radius_mm")
    log.path.write_text("".join(",".join(row[:at] + row[at + 1 :]) + "\n" for row in rows), encoding="utf-8")
    assert log.read().trials == (FIRST, SECOND) and not log.read().damage
    log.append(FIRST)
    assert log.read().trials == (FIRST, SECOND, FIRST) and not log.read().damage
    before, dull = log.path.read_bytes(), dataclasses.replace(SECOND, blade=DULL)
    with pytest.raises(InputError, match=r"edge_radius_mm is 0.02, and this log has no such column"):
        log.append(dull)
    assert log.path.read_bytes() == before


def test_dull_edges_are_kept_and_said(log) -> None:
    log.append(dull := dataclasses.replace(SECOND, blade=DULL))
    assert log.read().trials[-1] == dull
    assert log.read().trials[-1].blade.hollow.edge_radius_mm == 0.02
    assert what_changed(Blade(DULL.rocker, Hollow(12.7, 3.0)), DULL) == "edges"


def test_a_huge_log_is_refused_for_reading_but_still_takes_a_trial(log, monkeypatch) -> None:
    monkeypatch.setattr("bladelab.advice.trial_log.TRIAL_LOG", Kind("a trial log", 100))
    with pytest.raises(ValueError, match=r"trials.csv: the file has .* MB; a trial log has at most"):
        log.read()
    before = log.path.read_bytes()
    log.append(FIRST)
    assert log.path.read_bytes().startswith(before)
    monkeypatch.undo()
    assert log.read().trials == (FIRST, SECOND, FIRST)


@pytest.mark.slow
def test_a_long_log_is_read(tmp_path) -> None:
    log = TrialLog(tmp_path / "long.csv")
    log.append(FIRST)
    row = log.path.read_bytes().splitlines(keepends=True)[1]
    with open(log.path, "ab") as file:
        file.write(row * 4_000)
    assert len(log.read().trials) == 4_001


@pytest.mark.parametrize(
    ("how", "why"),
    [
        ({"date": "2026-10-05"}, "date is '2026-10-05'; it must be a date"),
        ({"date": datetime.date(1066, 1, 1)}, "it must be from 2000 to 2100"),
        ({"skater": "Anna Berg"}, "skater is 'Anna Berg'; it must be a code"),
        ({"skater": "Anna"}, "with a digit in it, such as K07, and no name"),
        ({"ratings": {"speed": 3}}, "no rating is called 'speed'; there are glide"),
        ({"ratings": {"hold": 0}}, "hold is 0; it must be a whole number from 1 to 5"),
        ({"ratings": {"hold": True}}, "hold is True"),
        ({"note": "two\nlines"}, "note is .* it must be one line"),
        ({"note": "x" * (LONGEST_NOTE + 1)}, "it must be one line of at most 1000 characters"),
        ({"blade": Blade(SINGLE.rocker, Hollow([12.7, 15.0], 3.0))}, "a trial is of one blade"),
    ],
)
def test_a_trial_that_makes_no_sense_is_refused(how, why) -> None:
    with pytest.raises(ValueError, match=why):
        Trial(**({"date": DAY, "skater": "K07", "blade": SINGLE} | how))


def test_a_trial_that_changed_more_than_one_thing_is_warned_of() -> None:
    one = Trial(DAY, "K07", Blade(SINGLE.rocker, Hollow(12.7, 3.0)))
    both = Trial(DAY, "K07", Blade(Rocker.single(feet(11), 280), Hollow(15.875, 3.0)))
    assert warnings_of([FIRST, one]) == []
    (said,) = warnings_of([FIRST, one, both, both])
    assert "changed 2 things since 2026-10-05 (radius of the rocker, hollow): you won't know which" in said
    assert what_changed(None, SINGLE) == "first trial" and what_changed(SINGLE, SINGLE) == "nothing"
    assert what_changed(SINGLE, one.blade) == "hollow"


def test_a_trial_is_on_the_disk_before_it_is_called_saved(log, monkeypatch) -> None:
    forced = []
    sync = os.fsync

    def watched(handle: int) -> None:
        forced.append(log.path.read_bytes().count(b"\n"))
        sync(handle)

    monkeypatch.setattr("os.fsync", watched)
    log.append(FIRST)
    assert forced == [4]  # the names of the columns and three trials stood in the file when it was forced


def test_one_trial_is_taken_back_and_every_other_byte_stays(tmp_path) -> None:
    log = TrialLog(tmp_path / "trials.csv")
    one, two = (Trial(datetime.date(2026, 1, d), "K07", SINGLE, {"hold": d}) for d in (1, 2))
    for trial in (one, two, one):
        log.append(trial)
    with open(log.path, "ab") as file:
        file.write(b"2026-01-03,K07,cut sh\r\n\n")
    before = log.path.read_bytes().split(b"\n")
    log.take_back(one)  # the last of the two that are alike
    assert log.path.read_bytes() == b"\n".join(before[:3] + before[4:])
    assert log.read().trials == (one, two) and len(log.read().damage) == 1
    kept = log.path.read_bytes()
    with pytest.raises(ValueError, match="has no such trial of K07 on 2026-01-09; it was left unchanged"):
        log.take_back(Trial(datetime.date(2026, 1, 9), "K07", SINGLE, {"hold": 1}))
    assert log.path.read_bytes() == kept
    with pytest.raises(ValueError, match="has no such trial"):
        TrialLog(tmp_path / "none.csv").take_back(one)


def test_a_row_that_was_cut_short_is_named_with_its_line(log) -> None:
    log.path.write_bytes(log.path.read_bytes()[:-4])
    assert [str(d) for d in log.read().damage] == [
        "line 3: it has no line end, so it may have been cut short; if it is whole, put a line break after it"
    ]
    log.append(SECOND)
    assert [str(d) for d in log.read().damage] == [
        "line 3: it was cut short while it was written; complete it or delete it"
    ]
    assert log.read().trials == (FIRST, SECOND)


@pytest.mark.parametrize("length", [1, 10, len(",".join(TRIAL_COLUMNS))])
def test_a_log_cut_short_in_its_first_line_is_begun_again(tmp_path, length) -> None:
    log = TrialLog(tmp_path / "log.csv")
    log.path.write_text(",".join(TRIAL_COLUMNS)[:length])
    assert log.read().trials == ()
    log.append(FIRST)
    assert log.read().trials == (FIRST,) and not log.read().damage


def test_what_was_added_can_be_taken_back(log) -> None:
    before = log.path.read_bytes()
    log.append(FIRST)
    log.append(SECOND)
    log.take_back(SECOND)
    log.take_back(FIRST)
    assert log.path.read_bytes() == before
    log.path.write_bytes(before + b"damaged\n")
    log.take_back(FIRST)
    assert log.read().trials == (SECOND,) and log.path.read_bytes().endswith(b"damaged\n")
    with pytest.raises(InputError, match=r"trials[.]csv: it has no such trial of K07 on 2026-10-05"):
        log.take_back(FIRST)


def test_a_log_that_another_keeps_locked_is_told_and_not_waited_for_ever(log, monkeypatch) -> None:
    monkeypatch.setattr("bladelab._locked._PATIENCE_S", 0.05)
    with locked(log.path), pytest.raises(InputError, match=r"trials[.]csv: another program is writing to it"):
        log.append(FIRST)
    log.append(FIRST)


def test_what_writers_killed_long_ago_left_beside_the_log_is_taken_away(log) -> None:
    left = log.path.parent / ".unfinished-abc"
    left.write_bytes(b"half")
    os.utime(left, (1e9, 1e9))
    log.append(FIRST)
    assert not left.exists()
