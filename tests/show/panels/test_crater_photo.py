"""The panel for a crater on a photograph: nothing is told before all is set; craters go to the drop test."""

import io
from types import SimpleNamespace

import ipywidgets
import numpy as np
import pytest
from PIL import Image

from bladelab import hardness_from_drop, hardness_from_press
from bladelab.book.card import Card
from bladelab.show.panels.rink.crater_photo import _INVENTED, crater_photo_panel, set_crater_example
from bladelab.show.panels.rink.crater_photo_answer import crater_photo_answer
from bladelab.show.panels.rink.drop_test import drop_test_panel
from tests.show import engine_checks
from tests.show.engine_checks import assert_speaks, check_panel, click, hand, set_state

SET = {"crater_across": 46, "crater_down": 37.5, "crater_size": 14, "mark_1_across": 8.4, "mark_1_down": 75}
SET |= {"mark_2_across": 91.8, "mark_2_down": 77.5, "ruler_mm": 60}


@pytest.fixture(autouse=True)
def _close_panels():
    yield
    ipywidgets.Widget.close_all()


@pytest.fixture
def both():
    drop = drop_test_panel()
    return drop.panel, crater_photo_panel(drop).panel


def bring(panel, diameter_px, name="IMG_1.png"):
    """A picture of the reader's own: a crater at half the way across, 10 px to the mm."""
    row, column = np.mgrid[0:500, 0:800]
    grey = np.where(np.hypot(column - 400, row - 150) < diameter_px / 2, 120, 210).astype(np.uint8)
    grey[400:, 100:103] = grey[400:, 700:703] = 20
    file = io.BytesIO()
    Image.fromarray(grey).save(file, "PNG")
    engine_checks.bring(panel.upload.button, (name, file.getvalue()))


def own_settings(diameter_px):
    return {
        "crater_across": 50,
        "crater_down": 30,
        "crater_size": diameter_px / 8,
        "mark_1_across": 12.65,
        "mark_1_down": 90,
        "mark_2_across": 87.75,
        "mark_2_down": 90,
        "ruler_mm": 60,
    }


@pytest.mark.slow
def test_it_does_what_every_panel_does():
    check_panel(lambda: crater_photo_panel().panel)


def test_it_leads_from_step_to_step_to_the_crater_that_was_drawn():
    panel = crater_photo_panel().panel
    for (name, value), step in zip(SET.items(), "11233445", strict=True):
        assert panel.sentence_text.startswith(f"Step {step} of 5: ")
        assert "±" not in panel.view.headline.get_text() and not panel.fault
        assert_speaks(panel)
        panel.dials[name].value = value
    assert "9.90 ± 0.06 mm across" in panel.view.headline.get_text()
    assert len(panel.view.rim.get_xdata()) >= 70
    panel.dials["mark_1_across"].value = 4.0
    assert panel.sentence_text.startswith("Mark 1 is on blank ground")


def crater_says(**settings):
    """What is said for these settings, without a picture."""
    unset = dict.fromkeys((*SET, "made_by"), 0.0)
    return crater_photo_answer(SimpleNamespace(**(unset | {"file": _INVENTED} | settings)))


def test_what_the_settings_can_not_tell_is_said(tmp_path):
    (tmp_path / "no.jpg").write_text("no picture")
    broken = crater_says(file=str(tmp_path / "no.jpg"))
    assert broken.finding == "This picture can't be read" and "no.jpg" in broken.sentence
    beside = crater_says(**(SET | {"crater_across": 2.0}))
    assert beside.finding == "No diameter from these settings" and beside.circle is not None
    assert "it must lie inside the picture" in beside.sentence


def test_a_crater_taken_is_in_the_drop_test(both):
    drop, panel = both
    bring(panel, 101)
    set_state(panel, own_settings(101))
    click(panel, "take this crater")
    first = drop.state().craters
    assert first == (pytest.approx(10.1, abs=0.05),)
    expected = hardness_from_drop(12.7, 1.0, first)
    assert f"{expected.hardness_MPa:.1f} ± {expected.standard_error_MPa:.1f} MPa" in drop.sentence_text
    hand(panel, "crater_size", 64)
    click(panel, "take this crater")  # the same one once more
    assert len(drop.state().craters) == 1
    bring(panel, 97, "IMG_2.png")
    assert panel.sentence_text.startswith("Step 1 of 5")
    set_state(panel, own_settings(97))
    click(panel, "take this crater")
    assert drop.state().craters[1] == pytest.approx(9.7, abs=0.05) and len(drop.state().craters) == 2
    assert (
        panel.message.text
        == "Taken: of the dropped ball {:.2f}, {:.2f} mm. The drop test works with these.".format(
            *drop.state().craters
        )
    )
    click(panel, "leave the last one out")
    assert drop.state().craters == first
    click(panel, "leave the last one out")
    assert len(drop.state().craters) == 10
    click(panel, "leave the last one out")
    assert panel.message.text == "Not taken over: no crater was taken yet."


def test_a_crater_of_the_slow_press_goes_there(both):
    drop, panel = both
    bring(panel, 101)
    set_state(panel, own_settings(101))
    click(panel, "take this crater")
    bring(panel, 141, "IMG_2.png")
    hand(panel, "made_by", "the slow press")
    set_state(panel, own_settings(141))
    click(panel, "take this crater")
    assert drop.state().craters == (pytest.approx(10.1, abs=0.05),)
    assert drop.state().press_craters == (pytest.approx(14.1, abs=0.05),)
    assert "of the dropped ball 10." in panel.message.text and "; of the slow press 14." in panel.message.text
    press = hardness_from_press(12.7, 75 * 9.81, 10.0, drop.state().press_craters)
    assert f"this ice gives way at {press.hardness_MPa:.1f} MPa" in drop.sentence_text
    click(panel, "leave the last one out")
    assert drop.state().press_craters == () and len(drop.state().craters) == 1


def test_what_is_no_crater_of_this_ball_is_not_taken(both):
    drop, panel = both
    before = drop.state().craters
    click(panel, "take this crater")
    assert panel.message.text.startswith("Not taken over: there is no crater yet. Step 1 of 5")
    bring(panel, 101)
    set_state(panel, own_settings(101) | {"ruler_mm": 160})
    click(panel, "take this crater")
    assert "it must be below the ball's diameter, 25.4 mm" in panel.message.text
    assert drop.state().craters is before


def test_the_invented_crater_is_never_counted_with_the_readers_own_nor_kept_on_a_card(both):
    drop, panel = both
    drop.rink = "R1"
    card = Card("N01", ())
    set_crater_example(panel)
    click(panel, "take this crater")
    assert panel.message.text.startswith("Taken (invented): of the dropped ball 9.90 mm")
    assert drop.state().craters == (9.9,) and not drop.bar.more(card)
    bring(panel, 101)
    set_state(panel, own_settings(101))
    click(panel, "take this crater")
    own = drop.state().craters
    assert own == (pytest.approx(10.1, abs=0.05),) and drop.bar.more(card)
    set_crater_example(panel)
    click(panel, "take this crater")
    assert "the invented one must not be counted with them" in panel.message.text
    assert drop.state().craters == own
