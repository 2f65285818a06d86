"""A view: one persistent figure, drawn once, of which a slider moves only a few artists.

How a frame travels. The still parts (axes, ticks, grid, fixed labels) are drawn by Agg and go to the browser
once, as a PNG. The moving artists of every frame are drawn by matplotlib's own SVG renderer and go as a
fragment of SVG that the browser lays exactly over the still PNG. Both come from the same artists of the same
figure, and so does every saved picture: a picture is defined in one place.

The figure has 72 dots per inch, so that one point of matplotlib is one pixel of the page.
"""

from __future__ import annotations

import base64
import html
import io
import re
from functools import cache
from typing import IO, Any, TypeVar

import matplotlib as mpl
from matplotlib.artist import Artist
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.figure import Figure
from matplotlib.font_manager import FontProperties, findfont
from matplotlib.text import Text

from bladelab.show.style import style_context

_DPI = 72
#: Dots per page pixel of the still part: sharp on a screen that magnifies.
_SHARPNESS = 2.0

# The renderer writes places to a millionth of a page pixel; a hundredth is plenty, and travels faster.
_PATH = re.compile(r' d="[^"]*"')
_LONG = re.compile(r"(\.\d\d)\d+")

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
        self._forget_texts()
        self.figure.clear()
        with style_context():
            self.headline = self.moving(self._headline())
            self.draw()

    def still_key(self) -> tuple[object, ...]:
        """A value that changes whenever the still part has to be drawn and sent again."""
        limits = tuple((*axes.get_xlim(), *axes.get_ylim()) for axes in self.figure.axes)
        return (self._still_edition, limits)

    def still_html(self) -> str:
        """The still part, as an HTML ``<img>`` (and the type face for the moving texts, as a ``<style>``)."""
        shown = [artist.get_visible() for artist in self._moving]
        for artist in self._moving:
            artist.set_visible(False)
        try:
            png = self._png(_SHARPNESS)
        finally:
            for artist, visible in zip(self._moving, shown, strict=True):
                artist.set_visible(visible)
        return f'{_type_face()}<img alt="" draggable="false" src="data:image/png;base64,{_base64(png)}">'

    def frame_html(self, text_equivalent: str = "") -> str:
        """The moving artists as they stand, as an inline ``<svg>`` to lie over `still_html`.

        Parameters
        ----------
        text_equivalent : str
            What a screen reader says in place of the picture; the headline is put before it.
        """
        buffer = io.StringIO()
        with mpl.rc_context({"svg.fonttype": "none", "svg.hashsalt": f"view {id(self)}"}):
            renderer = _Layer(self.width_px, self.height_px, buffer, image_dpi=_DPI, metadata={"Date": None})
            # Texts are slow to set, and most stay from frame to frame: those are kept as they were written.
            if self._texts_of != (key := self.still_key()):
                self._forget_texts(key)
            for artist in sorted(self._moving, key=lambda artist: artist.get_zorder()):
                if artist.axes is not None and not artist.axes.get_visible():
                    continue
                if not isinstance(artist, Text) or artist.get_clip_on():
                    artist.draw(renderer)
                elif artist.get_visible():
                    if artist.stale or artist not in self._texts:
                        self._texts[artist] = renderer.written(artist)
                    renderer.writer.flush()
                    buffer.write(self._texts[artist])
            renderer.finalize()
        # What the renderer writes before the first artist is for a file of its own: a header, metadata, and a
        # rule for every element of the document, which would leak out of our picture into the whole page.
        text = buffer.getvalue()
        body = text[text.index("</defs>", text.index("</metadata>")) + len("</defs>") :]
        body = _PATH.sub(lambda path: _LONG.sub(r"\1", path[0]), body)
        words = html.escape(f"{self.headline.get_text()}. {text_equivalent}".strip(), quote=True)
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" role="img" '
            f'viewBox="0 0 {self.width_px} {self.height_px}" '
            f'style="stroke-linejoin:round;stroke-linecap:butt" aria-label="{words}">{body}'
        )

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
        self._forget_texts()
        with style_context(svg_fonttype="path"):
            self.figure.savefig(file, format=form, dpi=3 * _DPI, metadata=undated)

    # Inside ---------------------------------------------------------------------------------------------

    def _forget_texts(self, key: tuple[object, ...] = ()) -> None:
        """Write all texts of the next frame anew: one drawn elsewhere no longer says that it changed."""
        self._texts: dict[Text, str] = {}
        self._texts_of = key

    def _headline(self) -> Text:
        place = (8 / self.width_px, 1 - 8 / self.height_px)
        return self.figure.text(*place, "", ha="left", va="top", fontsize=14, fontweight="bold")

    def _png(self, sharpness: float) -> bytes:
        canvas = self.figure.canvas
        assert isinstance(canvas, FigureCanvasAgg)
        self._forget_texts()
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


class _Layer(RendererSVG):
    """The SVG renderer, which here remembers how large each text is: most stay from frame to frame."""

    _named = True

    def written(self, text: Text) -> str:
        """Return a text as SVG. Its groups bear no number, so that it reads the same in any frame."""
        whole, self._named = self.writer, False
        alone = io.StringIO()
        self.writer = type(whole)(alone)
        try:
            text.draw(self)
            self.writer.flush()
        finally:
            self.writer, self._named = whole, True
        return alone.getvalue()

    def open_group(self, s: str, gid: str | None = None) -> None:
        """Open a group of elements; a numbered one, outside a text written by itself."""
        if self._named:
            super().open_group(s, gid)
        else:
            self.writer.start("g")

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> Any:
        """Width, height and descent of a text, points."""
        known = _text_sizes.get(key := (s, hash(prop), ismath))
        if known is None:
            if len(_text_sizes) > 5000:
                _text_sizes.clear()
            known = _text_sizes[key] = super().get_text_width_height_descent(s, prop, ismath)
        return known


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
