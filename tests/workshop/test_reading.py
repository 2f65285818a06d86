"""Files: what is read, and for everything else one clear sentence and nothing written."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bladelab import GaugeReadings, Rocker, Trace, read_trace, save_trace

X = np.arange(-140.0, 141.0, 10.0)
Y = Rocker.single(3048, 280).height_mm(X)
GOOD = "position_mm,height_mm\n" + "".join(f"{x},{y:.4f}\n" for x, y in zip(X, Y, strict=True))


@pytest.fixture
def write(tmp_path):
    def put(text, name="edge.csv", encoding="utf-8"):
        file = tmp_path / name
        file.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
        return file

    return put


def test_heights_are_read(write):
    trace = read_trace(write("# a note, with commas\n\n" + GOOD), error_mm=0.004)
    assert isinstance(trace, Trace) and trace.error_mm == 0.004
    assert np.array_equal(trace.x_mm, X) and trace.y_mm == pytest.approx(Y, abs=1e-4)


@pytest.mark.parametrize(("unit", "factor"), [("mm", 1), ("cm", 10), ("in", 25.4)])
def test_units_of_the_header_or_chosen(write, unit, factor):
    rows = "".join(f"{x / factor:.9f},{y / factor:.9f}\n" for x, y in zip(X, Y, strict=True))
    for header, chosen in (
        (f"position_{unit},height_{unit}", None),
        (f"Position [{unit}],Height ({unit})", None),
        ("position,height", unit),
    ):
        trace = read_trace(write(f"{header}\n{rows}"), unit=chosen)
        assert trace.x_mm == pytest.approx(X) and trace.y_mm == pytest.approx(Y, abs=1e-6)
    mixed = "height_um,other,position_mm\n" + "".join(
        f"{y * 1000},hello,{x}\n" for x, y in zip(X, Y, strict=True)
    )
    assert read_trace(write(mixed)).y_mm == pytest.approx(Y)


def test_a_byte_order_mark_and_windows_line_ends_do_no_harm(write):
    assert len(read_trace(write(("\ufeff" + GOOD).replace("\n", "\r\n"))).x_mm) == len(X)


def test_versines_are_read(write):
    rows = "".join(f"{x},0.1476\n" for x in X[3:-3])
    for text, chord in (
        ("position_mm,versine_mm\n" + rows, 60.0),
        ("position_mm,versine_mm,chord_mm\n" + rows.replace("\n", ",60\n"), None),
    ):
        readings = read_trace(write(text), chord_mm=chord)
        assert isinstance(readings, GaugeReadings) and readings.chord_mm == 60.0
        assert readings.radius_mm == pytest.approx(3048, rel=1e-3)


def test_what_is_saved_reads_back_and_nothing_is_overwritten(tmp_path):
    trace = Trace(X, Y)
    save_trace(trace, tmp_path / "mine.csv", "left blade\ninvented")
    assert read_trace(tmp_path / "mine.csv").y_mm == pytest.approx(Y, abs=1e-4)
    with pytest.raises(ValueError, match=r"mine.csv is there already"):
        save_trace(trace, tmp_path / "mine.csv")


def lines(*changes):
    rows = GOOD.splitlines()
    for number, text in changes:
        rows[number - 1] = text
    return "\n".join(rows) + "\n"


BAD = {
    "empty": ("", "the file is empty"),
    "notes only": ("# nothing\n\n", "the file is empty"),
    "wrong columns": (
        GOOD.replace("height_mm", "altitude"),
        "the columns are 'position_mm, altitude'; there must be",
    ),
    "no header": (GOOD.split("\n", 1)[1], "there must be position_mm"),
    "twice": (
        GOOD.replace("position_mm,height_mm", "height_mm,height_mm"),
        "there are two columns of heights",
    ),
    "no unit": (GOOD.replace("_mm", ""), "the column position has no unit"),
    "decimal commas": (
        lines((4, "-120,0,2,36")),
        "line 4 has 4 cells, the header 2; are there decimal commas",
    ),
    "gap in a row": (lines((5, "-110.0,")), "line 5 has no height"),
    "short row": (lines((5, "-110.0")), "line 5 has no height"),
    "word": (lines((6, "-100.0,oops")), "line 6: height is 'oops'; it must be a number"),
    "nan": (lines((6, "-100.0,nan")), "line 6: height is 'nan'; it must be a number"),
    "infinite": (lines((6, "-inf,1.6")), "line 6: position is '-inf'"),
    "repeated": (lines((6, "-110.0,1.6")), "position -110 mm is on lines 5 and 6; keep one"),
    "unsorted": (lines((6, "-125.0,1.6")), "on line 6 position -125 mm comes after -110 mm; sort the lines"),
    "falling": (
        "position_mm,height_mm\n" + "\n".join(GOOD.splitlines()[:0:-1]),
        "reverse the order of the lines",
    ),
    "stretch missing": (
        "\n".join(GOOD.splitlines()[:10] + GOOD.splitlines()[16:]),
        r"no reading between -60 and 10 mm \(lines 10 and 11\), 70 mm",
    ),
    "three points": (
        "\n".join(GOOD.splitlines()[:1] + GOOD.splitlines()[14:17]),
        "there are 3 points; a trace needs at least 5",
    ),
    "columns swapped": (
        GOOD.replace("position_mm,height_mm", "height_mm,position_mm"),
        "comes after",
    ),
    "swapped and sorted": (
        "position_mm,height_mm\n" + "".join(f"{y},{x}\n" for x, y in zip(X[14:], Y[14:], strict=True)),
        "are the two columns swapped",
    ),
    "inches called mm": (
        "position_mm,height_mm\n" + "".join(f"{x / 25.4},{y / 25.4}\n" for x, y in zip(X, Y, strict=True)),
        "the readings span 11.0236 mm; a runner's are 30 to 500 mm",
    ),
    "heights in um called mm": (
        "position_mm,height_mm\n" + "".join(f"{x},{y * 50}\n" for x, y in zip(X, Y, strict=True)),
        "the radius would be",
    ),
    "heights in cm called mm": (
        "position_mm,height_mm\n" + "".join(f"{x},{y / 100}\n" for x, y in zip(X, Y, strict=True)),
        "the radius would be 305 m; a blade's is 0.5 to 60 m",
    ),
    "upside down": (GOOD.replace(",", ",-").replace("position_mm,-", "position_mm,"), "change their sign"),
    "gauge zero": ("position_mm,versine_mm,chord_mm\n0,0.15,60\n10,0,60\n", "line 3: the gauge reads 0 mm"),
    "gauge below zero": ("position_mm,versine_mm,chord_mm\n0,-0.15,60\n", "line 2: the gauge reads -0.15 mm"),
    "no chord": ("position_mm,versine_mm\n0,0.15\n10,0.15\n", "the gauge's chord is missing"),
    "two chords": ("position_mm,versine_mm,chord_mm\n0,0.15,60\n10,0.15,50\n", "one file is for one gauge"),
    "chord in inches": (
        "position_mm,versine_mm,chord_mm\n0,0.15,2.36\n10,0.15,2.36\n",
        "the readings span 12.36 mm",
    ),
    "both": ("position_mm,height_mm,versine_mm\n0,1,1\n", "either height_mm or versine_mm"),
    "picture": (b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", "line 1: it holds a character that is not UTF-8"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_files_get_a_sentence_and_are_left_alone(write, name):
    content, words = BAD[name]
    file = write(content)
    before = file.read_bytes()
    with pytest.raises(ValueError, match=words) as caught:
        read_trace(file)
    message = str(caught.value)
    assert message.startswith("edge.csv: ") and "\n" not in message and len(message) < 320
    assert file.read_bytes() == before and list(file.parent.iterdir()) == [file]


def test_a_file_that_is_not_there():
    with pytest.raises(ValueError, match=r"nowhere.csv: there is no such file"):
        read_trace("nowhere.csv")


def test_two_hundred_megabytes_are_refused_before_they_are_read(tmp_path):
    file = tmp_path / "huge.csv"
    with file.open("wb") as out:
        out.truncate(200_000_000)  # a sparse file: nothing is on the disk
    with pytest.raises(ValueError, match=r"huge.csv: the file has 200 MB; a measured edge has at most 10 MB"):
        read_trace(file)


def test_a_unit_that_does_not_exist(write):
    with pytest.raises(ValueError, match=r"unit is 'furlong'; it must be mm, cm, um or in"):
        read_trace(write(GOOD.replace("_mm", "")), unit="furlong")


def test_a_longer_gap_can_be_allowed(write):
    holed = "\n".join(GOOD.splitlines()[:10] + GOOD.splitlines()[16:])
    assert len(read_trace(write(holed), longest_gap_mm=80.0).x_mm) == len(X) - 6


@pytest.mark.slow
@settings(max_examples=200)
@given(data=st.data())
def test_damaged_files_never_raise_anything_else(data, tmp_path_factory):
    content = bytearray(GOOD.encode())
    for _ in range(data.draw(st.integers(1, 8))):
        at = data.draw(st.integers(0, len(content) - 1))
        match data.draw(st.sampled_from(["set", "cut", "double"])):
            case "set":
                content[at] = data.draw(st.integers(0, 255))
            case "cut":
                del content[at : at + data.draw(st.integers(1, 40))]
                content = content or bytearray(b"x")
            case "double":
                content[at:at] = content[at : at + 30]
    file = tmp_path_factory.mktemp("damaged") / "edge.csv"
    file.write_bytes(bytes(content))
    try:
        trace = read_trace(file)
    except ValueError as error:
        assert str(error).startswith("edge.csv: ")
    else:
        assert np.isfinite(trace.x_mm).all() and np.isfinite(trace.y_mm).all()
