"""What every panel must do; call `check_panel` from the tests of each."""

from __future__ import annotations

import base64
import importlib
import inspect
import io
import pkgutil
import random
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from typing import get_type_hints
from unittest.mock import patch
from xml.etree import ElementTree

import ipywidgets as widgets
import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.axis import Axis
from matplotlib.text import Text
from PIL import Image

import bladelab.show
from bladelab.show.canvas.style import style_context
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Frames, Slider, Tick
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.declare import PanelKind
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.file_button import FileButton
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.wording.units_shown import UNITS
from bladelab.units import SYSTEMS

#: A change of nothing is neither up nor down, and a number is not known to within nothing.
NOTHING_WITH_A_SIGN = re.compile(r"(?<![\w.])[-−]0(\.0+)?(?![\d.])|± ?0(\.0+)?(?![\d.])")
NOT_A_NUMBER = re.compile(r"\b(nan|inf|None)\b")
#: Units of one system, which the other does not say; lengths along the blade and depths are in millimetres in
#: both. "in" is a word too: it is a unit after a fraction or a decimal, at the end, or on an axis.
METRIC = re.compile(
    r"(?<!\w)(kg|°C|m/s|kilos|kilograms|metres?)\b|(?:\d|,|^) ?m\b(?![\w/])|\d N\b(?! m\b| a mm)"
)
IMPERIAL = re.compile(
    r"(?<!\w)(ft|lb|mph|°F)\b|\d[/.]\d+ in\b(?! 1,000)|(?:\d|,) in(?=$|[.,;:)←])|\d (inch|feet|foot|pounds)\b"
)


def panel_makers() -> dict[str, Callable[[], Panel | PanelBox]]:
    """Everything in bladelab.show that makes a panel, alone or in a box, by its name: declarations, and
    functions that say so."""
    found: dict[str, Callable[[], Panel | PanelBox]] = {}
    for module in pkgutil.walk_packages(bladelab.show.__path__, "bladelab.show."):
        for name, thing in vars(importlib.import_module(module.name)).items():
            if not name.endswith("_panel") or name.startswith("_"):
                continue
            if isinstance(thing, PanelKind):
                found[name] = thing
            elif inspect.isfunction(thing) and thing.__module__ == module.name:
                if issubclass(get_type_hints(thing)["return"], Panel | PanelBox):
                    found[name] = thing
    return found


@contextmanager
def units(system: str) -> Iterator[None]:
    """The notebook's units for the length of a block."""
    before = UNITS.system
    UNITS.system = system
    try:
        yield
    finally:
        UNITS.system = before


def extremes(dial: Dial) -> list[object]:
    """The values at the ends of a dial's range, or all of a choice."""
    control = dial.control
    if isinstance(control, Slider):
        return [control.low, control.high]
    if isinstance(control, Choice):
        return [value for _, value in control.options]
    if isinstance(control, Frames):
        return [0, control.count - 1]
    assert isinstance(control, Tick)
    return [True, False]


def draw_value(dial: Dial, chance: random.Random) -> object:
    """A random value that the dial allows."""
    control = dial.control
    if isinstance(control, Slider):
        return control.low + (control.high - control.low) * chance.random()
    if isinstance(control, Frames):
        return chance.randrange(control.count)
    return chance.choice(extremes(dial))


def readout(dial: Dial) -> str:
    """What a slider reads on the page, with its unit."""
    return dial.page()["text"]


def hand(panel: Panel, name: str, at: object) -> None:
    """Move a control on the page, as a hand does: to a position, or to the entry with this text."""
    page = {**panel.dials, "units": panel._units}[name].page()
    if isinstance(at, str):
        at = list(page["texts"]).index(at)
    panel._from_page(
        panel, {"do": "move", "seq": panel._heard + 1, "values": {name: [page["edition"], at]}}, []
    )


def click(panel: Panel, text: str) -> None:
    """Click the button of a panel that says this."""
    number = panel._spec["buttons"].index(text)
    panel._from_page(panel, {"do": "press", "button": number}, [])


def bring(button: FileButton, *files: tuple[str, bytes]) -> None:
    """Choose files on a button for them, as a reader does."""
    button._from_page(button, {"names": [name for name, _ in files]}, [memoryview(one) for _, one in files])


def position(panel: Panel, name: str, text: str) -> int:
    """The position at which a control of the page says this, as the page would write it."""
    page = panel.dials[name].page()
    if page["texts"]:
        return list(page["texts"]).index(text)
    scale = page["scale"]
    said = [f"{scale['low'] + i * scale['step']:.{scale['decimals']}f}" for i in range(page["last"] + 1)]
    return said.index(text)


def set_state(panel: Panel, values: dict[str, object]) -> None:
    """Move dials to these values, in one update."""
    with panel.quiet():
        for name, value in values.items():
            panel.dials[name].value = value


def unnamed(svg: str) -> str:
    """An SVG without the names that tell the parts of one picture from those of another."""
    return re.sub(r'(?<=[#"])[a-z][0-9a-f]{8,}', "name", svg)


def pixels(panel: Panel) -> np.ndarray:
    """The whole picture as drawn afresh by matplotlib."""
    canvas = panel.view.figure.canvas
    with style_context():
        canvas.draw()
    return np.array(canvas.buffer_rgba())[..., :3].astype(int)


def picture_texts(panel: Panel) -> list[str]:
    """Every text that the picture shows, but for the numbers along its axes."""
    texts = texts_in(panel.view.figure)
    return [text.get_text() for text in texts if text.get_visible() and text.get_text().strip()]


def texts_in(part: Artist) -> Iterator[Text]:
    """The texts of a part and its parts. An axis asked for all its parts would make small ticks, and those of
    axes that are switched off, which nobody sees."""
    if isinstance(part, Text):
        yield part
    if not isinstance(part, Axis):
        parts = part.get_children()
    else:
        parts = [part.label, part.offsetText, *(part.get_major_ticks() if part.axes.axison else [])]
    for child in parts:
        yield from texts_in(child)


def page_texts(widget: widgets.Widget) -> list[str]:
    """Every text of the widgets on a page: names, values, the choices on offer, buttons, sentences."""
    found = [getattr(widget, name, "") for name in ("description", "placeholder", "tooltip")]
    found += [str(option) for option in getattr(widget, "_options_labels", ())]
    if isinstance(widget, widgets.HTML | widgets.Label):
        found.append(re.sub(r"<style.*?</style>|<svg.*?</svg>|<[^>]*>", " ", widget.value, flags=re.DOTALL))
    if isinstance(widget, Panel):
        found += [*widget._spec["buttons"], widget._report["text"]]
        for dial in widget.dials.values():
            found += [dial.control.label, dial.page()["text"], *(dial.page()["texts"] or ())]
    for child in getattr(widget, "children", ()):
        found += page_texts(child)
    return [text for text in found if text]


def assert_speaks(panel: Panel) -> None:
    """The panel says something in words, and draws no numbers that are none."""
    assert len(panel.sentence_text) > 10
    assert not NOT_A_NUMBER.search(panel.sentence_text), panel.sentence_text
    assert not NOT_A_NUMBER.search(panel.view.headline.get_text())
    wrong = IMPERIAL if UNITS.system == "metric" else METRIC
    for text in [panel.sentence_text, *picture_texts(panel)]:
        assert not wrong.search(text), text
        assert not NOTHING_WITH_A_SIGN.search(text), text
    if not panel.fault:
        with seen():
            frame = panel.view.frame_html() if panel._frame == UNSEEN else panel._frame
        ElementTree.fromstring(frame)  # raises where a tag is not closed
        assert not re.search(r"\bnan\b", frame), panel.state()
        assert panel.view.headline.get_text()


#: What a panel's page has in place of a picture that is not written.
UNSEEN = "<svg/>"
_WRITTEN = {name: getattr(View, name) for name in ("still_html", "frame_html")}


@contextmanager
def unseen() -> Iterator[None]:
    """Inside the block panels draw their pictures, but don't write them for the page, which takes most of a
    panel's time: for what looks at dials, words and artists."""
    with patch.multiple(View, **dict.fromkeys(_WRITTEN, lambda *_: UNSEEN)):
        yield


@contextmanager
def seen() -> Iterator[None]:
    """Inside the block they do, within `unseen` too."""
    with patch.multiple(View, **_WRITTEN):
        yield


@seen()
def check_panel(make_panel: Callable[[], Panel]) -> None:
    """Readers without a kernel see it, every dial goes to its ends in both systems of units, and moved about
    it shows what a fresh panel shows."""
    panel, fresh = make_panel(), make_panel()
    assert not panel.fault, panel.sentence_text
    start = {name: dial.value for name, dial in panel.dials.items()}
    _check_bundle(panel, fresh)
    _check_extremes(panel, half=0)
    _check_moved(panel, fresh)
    with units(SYSTEMS[1]):
        set_state(panel, start)
        _check_extremes(panel, half=1)
        panel.close()


@seen()
def check_bundle(make_panel: Callable[[], Panel]) -> None:
    """A reader without a kernel gets the picture and the words, the same in every run."""
    _check_bundle(make_panel(), make_panel())


def _check_bundle(panel: Panel, other: Panel) -> None:
    with patch.object(panel.view, "png", partial(panel.view.png, 0.5)):  # coarse, and so quick to draw
        bundle, metadata = panel._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in bundle
    with patch.object(other.view, "png", lambda: b""):  # its words are compared
        assert bundle["text/plain"] == other._repr_mimebundle_()[0]["text/plain"]
    assert panel.sentence_text in bundle["text/plain"]
    picture = Image.open(io.BytesIO(base64.b64decode(bundle["image/png"])))
    size = metadata["image/png"]
    assert size == {"width": panel.view.width_px, "height": panel.view.height_px}
    # To a pixel or two: a half pixel is rounded up by some versions, down by others.
    assert abs(picture.width - picture.height * size["width"] / size["height"]) < 3


def _check_extremes(panel: Panel, half: int) -> None:
    """Every second dial goes to its ends, one at a time; of two blades the present one to its low ends, the
    trial to its high ones. Then several do together: in turn all of them, and three among others left where
    they start."""
    start = {name: dial.value for name, dial in panel.dials.items()}
    for name, dial in list(panel.dials.items())[half::2]:
        others = {other: value for other, value in start.items() if other != name}
        for value in extremes(dial)[dial.control.column == "trial" :: 2 if dial.control.column else 1]:
            set_state(panel, others | {name: value})  # moved last: others may follow it
            assert_speaks(panel)
    chance = random.Random(half)
    for turn in range(4):
        names = list(start) if turn % 2 else chance.sample(list(start), min(3, len(start)))
        set_state(panel, start | {name: chance.choice(extremes(panel.dials[name])) for name in names})
        assert_speaks(panel)
    set_state(panel, start)
    assert not panel.fault


def _check_moved(panel: Panel, fresh: Panel) -> None:
    """Moved about at random it speaks in every state, and ends on the picture of a fresh panel.

    More random states are in tests/forgiving/test_shaking.py.
    """
    chance = random.Random(1)
    start = {name: dial.value for name, dial in panel.dials.items()}
    for _ in range(2):
        set_state(panel, {name: draw_value(dial, chance) for name, dial in panel.dials.items()})
        assert_speaks(panel)
    set_state(panel, start)
    assert not panel.fault
    moved = list(panel.dials)[:: max(1, len(panel.dials) // 4)]
    for name in moved:
        before = panel.dials[name].value
        panel.dials[name].value = draw_value(panel.dials[name], chance)
        if panel.fault:  # there is a picture to compare at the end
            panel.dials[name].value = before
    shows_what_a_fresh_one_shows(panel, fresh, f"after moving {moved}")


@seen()
def shows_what_a_fresh_one_shows(panel: Panel, fresh: Panel, when: str = "") -> None:
    """A panel that was moved says and draws what one that is new does; nothing of before is left."""
    set_state(fresh, {key: dial.value for key, dial in panel.dials.items()})
    assert fresh.sentence_text == panel.sentence_text
    for write in _WRITTEN.values():
        assert unnamed(write(panel.view)) == unnamed(write(fresh.view)), when
    assert fresh.view.still_key()[1:] == panel.view.still_key()[1:], "the limits of all axes"
    kept = panel.view.still_html()
    ElementTree.fromstring(kept)
    panel.view._stills.clear()
    assert panel.view.still_html() == kept, "a still part that was kept is as one drawn afresh"
    fresh.close()


def tile_colours(panel: Panel, axes: Axes) -> Callable[[int, int], tuple[int, int, int]]:
    """Call what comes back with column and row of a tile: red, green and blue near its corner, where no text
    is, in the current picture."""
    drawn = panel.view.pixels()

    def colour(column: int, row: int) -> tuple[int, int, int]:
        x, y = axes.transData.transform((column + 0.08, row + 0.12))
        red, green, blue = drawn[round(drawn.shape[0] - y), round(x), :3]
        return int(red), int(green), int(blue)

    return colour
