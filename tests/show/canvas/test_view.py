"""The two layers of a picture: what is in each, and that a kept text reads as one written afresh."""

from __future__ import annotations

import io
import itertools
import re

import matplotlib as mpl
import numpy as np
import pytest
from PIL import Image

from bladelab.show.canvas import layer
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.layer import Layer
from bladelab.show.canvas.view import View
from tests.show.bars import Bars, heights


def test_the_frame_holds_the_moving_artists_and_nothing_for_the_whole_page():
    view = Bars()
    view.show(heights(3.0, 4.0))
    frame = view.frame_html('say "this" & that')
    within = re.findall(r'<g clip-path="[^"]+">(.*?)</g>', frame, re.S)
    assert sum(group.count('style="fill: none') for group in within) == 2  # one line each
    assert ">present</text>" in frame and ">trial</text>" in frame
    assert "<style" not in frame and "<metadata" not in frame and "<?xml" not in frame
    assert 'aria-label="4.0 at most. say &quot;this&quot; &amp; that"' in frame
    assert frame.rstrip().endswith("</svg>")


def test_a_text_without_a_place_is_not_drawn():
    view = Bars()
    view.show(heights(3.0, 4.0))
    view.tag["trial"].set_position((float("nan"), 4.0))
    assert ">trial</text>" not in view.frame_html() and ">present</text>" in view.frame_html()


def test_an_image_without_a_size_is_not_drawn():
    drawn = Layer((100, 100), "one", {}, 1)
    drawn.draw_image(drawn.new_gc(), 0.0, 0.0, np.zeros((0, 5, 4), dtype=np.uint8))
    assert "<image" not in drawn.finished()


def test_what_is_kept_is_limited_and_a_picture_is_the_same(monkeypatch):
    def frames():
        view, drawn = Bars(), []
        for height in (3.0, 4.0, 3.0):
            view.show(heights(height, 1.0))
            drawn.append(without_names(view.frame_html()))
        return drawn

    kept = frames()
    for name, value in (("_MOST_WRITTEN", 1), ("_MOST_SIZES", 1), ("_styles", {}), ("_text_sizes", {})):
        monkeypatch.setattr(layer, name, value)
    assert frames() == kept and len(layer._styles) == len(layer._text_sizes) == 1


def without_names(svg: str) -> str:
    """The SVG without the names that differ from view to view."""
    return re.sub(r"#?\b[a-z][0-9a-f]{8}\b", "", svg)


class Words(View):
    """A text outside the axes, that moves with their limits, beside one inside."""

    def draw(self):
        self.axes = self.figure.add_axes((0.1, 0.2, 0.8, 0.6))
        self.aside = self.moving(self.axes.text(1, 0, "", clip_on=False))

    def update(self, words, right, **look):
        self.title(words.upper())
        self.axes.set_xlim(0, right)
        self.aside.set_text(words)
        plain = {"color": "black", "ha": "left", "va": "top", "rotation": 0, "fontsize": 9}
        self.aside.set(**(plain | {"alpha": None, "fontweight": "normal"} | look))
        self.aside.set_bbox({"facecolor": look.get("backgroundcolor", "white")})


def test_a_text_kept_from_the_last_frame_reads_as_one_written_afresh():
    states = [("one", 10), ("one", 10), ("two", 10), ("two", 20), ("one", 20), ("", 20), ("one", 10)]
    looks = [{}] * 7
    for look in ({"color": "red"}, {"ha": "right"}, {"va": "bottom"}, {"rotation": 30}, {"fontsize": 14},
                 {"alpha": 0.5}, {"backgroundcolor": "blue"}, {"fontweight": "bold"}):  # fmt: skip
        states.append(("one", 10))
        looks.append(look)
    old, plain = Words(), ""
    for number, ((words, right), look) in enumerate(zip(states, looks, strict=True)):
        old.update(words, right, **look)
        if number == 4:
            old.png()  # drawing elsewhere marks every artist as unchanged
        new = Words()
        new.update(words, right, **look)
        frames = [without_names(view.frame_html()) for view in (old, new)]
        assert frames[0] == frames[1], (words, right, look)
        if look:
            assert frames[1] != plain
        elif words == "one" and right == 10:
            plain = frames[1]


@pytest.mark.parametrize("size", [10, 23])
@pytest.mark.parametrize("weight", ["normal", "bold"])
def test_texts_stand_where_matplotlib_puts_them(monkeypatch, size, weight):
    words = ("lp", "0.35 mm", "toe", "–", "", "a<b & c", "Åß (|)", "two\nlines", "$x$", "12 $", "−20 %")
    looks = [
        {"ha": ha, "va": va, "rotation": turned, "fontsize": size, "fontweight": weight}
        for ha in ("left", "center", "right")
        for va in ("top", "center", "baseline", "bottom")
        for turned in (0, 30)
    ]
    looks += [{"bbox": {"facecolor": "white"}}, {"parse_math": False, "va": "top"}]

    def drawn() -> list[str]:
        view = Words()
        layer = Layer((view.width_px, view.height_px), "here", {}, 1)
        for look, said in itertools.product(looks, words):
            layer.add(view.figure.text(0.4, 0.3, said, **look))
        return re.split(r'( y="[-\d.]+")', layer.finished())

    ours = drawn()
    monkeypatch.setattr(Layer, "_like_lp", lambda layer, text, look: "")
    monkeypatch.delattr(Layer, "_get_font_height_metrics")
    theirs = drawn()
    assert len(ours) == len(theirs) > 2 * len(words) * len(looks) / 3
    assert ours[::2] == theirs[::2], "all but the heights: letters, look, place along the line"
    levels = [np.array([float(part[4:-1]) for part in parts[1::2]]) for parts in (ours, theirs)]
    assert np.abs(levels[0] - levels[1]).max() < 0.002 * size, "an l rises that much above its font's letters"


def test_the_still_part_holds_no_moving_artist():
    low, high = Bars(), Bars()
    low.show(heights(1.0, 2.0))
    high.show(heights(8.0, 9.0))
    assert without_names(low.still_html()) == without_names(high.still_html())
    assert "<path" in low.still_html()
    assert low.png() != high.png()
    assert all(artist.get_visible() for artist in high._moving)


def test_the_still_part_looks_the_same_wherever_the_settings_stand():
    view = Bars()
    first = without_names(view.still_html())
    with mpl.rc_context({"font.size": 30, "axes.facecolor": "red", "svg.fonttype": "path"}):
        assert without_names(Bars().still_html()) == first
        assert mpl.rcParams["font.size"] == 30  # and ours leak nowhere


def test_pictures_drawn_one_after_the_other_are_the_same_as_drawn_alone():
    view = Bars()
    for pair in ((3.0, 4.0), (4.0, 3.0), (30.0, 4.0), (3.0, 4.0)):
        view.show(heights(*pair))
        alone = np.asarray(Image.open(io.BytesIO(view.png(1.0))).convert("RGB"))
        view.png(2.0)  # a sharper one in between
        assert np.array_equal(view.pixels()[..., :3], alone)
    view.figure.axes[0].set_xlabel("new")
    view.still_changed()
    new = np.asarray(Image.open(io.BytesIO(view.png(1.0))).convert("RGB"))
    assert np.array_equal(view.pixels()[..., :3], new) and not np.array_equal(new, alone)


class Photo(View):
    """Axes with one scale both ways, which take the shape of what is shown in them."""

    def draw(self):
        self.axes = self.figure.add_axes((0.1, 0.2, 0.8, 0.6), aspect="equal")
        self.tag = self.moving(self.axes.text(2, 5, "here"))

    def update(self, wide):
        self.axes.set(xlim=(0, wide), ylim=(0, 10))


def test_what_moves_keeps_to_axes_that_change_their_shape():
    view = Photo()
    for wide in (10, 20, 10, 20):  # the still parts of both are kept after the first time
        view.update(wide)
        view.still_html()
        new = Photo()
        new.update(wide)
        new.png()  # drawn whole, by matplotlib
        assert without_names(view.frame_html()) == without_names(new.frame_html()), wide


class Markers(Drawing):
    """Square markers with a rim, at places of the axes."""

    places = np.array([(1.0, 2.0), (4.0, 5.0), (9.0, 7.5)])

    def draw(self):
        self.axes = self.figure.add_axes((0.1, 0.2, 0.8, 0.6))
        self.axes.set(xlim=(0, 10), ylim=(0, 10), xticks=(0, 5), yticks=(10,))
        look = {"marker": "s", "markersize": 8, "markeredgecolor": "#aa0000", "linestyle": "none"}
        self.moving(self.axes.plot(*self.places.T, color="#00aa00", **look)[0])


def corners(path: str) -> np.ndarray:
    return np.array(re.findall(r"[ML] ([-\d.]+) ([-\d.]+)", path), dtype=float)


def test_markers_and_ticks_stand_at_their_places():
    view = Markers()
    (drawn,) = re.findall(r'<path d="([^"]*)" style="fill: #00aa00; stroke: #aa0000', view.frame_html())
    squares = corners(drawn).reshape(len(view.places), -1, 2)
    wanted = view.axes.transData.transform(view.places) * (1, -1) + (0, view.height_px)
    middle = (squares.min(axis=1) + squares.max(axis=1)) / 2
    assert np.abs(middle - wanted).max() < 0.02
    assert np.abs(np.ptp(squares, axis=1) - 8).max() < 0.02
    ticks = [
        corners(path) for path in re.findall(r'<path d="([^"]*)" style="fill: #767676', view.still_html())
    ]
    starts = view.axes.transAxes.transform([(0, 0), (0.5, 0), (0, 1)]) * (1, -1) + (0, view.height_px)
    assert sorted(map(tuple, np.round(starts, 1))) == sorted(tuple(np.round(tick[0], 1)) for tick in ticks)


class Waves(Drawing):
    """A line and a filled outline with a rim, each of many points."""

    x = np.linspace(0, 10, 600)
    y = 5 + 3 * np.sin(x)

    def draw(self):
        self.axes = self.figure.add_axes((0.1, 0.2, 0.8, 0.6))
        self.axes.set(xlim=(0, 10), ylim=(0, 10))
        self.moving(self.axes.plot(self.x, self.y, color="#00aa00")[0])
        self.moving(self.axes.fill_between(self.x, self.y - 2, facecolor="#0000aa", edgecolor="#aa0000"))


def test_points_left_out_of_a_line_are_not_missed():
    view = Waves()
    line, filled = (
        re.search(rf'<path d="([^"]*)" style="{look}', view.frame_html())[1]
        for look in ("fill: none; stroke: #00aa00", "fill: #0000aa; stroke: #aa0000")
    )
    assert filled.endswith("z") and not line.endswith("z"), "an outline stays closed"
    for drawn, low in ((line, 0), (filled, 2)):
        full = view.axes.transData.transform(np.c_[view.x, view.y - low]) * (1, -1) + (0, view.height_px)
        kept = corners(drawn)
        assert len(kept) < len(full) / 3
        # The distance of each point from the nearest piece of the outline drawn.
        start, way = kept[:-1], np.diff(kept, axis=0)
        start, way = start[(way != 0).any(axis=1)], way[(way != 0).any(axis=1)]
        off = full[:, None] - start
        along = np.clip((off * way).sum(axis=2) / (way**2).sum(axis=1), 0, 1)
        missed = np.linalg.norm(off - along[..., None] * way, axis=2).min(axis=1)
        assert missed.max() < 0.1, "a tenth of a page pixel"
