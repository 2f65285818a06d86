"""A view: one persistent figure, drawn once, of which a slider moves only a few artists.

How a frame travels. Both layers of a panel are drawn by matplotlib's own SVG renderer: the still parts (axes,
ticks, grid, fixed labels) once, and the moving artists of every frame as a second fragment that the browser
lays exactly over them. Both come from the same artists of the same figure, and so does every saved picture: a
picture is defined in one place.

The figure has 72 dots per inch, so that one point of matplotlib is one pixel of the page.
"""

from __future__ import annotations

import base64
import html
import io
import zlib
from functools import cache
from math import isfinite
from typing import IO, Any, TypeVar

from matplotlib._path import convert_to_string  # type: ignore[attr-defined]
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.text import Text
from matplotlib.transforms import IdentityTransform

from bladelab.show.style import style_context

_DPI = 72
#: Dots per page pixel of a still image within a picture (sharp on a screen that magnifies), and of one that
#: moves (quick to send).
_STILL_DOTS, _MOVING_DOTS = 2, 1

SomeArtist = TypeVar("SomeArtist", bound=Artist)


class View:
    """One picture that moves. Subclass it, and give it `draw` and `update`.

    Attributes
    ----------
    width_px, height_px : int
        The fixed size of the picture on the page. The page shrinks it where there is less room.
    figure : matplotlib.figure.Figure
        The one persistent figure.
    headline : matplotlib.text.Text
        The finding, at the top left. It moves; `draw` may move it elsewhere.
    """

    width_px: int = 920
    height_px: int = 420

    def __init__(self) -> None:
        self.figure = Figure(figsize=(self.width_px / _DPI, self.height_px / _DPI), dpi=_DPI)
        FigureCanvasAgg(self.figure)
        self.rebuild()

    # For the author of a picture ------------------------------------------------------------------------

    def draw(self) -> None:
        """Make all axes and artists, once. Wrap in `moving` each artist that `update` will change."""
        raise NotImplementedError

    def update(self, **results: Any) -> None:
        """Move the artists to show `results`. Set data, texts and visibility; make no new artists."""
        raise NotImplementedError

    def moving(self, artist: SomeArtist) -> SomeArtist:
        """Declare an artist as one that `update` changes. Moving artists lie above all still ones."""
        self._moving.append(artist)
        artist.set_zorder(artist.get_zorder() + 100)
        return artist

    def title(self, finding: str) -> None:
        """Set the headline: say what the picture shows, not what it is."""
        self.headline.set_text(finding)

    def still_changed(self) -> None:
        """Say that a still part changed (a tick label, say). New axis limits are noticed without this."""
        self._still_edition += 1

    # For the panel --------------------------------------------------------------------------------------

    def rebuild(self) -> None:
        """Throw all artists away and `draw` again: after a change of the units, for one."""
        self._moving: list[Artist] = []
        self._still_edition = getattr(self, "_still_edition", 0) + 1
        self._texts: _Written = {}
        self.figure.clear()
        with style_context():
            self.headline = self.moving(self._headline())
            self.draw()

    def still_key(self) -> tuple[object, ...]:
        """A value that changes whenever the still part has to be drawn and sent again."""
        limits = tuple((*axes.get_xlim(), *axes.get_ylim()) for axes in self.figure.axes)
        return (self._still_edition, limits)

    def still_html(self) -> str:
        """The still part, as an inline ``<svg>`` (and the type face for all texts, as a ``<style>``)."""
        shown = [artist.get_visible() for artist in self._moving]
        for artist in self._moving:
            artist.set_visible(False)
        try:
            layer = _Layer(self, {}, _STILL_DOTS)
            with style_context():
                self.figure.draw(layer)
        finally:
            for artist, visible in zip(self._moving, shown, strict=True):
                artist.set_visible(visible)
        return _type_face() + layer.finished('aria-hidden="true"')

    def frame_html(self, text_equivalent: str = "") -> str:
        """The moving artists as they stand, as an inline ``<svg>`` to lie over `still_html`.

        Parameters
        ----------
        text_equivalent : str
            What a screen reader says in place of the picture; the headline is put before it.
        """
        layer = _Layer(self, self._texts, _MOVING_DOTS)
        for artist in sorted(self._moving, key=lambda artist: artist.get_zorder()):
            if artist.axes is None or artist.axes.get_visible():
                layer.add(artist)
        words = html.escape(f"{self.headline.get_text()}. {text_equivalent}".strip(), quote=True)
        return layer.finished(f'role="img" aria-label="{words}"')

    # For files ------------------------------------------------------------------------------------------

    def size(self) -> dict[str, int]:
        """Width and height on the page, px, as the metadata of an image in a notebook."""
        return {"width": self.width_px, "height": self.height_px}

    def png(self, sharpness: float = 1.5) -> bytes:
        """The whole picture as a PNG, `sharpness` dots to each page pixel."""
        return self._png(sharpness)

    def write(self, file: IO[bytes], form: str) -> None:
        """Write the whole picture to an open binary file.

        Parameters
        ----------
        file : binary file
        form : {"png", "svg", "pdf"}
        """
        undated = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}.get(form)
        with style_context(svg_fonttype="path"):
            self.figure.savefig(file, format=form, dpi=3 * _DPI, metadata=undated)

    # Inside ---------------------------------------------------------------------------------------------

    def _headline(self) -> Text:
        place = (8 / self.width_px, 1 - 8 / self.height_px)
        return self.figure.text(*place, "", ha="left", va="top", fontsize=14, fontweight="bold")

    def _png(self, sharpness: float) -> bytes:
        canvas = self.figure.canvas
        assert isinstance(canvas, FigureCanvasAgg)
        self.figure.set_dpi(sharpness * _DPI)
        try:
            buffer = io.BytesIO()
            with style_context():
                canvas.print_png(buffer, metadata={"Software": None})
        finally:
            self.figure.set_dpi(_DPI)
        return buffer.getvalue()


class Drawing(View):
    """A picture that does not move, for the prose of a notebook. Subclass it; give it `draw` and `words`.

    Attributes
    ----------
    words : str
        What the picture shows, for a reader who can't see it.
    """

    words: str = ""

    def update(self, **results: Any) -> None:
        """Nothing moves."""

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict[str, str], dict[str, Any]]:
        return {"image/png": _base64(self.png()), "text/plain": self.words}, {"image/png": self.size()}


#: A text as it was last written: what it said and how, and the SVG of it at the corner of the figure.
_Written = dict[Text, tuple[tuple[object, ...], str]]


class _Layer(RendererSVG):
    """The SVG renderer, for a fragment that lies on a page: short, and quick to write again.

    Parameters
    ----------
    view : View
    texts : dict
        Texts are slow to set, and most stay from frame to frame or only move: the layer keeps here how it
        wrote each, and takes it from here.
    dots : int
        Of an image, per page pixel.
    """

    def __init__(self, view: View, texts: _Written, dots: int) -> None:
        self._view, self._buffer, self._known = view, io.StringIO(), texts
        super().__init__(view.width_px, view.height_px, self._buffer, image_dpi=_DPI, metadata={"Date": None})

    def add(self, artist: Artist) -> None:
        """Draw one artist above those before it."""
        if type(artist) is not Text:
            artist.draw(self)
        elif artist.get_visible() and artist.get_text():
            x, y = artist.get_transform().transform(artist.get_unitless_position())
            if not isfinite(x + y):
                return
            look = _look(artist)
            if self._known.get(artist, (None,))[0] != look:
                self._known[artist] = (look, self._at_corner(artist))
            clip = self.new_gc()
            artist._set_gc_clip(clip)  # type: ignore[attr-defined]
            within = "".join(f' {name}="{value}"' for name, value in self._get_clip_attrs(clip).items())
            written, place = self._known[artist][1], f"translate({x:.2f} {-y:.2f})"
            self.writer.flush()
            self._buffer.write(f'<g{within}><g transform="{place}">{written}</g></g>\n')

    def finished(self, attributes: str) -> str:
        """The fragment: an ``<svg>`` with these attributes."""
        self.finalize()
        # What the renderer writes before the first artist is for a file of its own: a header, metadata, and a
        # rule for every element of the document, which would leak out of our picture into the whole page.
        text = self._buffer.getvalue()
        body = text[text.index("</defs>", text.index("</metadata>")) + len("</defs>") :]
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
            f'viewBox="0 0 {self.width:.0f} {self.height:.0f}" '
            f'style="stroke-linejoin:round;stroke-linecap:butt" {attributes}>{body}'
        )

    def _at_corner(self, text: Text) -> str:
        """A text as SVG, drawn at the lower left corner of the figure."""
        writer, place, transform = self.writer, text.get_position(), text.get_transform()
        clipped = text.get_clip_on()
        alone = io.StringIO()
        self.writer = type(writer)(alone)
        text.set_position((0, 0))
        text.set_transform(IdentityTransform())
        text.set_clip_on(False)
        try:
            text.draw(self)
            self.writer.flush()
        finally:
            self.writer = writer
            text.set_clip_on(clipped)
            text.set_transform(transform)
            text.set_position(place)
        return alone.getvalue()

    # Groups would only name artists, and say nothing on a page.

    def open_group(self, s: str, gid: str | None = None) -> None:
        """Write no group."""

    def close_group(self, s: str) -> None:
        """Write no group."""

    # The same in every frame, another in every panel of the page; and texts not as outlines.

    def _make_id(self, type: str, content: object) -> str:
        return f"{type}{zlib.crc32(f'{id(self._view)} {content}'.encode()):08x}"

    _draw_text_as_path = RendererSVG._draw_text_as_text

    def _convert_path(
        self, path: Any, transform: Any = None, clip: Any = None, simplify: Any = None, sketch: Any = None
    ) -> str:
        # To a hundredth of a page pixel; the renderer itself writes places to a millionth, ten times as long.
        frame = (0.0, 0.0, self.width, self.height) if clip else None
        commands = [b"M", b"L", b"Q", b"C", b"z"]
        text: bytes = convert_to_string(path, transform, frame, simplify, sketch, 2, commands, False)
        return text.decode("ascii")

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> Any:
        """Width, height and descent of a text, points."""
        known = _text_sizes.get(key := (s, hash(prop), ismath))
        if known is None:
            if len(_text_sizes) > 5000:
                _text_sizes.clear()
            known = _text_sizes[key] = super().get_text_width_height_descent(s, prop, ismath)
        return known


def _look(text: Text) -> tuple[object, ...]:
    """All of a text that its SVG depends on, but its place."""
    box = text.get_bbox_patch()
    behind = box and (box.get_facecolor(), box.get_edgecolor(), box.get_linewidth(), box.get_alpha())
    font = hash(text.get_fontproperties())
    at = (
        text.get_horizontalalignment(),
        text.get_verticalalignment(),
        text.get_rotation(),
        text.get_rotation_mode(),
    )
    return (text.get_text(), text.get_color(), text.get_alpha(), font, *at, behind)


_text_sizes: dict[tuple[str, int, Any], Any] = {}


def _base64(data: bytes) -> str:
    return base64.b64encode(data).decode("ascii")


@cache
def _type_face() -> str:
    """A CSS rule that gives the page matplotlib's type face, cut to the letters our pictures use.

    Moving texts are laid out by matplotlib with the metrics of this face; without it the browser would set
    them in another, and each label would end somewhere else.
    """
    from fontTools import subset  # type: ignore[import-untyped]
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    letters = [*range(32, 127), *map(ord, "°µ²³·×±÷¼½¾⅛⅜⅝⅞–—−“”‘’…←→↑↓≈≤≥φθρκΔ")]
    rules = []
    for weight in ("normal", "bold"):
        options = subset.Options(layout_features=["kern"], hinting=False)
        options.drop_tables += ["FFTM"]
        font = TTFont(findfont(FontProperties(family="DejaVu Sans", weight=weight)), lazy=True)
        cutter = subset.Subsetter(options)
        cutter.populate(unicodes=letters)
        cutter.subset(font)
        font.flavor = "woff"
        buffer = io.BytesIO()
        font.save(buffer)
        rules.append(
            f'@font-face{{font-family:"DejaVu Sans";font-weight:{weight};'
            f"src:url(data:font/woff;base64,{_base64(buffer.getvalue())})}}"
        )
    return f"<style>{''.join(rules)}</style>"
