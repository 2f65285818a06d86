"""The trial log as a spreadsheet leaves it: read, continued as it is, and what it made of a cell told."""

import csv
import dataclasses
import io

import pytest

from bladelab import Blade, Hollow
from bladelab.advice.trial import TRIAL_COLUMNS, Trial
from tests.advice.blades import DAY, FIRST, SECOND, SINGLE


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


def test_a_log_from_a_german_spreadsheet_is_read_and_continued_as_it_is(log) -> None:
    def german(text: str) -> str:
        head, *rows = csv.reader(io.StringIO(text))
        out = io.StringIO()
        writer = csv.writer(out, delimiter=";", lineterminator="\r\n")
        writer.writerow([*head, "weather"])
        for row in rows:
            cells = dict(zip(head, row, strict=True))
            cells["date"] = ".".join(reversed(cells["date"].split("-")))
            cells |= {name: cells[name].replace(".", ",") for name in ("hollow_mm", "pivot_mm", "width_mm")}
            writer.writerow([*cells.values(), ""])
        writer.writerow([""] * (len(head) + 1))
        return out.getvalue()

    log.path.write_bytes(german(log.path.read_text(encoding="utf-8")).encode("utf-8-sig"))
    reading = log.read()
    assert reading.trials == (FIRST, SECOND) and not reading.damage
    log.append(THIRD := dataclasses.replace(SECOND, blade=Blade(SINGLE.rocker, Hollow(15.875, 2.9))))
    assert log.read().trials == (FIRST, SECOND, THIRD)
    assert log.path.read_bytes().splitlines()[-1].count(b";") == len(TRIAL_COLUMNS)
    assert b";15,875;2,9;" in log.path.read_bytes().splitlines()[-1]


@pytest.mark.parametrize(
    ("cells", "why"),
    [
        ({"date": "10/5/2026"}, "line 4: date is '10/5/2026', which may be 2026-05-10 or 2026-10-05"),
        ({"hollow_mm": "12. Jul"}, "line 4: hollow_mm is '12. Jul'; it must be a number"),
        ({"note": "two\nlines"}, "line 4: note holds a line break; a trial is on one line"),
        ({"zones_mm": "2,743x280"}, "line 4: zones_mm is '2,743x280'"),
    ],
)
def test_what_a_spreadsheet_made_of_a_cell_is_told_with_line_and_column(log, cells, why) -> None:
    out = io.StringIO()
    csv.writer(out).writerow((FIRST.cells() | cells).values())
    whole = log.path.read_bytes()
    log.path.write_bytes(whole + out.getvalue().encode("utf-8") + whole.splitlines(keepends=True)[1])
    reading = log.read()
    assert reading.trials == (FIRST, SECOND, FIRST) and [str(d)[: len(why)] for d in reading.damage] == [why]
    assert reading.lines[-1] == (6 if "note" in cells else 5)


def test_a_note_that_a_spreadsheet_would_run_is_written_so_that_it_does_not(log) -> None:
    trial = Trial(DAY, "K07", SINGLE, {"balance": -1}, "@home", "-", '=HYPERLINK("http://x")')
    log.append(trial)
    cells = list(csv.reader(io.StringIO(log.path.read_text(encoding="utf-8"))))[-1]
    assert cells[-1] == '\'=HYPERLINK("http://x")' and cells[2] == "'@home" and cells[-2] == "-1"
    assert log.read().trials[-1] == trial
