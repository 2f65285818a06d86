"""The photograph panel: nothing is told before all is set, nothing set is carried to another picture."""

import io
import re
from types import SimpleNamespace

import ipywidgets
import numpy as np
import pytest
from PIL import Image

from bladelab import feet, read_trace
from bladelab.show.panels.workshop.photo import DEMO, EXAMPLE, photo_panel, save_photo_trace, set_example
from bladelab.show.panels.workshop.photo_answer import UNSET, photo_answer
from bladelab.show.panels.workshop.photo_upload import Photograph
from tests.show.engine_checks import assert_speaks, bring, pixels, set_state, units
from tests.workshop.drawn_photo import drawn_photo


@pytest.fixture(autouse=True)
def _close_panels():
    yield
    ipywidgets.Widget.close_all()


@pytest.fixture(scope="module")
def eleven_feet():
    """An 11 ft blade through a lens that bows lines by 0.15 % of the width."""
    return drawn_photo(feet(11), 1600, bow_share=0.0015, turn_deg=1.0)


@pytest.fixture(scope="module")
def nine_feet():
    return drawn_photo(feet(9), 1400, turn_deg=-2.0, seed=1)


def says_a_number(panel) -> bool:
    """Whether it tells a radius or an error."""
    return "±" in panel.sentence_text + panel.view.headline.get_text()


def brought(panel, name: str, contents: bytes) -> None:
    """What the page does when a reader brings a file."""
    bring(panel.upload.button, (name, contents))


def as_file(grey, form: str = "JPEG", **how) -> bytes:
    file = io.BytesIO()
    Image.fromarray(grey).save(file, form, **how)
    return file.getvalue()


def limits(panel) -> tuple[float, float]:
    low, high = re.search(r"lies between ([\d.]+) and ([\d.]+) ", panel.sentence_text).groups()
    return float(low), float(high)


@pytest.mark.slow
def test_it_opens_with_nothing_set_and_leads_from_step_to_step():
    panel = photo_panel().panel
    example = {"top": 45, "bottom": 61, "left": 4, "right": 96, "mark_1_across": 8.3, "mark_1_down": 71}
    example |= {"mark_2_across": 91.7, "mark_2_down": 72.5, "ruler_mm": 250}
    steps = ["1", "1", "2", "2", "3", "3", "4", "4", "5"]
    for (name, value), step in zip(example.items(), steps, strict=True):
        assert panel.sentence_text.startswith(f"Step {step} of 5: ")
        assert not says_a_number(panel) and not panel.fault
        assert_speaks(panel)
        panel.dials[name].value = value
    assert says_a_number(panel)
    assert "cannot tell 9 ft from 10 ft" in panel.view.headline.get_text()
    panel.dials["straighten"].value = True
    assert panel.sentence_text.startswith("To straighten: ") and not says_a_number(panel)
    panel.dials["ruler_edge"].value = 86.5
    assert "can tell 9 ft from 10 ft" in panel.view.headline.get_text()
    low, high = limits(panel)
    assert low < 10.0 < high < low + 1.0


def test_one_click_sets_up_the_example_and_its_trace_can_be_saved(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = photo_panel().panel
    save_photo_trace(panel)
    assert panel.saving.work.report.startswith("not saved: there is no trace yet. Step 1 of 5")
    set_example(panel)
    low, high = limits(panel)
    assert low < 10.0 < high
    save_photo_trace(panel)
    assert [path.name for path in (tmp_path / "saved").iterdir()] == ["photo_trace-1.csv"]
    assert len(read_trace(tmp_path / "saved" / "photo_trace-1.csv").x_mm) > 1500
    panel.dials["left"].value = 96
    assert "must be at least 5 % left" in panel.sentence_text and not says_a_number(panel)


@pytest.mark.slow
def test_a_new_photograph_keeps_nothing_of_the_old_one_and_the_old_one_keeps_its_own(eleven_feet, nine_feet):
    panel = photo_panel().panel
    set_example(panel)
    first, before = panel.dials["file"].value, pixels(panel)
    told = panel.sentence_text
    brought(panel, "IMG_1.jpg", as_file(eleven_feet.grey))
    assert {name: panel.dials[name].value for name in UNSET} == UNSET
    assert panel.sentence_text.startswith("Step 1 of 5") and not says_a_number(panel)
    assert [tag.get_text() for *_, tag in panel.view.photo.lenses] == ["not set", "not set"]
    set_state(panel, eleven_feet.dials())
    assert says_a_number(panel)
    brought(panel, "IMG_2.jpg", as_file(nine_feet.grey))
    assert {name: panel.dials[name].value for name in UNSET} == UNSET
    panel.dials["file"].value = first
    assert panel.sentence_text == told
    assert np.abs(pixels(panel) - before).max() <= 1


def test_no_sentence_between_two_photographs_mixes_them(nine_feet):
    """The steps between, too: what the page is told while the settings go back."""
    panel = photo_panel().panel
    set_example(panel)
    said = []
    panel.observe(lambda change: said.append(change["new"]), names="_words")
    panel.bring(Photograph("other", nine_feet.grey))
    assert said and not any("±" in words for words in said)


@pytest.mark.slow
@pytest.mark.parametrize(
    ("width", "system", "truth"), [(1600, "metric", 11 * 0.3048), (4032, "feet and inches", 11.0)]
)
def test_the_truth_lies_within_its_limits_in_both_systems(width, system, truth, eleven_feet):
    drawn = eleven_feet
    if width != 1600:  # a finer camera behind the same lens
        grey = np.asarray(
            Image.fromarray(drawn.grey).resize((width, width * 2 // 5), Image.Resampling.BICUBIC)
        )
        drawn = type(drawn)(grey, drawn.ends, drawn.lowest_row, drawn.marks, drawn.far_edge_row)
    with units(system):
        panel = photo_panel().panel
        brought(panel, "IMG_1.png", as_file(drawn.grey, "PNG"))
        set_state(panel, eleven_feet.dials())
        low, high = limits(panel)
        assert low < truth < high
        # The lens's error is by far the largest and the same for both cameras.
        error = float(re.search(r"± ([\d.]+)", panel.sentence_text)[1]) / truth
        assert error == pytest.approx(1.41 / 11, rel=0.04)
        assert "cannot tell" in panel.sentence_text


def test_crosses_are_drawn_to_marks_and_refused_on_blank_ground(nine_feet):
    panel = photo_panel().panel
    panel.bring(Photograph("nine", nine_feet.grey))
    set_state(panel, nine_feet.dials())
    radius = re.search(r"radius of ([\d.]+)", panel.sentence_text)[1]
    assert limits(panel)[0] < 9.0 < limits(panel)[1]
    # A little beside the mark is on the mark.
    panel.dials["mark_1_across"].value += 0.3
    assert abs(float(re.search(r"radius of ([\d.]+)", panel.sentence_text)[1]) - float(radius)) < 0.02
    assert panel.view.photo.lenses[0][2].get_text() == ""
    old = panel.view.photo.marks.get_xdata().copy()
    panel.dials["mark_1_across"].value += 1.2
    assert panel.sentence_text.startswith("Mark 1 is on blank ground, at ")
    assert not says_a_number(panel)
    assert not panel.fault  # the picture goes on moving: how else would one find the mark?
    assert panel.view.photo.lenses[0][2].get_text() == "no mark here"
    assert panel.view.photo.marks.get_xdata()[0] > old[0] + 10
    panel.dials["mark_1_across"].value -= 1.2
    panel.dials["mark_2_down"].value = 97.0
    assert panel.sentence_text.startswith("Mark 2 is on blank ground, at ") and not says_a_number(panel)


def test_a_frame_too_low_to_hold_the_edge_is_refused():
    settings = {**UNSET, **EXAMPLE, "lens_percent": 0.1, "askew_deg": 3.0, "top": 50.0, "bottom": 51.0}
    answer = photo_answer(SimpleNamespace(file=str(DEMO / "blade_photo.png"), **settings))
    assert "the upper limit is at 50.0 %; it must be at least 2 % above the lower one, 51.0 %" in (
        answer.sentence[:1].lower() + answer.sentence[1:]
    )


def test_a_tall_picture_is_shown_larger_once_all_is_set():
    drawn = drawn_photo(feet(9), 800, tall=0.75)
    panel = photo_panel().panel
    panel.bring(Photograph("tall", drawn.grey))
    assert panel.view.photo.axes.get_ylim() == (599.5, -0.5)
    set_state(panel, drawn.dials())
    low, high = panel.view.photo.axes.get_ylim()
    assert high < drawn.frame()[1][0] and drawn.marks[0][1] < low < 0.8 * 599
    panel.dials["mark_1_across"].value += 1.5  # on blank ground: what is shown stays
    assert "blank ground" in panel.sentence_text
    assert panel.view.photo.axes.get_ylim() == (low, high)


def test_a_mark_half_set_can_be_seen(nine_feet):
    panel = photo_panel().panel
    panel.bring(Photograph("nine", nine_feet.grey))
    panel.dials["mark_1_across"].value = 30.0
    assert list(panel.view.photo.marks.get_xdata()) == [pytest.approx(0.3 * 1399)]


def test_a_picture_turned_by_the_telephone_is_read_as_it_was_held(nine_feet):
    exif = Image.Exif()
    exif[0x0112] = 6  # stored lying on its side
    panel = photo_panel().panel
    stored = np.ascontiguousarray(nine_feet.grey.T[::-1])
    brought(panel, "IMG_3.jpg", as_file(stored, exif=exif, quality=92))
    set_state(panel, nine_feet.dials())
    assert limits(panel)[0] < 9.0 < limits(panel)[1]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("name", "contents", "words"),
    [
        ("IMG_4.HEIC", b"\0\0\0\x18ftypheic" + bytes(100), "is a HEIC picture"),
        ("IMG_4.jpg", b"\0\0\0\x18ftypmif1" + bytes(100), "is a HEIC picture"),
        ("<b>" * 40 + ".jpg", b"hello", "isn't a picture bladelab can read"),
        ("large.jpg", bytes(41_000_000), "has 41 MB; it must have at most 40 MB"),
        ("empty.png", b"", "isn't a picture bladelab can read"),
    ],
)
def test_what_can_not_be_read_is_said_beside_the_button_and_changes_nothing(name, contents, words):
    panel = photo_panel().panel
    set_example(panel)
    told = panel.sentence_text
    brought(panel, name, contents)
    assert words in panel.upload.line.text and len(panel.upload.line.text) < 250
    assert "<b>" not in panel.upload.line.value
    assert panel.sentence_text == told and not panel.fault


def test_two_pictures_of_one_name_are_two(nine_feet):
    panel = photo_panel().panel
    for _ in range(2):
        brought(panel, "image.jpg", as_file(nine_feet.grey))
    names = panel.dials["file"].page()["texts"]
    assert names[1:] == ("image.jpg (added)", "image.jpg (added) 2")
    assert panel.dials["file"].value is not None


def test_pictures_that_can_not_be_read_are_listed_with_advice(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    folder = tmp_path / "measured"
    folder.mkdir()
    (folder / "IMG_5.HEIC").write_bytes(b"\0\0\0\x18ftypheic")
    (folder / "scan.tif").write_bytes(b"II*\0")
    (folder / "notes.txt").write_text("no picture")
    panel = photo_panel().panel
    offered = dict(panel.dials["file"].control.options)
    assert "IMG_5.HEIC" in offered and "scan.tif" in offered and "notes.txt" not in offered
    assert "IMG_5.HEIC is a HEIC picture" in panel.upload.line.text and "as JPEG" in panel.upload.line.text
    set_example(panel)
    panel.dials["file"].value = offered["IMG_5.HEIC"]
    assert panel.sentence_text.startswith("IMG_5.HEIC is a HEIC picture")
    assert "send it to yourself as JPEG" in panel.sentence_text
    assert not says_a_number(panel)
    panel.dials["file"].value = offered["scan.tif"]
    assert panel.sentence_text.startswith("scan.tif can't be read here; save it as JPEG or PNG")
