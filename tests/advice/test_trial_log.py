"""The trial log: what is appended is read back; whatever is wrong with a file, nothing in it is lost."""

import datetime
import os
import signal
import subprocess
import sys
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from bladelab import Blade, Hollow, Rocker, Zone, feet
from bladelab._files import Kind
from bladelab.advice.trial import COLUMNS, LONGEST_NOTE, RATINGS, Trial, warnings_of, what_changed
from bladelab.advice.trial_log import TrialLog
from tests.advice.blades import SINGLE, THREE

DAY = datetime.date(2026, 10, 5)
FIRST = Trial(DAY, "K07", SINGLE, {"glide": 4, "balance": -1}, "the old one", "first trial", 'a "note", é 雪')
SECOND = Trial(DAY + datetime.timedelta(7), "K07", THREE, {"hold": 5}, changed="everything")


@pytest.fixture
def log(tmp_path):
    log = TrialLog(tmp_path / "trials.csv")
    log.append(FIRST)
    log.append(SECOND)
    return log


def test_what_is_appended_is_read_back(log) -> None:
    reading = log.read()
    assert reading.trials == (FIRST, SECOND) and reading.damage == () and reading.lines == (2, 3)
    assert reading.skaters == ("K07",) and reading.of("K07") == (FIRST, SECOND) and reading.of("Z1") == ()
    assert log.path.read_text(encoding="utf-8").splitlines()[0] == ",".join(COLUMNS)


LINES = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zl", "Zp"]), max_size=60)
LENGTHS = st.floats(50, 150)


@given(
    st.dates(datetime.date(2000, 1, 1), datetime.date(2100, 12, 31)),
    st.from_regex(r"[A-Za-z-]{0,3}[0-9][A-Za-z0-9-]{0,8}", fullmatch=True),
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
    (b"2026-10-12,K07", "it has 2 cells; the log has 15 columns"),
    (b"2026-13-12,K07,,3048x280,0,0,12.7,3,,4,,,,,", "date is '2026-13-12'; it must be a date such as"),
    (b"2026-10-12,Jan,,3048x280,0,0,12.7,3,,4,,,,,", "skater is 'Jan'; it must be a code"),
    (b"2026-10-12,K07,,3048 280,0,0,12.7,3,,4,,,,,", "zones_mm is '3048 280'; it must be radius x length"),
    (b"2026-10-12,K07,,,0,0,12.7,3,,4,,,,,", "zones_mm is ''"),
    (b"2026-10-12,K07,,3048x-280,0,0,12.7,3,,4,,,,,", "each number in it must be above 0"),
    (b"2026-10-12,K07,,3048x280,0,0,ten,3,,4,,,,,", "hollow_mm is 'ten'; it must be a number"),
    (b"2026-10-12,K07,,3048x280,0,0,nan,3,,4,,,,,", "radius_mm is nan mm"),
    (b"2026-10-12,K07,,3048x280,0,400,12.7,3,,4,,,,,", "pivot_mm is 400 mm; it must be at least -140 mm"),
    (b"2026-10-12,K07,,3048x280,0,0,12.7,3,,9,,,,,", "glide is 9; it must be a whole number from 1 to 5"),
    (b"2026-10-12,K07,,3048x280,0,0,12.7,3,,4.5,,,,,", "glide is '4.5'; it must be a whole number or empty"),
    (b"2026-10-12,K07,,3048x280,0,0,12.7,3,,4,,,,3,", "balance is 3; it must be a whole number from -2 to 2"),
    (b'2026-10-12,K07,"open,3048x280,0,0,12.7,3,,4,,,,,', "a quotation mark in it is not closed"),
    (b"2026-10-12,K07,,3048x280,0,0,12.7,3,,4,,,,,caf\xe9", "bytes that are not UTF-8 text"),
    (b"\x00\x00\x00\x00\x00\x00", "it has 1 cells"),
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


def test_wherever_a_crash_cuts_the_last_row_all_else_stands(log) -> None:
    whole = log.path.read_bytes()
    start = whole.index(b"\n", whole.index(b"\n") + 1) + 1
    for cut in range(start, len(whole)):
        log.path.write_bytes(whole[:cut])
        log.append(SECOND)
        assert log.path.read_bytes().startswith(whole[:cut])
        reading = log.read()
        # The cut row is whole, damaged or not begun; the others are there, and so is the new one.
        assert reading.trials[0] == FIRST and reading.trials[-1] == SECOND, cut
        assert len(reading.trials) + len(reading.damage) == 3 - (cut == start), cut


FOREIGN = [
    ("date;skater".encode("utf-16"), "not UTF-8 text .UTF-16, it seems"),
    (b"caf\xe9,date\n", "not UTF-8 text; save it"),
    (";".join(COLUMNS).encode(), "save it with commas"),
    ("\t".join(COLUMNS).encode(), "save it with commas"),
    (b"time,place\n1,2\n", "is no trial log: its first line must name each of the columns"),
    (",".join((*COLUMNS, "date")).encode(), "wrong are date"),
    (b"PK\x03\x04\x00\x00\x00", "UTF-16, it seems"),
    (b"\x89PNG\r\n\x1a\n", "not UTF-8 text"),
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


def test_a_log_saved_by_a_spreadsheet_is_read_and_goes_on(log) -> None:
    # A byte order mark, line ends of two characters, a column of the reader's own, the columns in another
    # order.
    rows = [line.split(",") for line in log.path.read_text(encoding="utf-8").splitlines()]
    head = ["weather", *reversed(rows[0])]
    row = ["snow", *reversed([*SECOND.cells().values()])]
    log.path.write_bytes("\r\n".join([",".join(head), ",".join(row), ""]).encode("utf-8-sig"))
    assert log.read().trials == (SECOND,)
    log.append(FIRST)
    reading = log.read()
    assert reading.trials == (SECOND, FIRST) and not reading.damage
    assert log.path.read_bytes().startswith(b"\xef\xbb\xbfweather,")


def test_a_huge_log_is_refused_for_reading_but_still_takes_a_trial(log, monkeypatch) -> None:
    monkeypatch.setattr("bladelab.advice.trial_log.TRIAL_LOG", Kind("a trial log", 100))
    with pytest.raises(ValueError, match=r"trials.csv: the file has .* MB; a trial log has at most"):
        log.read()
    before = log.path.read_bytes()
    log.append(FIRST)
    assert log.path.read_bytes().startswith(before)
    monkeypatch.undo()
    assert log.read().trials == (FIRST, SECOND, FIRST)


def test_a_long_log_is_read(tmp_path) -> None:
    log = TrialLog(tmp_path / "long.csv")
    log.append(FIRST)
    row = log.path.read_bytes().splitlines(keepends=True)[1]
    with open(log.path, "ab") as file:
        file.write(row * 20_000)
    assert len(log.read().trials) == 20_001


_WRITER = """
import datetime, itertools, sys
from pathlib import Path
from bladelab import Blade, Hollow, Rocker
from bladelab._files import Kind
from bladelab.advice.trial import Trial
from bladelab.advice.trial_log import TrialLog
log = TrialLog(Path(sys.argv[1]))
blade = Blade(Rocker.single(3048, 280), Hollow(12.7, 3.0))
for i in itertools.count():
    log.append(Trial(datetime.date(2026, 10, 5), "K07", blade, note=f"{i} " + "x" * 900))
    print(i, flush=True)
"""


@pytest.mark.skipif(os.name != "posix", reason="kills a process in the manner of posix")
def test_a_killed_writer_loses_nothing_it_said_it_saved(tmp_path) -> None:
    path = tmp_path / "killed.csv"
    writer = subprocess.Popen([sys.executable, "-c", _WRITER, str(path)], stdout=subprocess.PIPE, text=True)
    for line in writer.stdout:
        if int(line) >= 20:
            break
    time.sleep(0.05)
    writer.send_signal(signal.SIGKILL)
    said = [int(x) for x in writer.stdout.read().split()]
    writer.wait()
    reading = TrialLog(path).read()
    kept = [int(trial.note.split()[0]) for trial in reading.trials]
    assert kept == list(range(len(kept))) and len(kept) > max([20, *said])
    assert len(reading.damage) <= 1


def test_two_writers_at_once_mix_no_rows(tmp_path) -> None:
    path = tmp_path / "both.csv"
    code = _WRITER.replace("itertools.count()", "range(60)")
    writers = [
        subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.DEVNULL) for _ in range(2)
    ]
    assert [writer.wait() for writer in writers] == [0, 0]
    reading = TrialLog(path).read()
    assert len(reading.trials) == 120 and not reading.damage


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
    assert "changed 2 things since 2026-10-05 (radius of the rocker, hollow): it can't tell which" in said
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
    with pytest.raises(ValueError, match="has no such trial of K07 on 2026-01-09; it was left as it is"):
        log.take_back(Trial(datetime.date(2026, 1, 9), "K07", SINGLE, {"hold": 1}))
    assert log.path.read_bytes() == kept
    with pytest.raises(ValueError, match="has no such trial"):
        TrialLog(tmp_path / "none.csv").take_back(one)
