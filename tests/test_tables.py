"""Tables as spreadsheets write them: read as they were meant, or refused with line and column."""

from __future__ import annotations

import csv
import datetime
import io

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from bladelab import GaugeReadings, InputError, Rocker, read_stride, read_trace
from bladelab._cells import csv_row, csv_table, date_of, guarded, number_of, significant, unguarded
from bladelab.workshop.reading import read_edge

X = np.arange(-140.0, 141.0, 10.0)
WAYS = [(",", "."), (";", ","), (";", "."), ("\t", ","), ("\t", ".")]
Y = Rocker.single(3048, 280).height_mm(X) + 0.5


def edge(delimiter=",", decimal=".", end="\n", digits=3, head=("position_mm", "height_mm"), x=X):
    rows = [head, *((f"{a:.1f}", f"{b:.{digits}f}") for a, b in zip(x, Y, strict=True))]
    return "".join(delimiter.join(cell.replace(".", decimal) for cell in row) + end for row in rows)


@pytest.fixture
def write(tmp_path):
    def put(text, encoding="utf-8"):
        file = tmp_path / "edge.csv"
        file.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return file

    return put


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16"])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize(("delimiter", "decimal"), WAYS)
def test_every_way_to_save_a_table_reads_alike(write, delimiter, decimal, end, encoding):
    trace = read_trace(write(edge(delimiter, decimal, end), encoding))
    assert trace.x_mm.tolist() == X.tolist()
    assert trace.y_mm == pytest.approx(Y, abs=6e-4)


def test_a_german_spreadsheet_with_notes_empty_rows_and_a_line_that_names_its_separator(write):
    text = edge(";", ",").replace("\n", ";;\n")
    text = 'sep=;\n# Höhe über der Schiene;;\n"# ""gut"";";;\n;;;\n' + text + ";;;\n"
    trace = read_trace(write(text, "cp1252"))
    assert trace.y_mm == pytest.approx(Y, abs=6e-4)


def test_quoted_cells_with_commas_and_line_breaks_keep_the_line_numbers_of_the_file(write):
    text = 'position_mm,height_mm,"remark\nof mine"\n0,1.0,"two\nlines, and ""marks"""\n10,oops,\n'
    with pytest.raises(InputError, match=r"edge.csv: line 5: height is 'oops'; it must be a number"):
        read_trace(write(text))
    text = 'time_s,load_share,position_mm,lean_deg,note\n0,1,0,0,"a\nb\nc"\n0.1,much,0,0,\n'
    with pytest.raises(InputError, match=r"edge.csv: line 5: load_share is 'much'"):
        read_stride(write(text))


def test_quoted_decimal_commas_are_read(write):
    text = edge().replace(".", ",")
    rows = "".join(f'"{a:.1f}","{b:.3f}"\n'.replace(".", ",") for a, b in zip(X, Y, strict=True))
    assert read_trace(write("position_mm,height_mm\n" + rows)).y_mm == pytest.approx(Y, abs=6e-4)
    with pytest.raises(InputError, match="line 2 has 4 cells, the header 2; are there decimal commas"):
        read_trace(write(text))


def test_a_stride_from_a_german_spreadsheet(write):
    text = "Time_s;load_share;position_mm;lean_deg\n0;0,15;-15;0\n0,1;1,125;3,5;2\n"
    stride = read_stride(write(text))
    assert stride.time_s.tolist() == [0, 0.1] and stride.load_share.tolist() == [0.15, 1.125]


def test_what_could_be_thousands_is_refused_unless_the_file_shows_what_it_is(write):
    """Heights of 3,459 um may be 3.459 or 3459; in mm only one of them can be."""
    head = "position_mm;height_um\n"
    with pytest.raises(InputError, match=r"line 2: height is '3,459', which may be 3.459 or 3459"):
        read_trace(write(head + "0;3,459\n10;2,500\n"))
    # One number that can only be a decimal, or only thousands, settles the rest.
    um = "".join(f"{x:.0f};{y * 1000:.3f}\n".replace(".", ",") for x, y in zip(X, Y, strict=True))
    assert read_trace(write(head + um)).y_mm == pytest.approx(Y, abs=1e-5)
    with pytest.raises(InputError, match=r"line 3: height is '1[.]234,5'; write it without separators"):
        read_trace(write("position_mm;height_mm\n0;0,5\n10;1.234,5\n"))


def test_a_file_in_another_encoding_is_told_with_the_line(write):
    text = edge(";", ",", head=("position_mm", "height_mm")).replace("\n", ";Zürich\n", 3)
    with pytest.raises(InputError, match=r"line 1: it holds a character that is not UTF-8 .* 'CSV UTF-8'"):
        read_trace(write(text, "cp1252"))


def test_an_open_quotation_mark_is_told_with_its_line(write):
    with pytest.raises(InputError, match=r"line 3: a quotation mark in it is not closed"):
        read_trace(write('position_mm,height_mm\n0,1\n10,"2\n20,3\n30,4\n'))


# From the heel --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["position_mm", "position_from_heel_mm", "Position from heel [mm]"])
def test_positions_from_the_heel_are_read_from_the_middle_and_said(write, name):
    found = read_edge(write(edge(head=(name, "height_mm"), x=X + 140)))
    assert found.edge.x_mm.tolist() == X.tolist()
    assert found.notes == (
        "The positions, 0 to 280 mm, are taken as counted from the heel; the middle of the runner is assumed "
        "to be halfway, at 140 mm.",
    )
    assert read_edge(write(edge())).notes == ()


def test_a_gauge_from_the_heel(write):
    text = "position_mm,versine_mm,chord_mm\n" + "".join(f"{x},0.1476,60\n" for x in range(35, 250, 5))
    readings = read_trace(write(text))
    assert isinstance(readings, GaugeReadings)
    assert readings.position_mm[0] == -105.0 and readings.position_mm[-1] == 105.0


def test_positions_that_may_count_from_either_are_refused(write):
    half = [(x, y) for x, y in zip(X, Y, strict=True) if x >= 0]

    def text(name):
        return f"{name},height_mm\n" + "".join(f"{x},{y}\n" for x, y in half)

    with pytest.raises(InputError, match=r"0 to 140 mm; they may count from the heel or from the middle"):
        read_trace(write(text("position_mm")))
    assert read_trace(write(text("position_from_middle_mm"))).x_mm[0] == 0
    assert read_trace(write(text("position_from_heel_mm"))).x_mm[0] == -70


# Whatever is written so, reads so ---------------------------------------------------------------------------


@given(
    st.lists(st.decimals(-499, 499, places=3, allow_nan=False), min_size=1, max_size=8),
    st.integers(0, 3),
    st.sampled_from(WAYS),
    st.floats(1, 1e6),
)
def test_numbers_are_read_as_written_or_refused(values, places, how, largest):
    """With whatever delimiter and sign: never a thousand times too large or too small."""
    from bladelab._tables import Header, Record, Table

    delimiter, decimal = how
    cells = [f"{value:.{places}f}".replace(".", decimal) for value in values]
    rows = tuple(Record(i, (cell,)) for i, cell in enumerate(cells, 2))
    table = Table(Header(1, ("height",), delimiter), rows)
    assume(max(abs(float(v)) for v in values) <= largest)
    try:
        read = table.numbers({"height": (0, largest)})["height"]
    except InputError as problem:
        assert "may be" in str(problem) and places == 3 and delimiter != ","
    else:
        assert read.tolist() == [float(cell.replace(",", ".")) for cell in cells]


@pytest.mark.parametrize(
    ("cell", "value"),
    [("5", 5), (" 2,36 ", 2.36), ("−1.5", -1.5), ("0,123", 0.123), ("1e3", 1000), (",5", 0.5), ("2.", 2)],
)
def test_numbers(cell, value):
    assert number_of(cell) == value


@pytest.mark.parametrize(
    "cell",
    ["", "1_000", "١٢", "inf", "1e999", "1,234,567", "1 234", "12. Jul", "1,234", "1.234", "0x1"],
)
def test_what_is_no_number_or_may_be_two(cell):
    with pytest.raises(InputError):
        number_of(cell)


@pytest.mark.parametrize("cell", ["2026-10-05", "2026/10/5", "05.10.2026", "5.10.2026", " 2026-10-05 "])
def test_dates_that_mean_one_day(cell):
    assert date_of(cell) == datetime.date(2026, 10, 5)


def test_a_date_with_a_day_beyond_12_is_clear():
    assert date_of("25/10/2026") == date_of("10/25/2026") == datetime.date(2026, 10, 25)
    assert date_of("5/5/2026") == datetime.date(2026, 5, 5)


@pytest.mark.parametrize("cell", ["10/5/2026", "10-05-2026"])
def test_dates_that_may_be_two_days(cell):
    with pytest.raises(InputError, match="which may be 2026-05-10 or 2026-10-05; write it as"):
        date_of(cell)


@pytest.mark.parametrize("cell", ["", "31.02.2026", "05.10.26", "5 Oct", "2026-10/05", "2026-13-01"])
def test_what_is_no_date(cell):
    with pytest.raises(InputError, match="it must be a date such as 2026-10-05"):
        date_of(cell)


# Writing ----------------------------------------------------------------------------------------------------

RISKY = st.text(st.sampled_from("=+-@\t\r\n'＝;,\"a1 "), max_size=12) | st.text(max_size=20)


@given(RISKY)
def test_no_text_is_run_by_a_spreadsheet_and_all_read_back(text):
    assert unguarded(guarded(text)) == text
    # A spreadsheet may part the columns at another sign than ours.
    line = csv_row(["2026-10-05", text]).decode("utf-8", "surrogatepass") if text.isprintable() else None
    for delimiter in ",;\t":
        for cells in csv.reader(io.StringIO(line or ""), delimiter=delimiter):
            for cell in cells:
                plain = cell.replace(",", ".")
                assert not cell.startswith(tuple("=+-@\t\r＝＋－＠")) or _is_number(plain), (text, cell)


def _is_number(text):
    try:
        float(text)
    except ValueError:
        return False
    return True


def test_a_table_has_its_notes_and_sensible_digits():
    text = csv_table(
        ("name", "depth", "count"), [("=1+1", 0.066051234567, 3), ("b", float("nan"), 4)], ["two\nlines"]
    ).decode()
    assert text == "# two lines\nname,depth,count\n'=1+1,0.06605,3\nb,,4\n"


@given(st.floats(-1e9, 1e9).filter(lambda value: abs(value) > 1e-6))
def test_four_digits_are_within_half_of_the_last(value):
    text = significant(value)
    assert "e" not in text and float(text) == pytest.approx(value, rel=5.001e-4)
    assert sum(c.isdigit() for c in text.lstrip("-0.")) <= max(4, len(str(round(abs(value)))))
