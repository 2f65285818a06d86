"""The SVG of a picture's layers: matplotlib's own renderer, for a fragment that lies on a page."""

from __future__ import annotations

import io
import re
import zlib
from math import isfinite
from typing import Any, TypeAlias
from xml.sax.saxutils import escape

import matplotlib as mpl
import numpy as np
from matplotlib.artist import Artist
from matplotlib.backend_bases import GraphicsContextBase
from matplotlib.backends import backend_svg
from matplotlib.backends.backend_svg import RendererSVG
from matplotlib.colors import rgb2hex
from matplotlib.font_manager import FontProperties
from matplotlib.path import Path
from matplotlib.text import Text
from matplotlib.transforms import IdentityTransform, Transform
from matplotlib.typing import ColorType

from bladelab.show.canvas.fragment import image_in_letters, look_of
from bladelab.show.canvas.text_lines import TypeHeight, type_height

#: Width, height and descent of a text, points.
_Size: TypeAlias = tuple[float, float, float]
#: One dot is one pixel of the page, and one point of matplotlib.
DPI = 72

#: How far a point that is left out may lie from the line without it, page pixels.
TOLERANCE_PX = 0.08
#: A line of so few points keeps them all.
_FEW = 8

#: What the layer does its own way under names that matplotlib keeps to itself, and may change in any release:
#: matplotlib would not call ours under another name, and the picture would be drawn, but wrongly.
PRIVATE_NAMES = (
    "_convert_path",
    "_draw_text_as_path",
    "_get_clip_attrs",
    "_get_style",
    "_get_style_dict",
    "_make_id",
)

#: Texts as they were written: by what one says and how it looks, the SVG of it at the corner of the figure.
Written = dict[tuple[object, ...], str]
_MOST_WRITTEN = 2000
_MOST_SIZES = 5000


class Layer(RendererSVG):
    """The SVG renderer, for a fragment that lies on a page: short, and quick to write again.

    Parameters
    ----------
    size : (int, int)
        Of the figure, px.
    name : str
        Distinguishes it from the other pictures on the page.
    texts : dict
        Texts are slow to set, and most stay from frame to frame, only move, or come back: the layer keeps
        here how it wrote each, and takes it from here.
    dots : int
        Of an image, per page pixel.

    Raises
    ------
    NotImplementedError
        If this release of matplotlib has none of a name in `PRIVATE_NAMES`.
    """

    def __init__(self, size: tuple[int, int], name: str, texts: Written, dots: int) -> None:
        if missing := [name for name in PRIVATE_NAMES if not hasattr(RendererSVG, name)]:
            raise NotImplementedError(f"matplotlib {mpl.__version__} has no RendererSVG.{missing[0]}")
        self._name, self._buffer, self._known = name, io.StringIO(), texts
        self._clip: dict[str, str] = {}  # that of the group being written
        self._matrices: dict[int, tuple[Transform, list[list[float]] | None]] = {}
        super().__init__(*size, self._buffer, image_dpi=dots * DPI, metadata={"Date": None})

    def add(self, artist: Artist) -> None:
        """Draw one artist above those before it."""
        if type(artist) is not Text:
            artist.draw(self)
        elif artist.get_visible() and artist.get_text():
            x, y = self._place(artist)
            if not isfinite(x + y):
                return
            look = look_of(artist)
            written = self._known.get(look)
            if written is None:
                if len(self._known) >= _MOST_WRITTEN:
                    self._known.clear()
                written = self._known[look] = self._like_lp(artist, look) or self._at_corner(artist)
            if artist.get_clip_on():
                clip = self.new_gc()
                artist._set_gc_clip(clip)  # type: ignore[attr-defined]
                self._get_clip_attrs(clip)
            else:
                self._clip_to({})
            if written.startswith("<text") and (at := _UPRIGHT.search(written)):
                # Each transform is one thing more for the browser to paint apart: it is given places instead.
                # Texts of several lines, and turned ones, come with transforms of their own.
                there = f' x="{float(at[1]) + x:.2f}" y="{float(at[2]) - y:.2f}"'
                moved = written[: at.start()] + there + written[at.end() :]
            else:
                moved = f'<g transform="translate({x:.2f} {-y:.2f})">{written}</g>'
            self._buffer.write(f"{moved}\n")

    def finished(self) -> str:
        """What was drawn, to lie within the ``<svg>`` of `fragment`."""
        self._clip_to({})
        self.finalize()
        # What the renderer writes before the first artist is for a file of its own: a header, metadata, and a
        # rule for every element of the document, which would leak out of our picture into the whole page.
        text = self._buffer.getvalue()
        start = text.index("</defs>", text.index("</metadata>")) + len("</defs>")
        return _UPRIGHT.sub(r' x="\1" y="\2"', text[start : text.rindex("</svg>")])

    def _place(self, text: Text) -> tuple[float, float]:
        """Where a text goes, px; many share the same axes, whose transform is computed once."""
        transform = text.get_transform()
        if id(transform) not in self._matrices:
            matrix = transform.get_matrix().tolist() if transform.is_affine else None
            self._matrices[id(transform)] = transform, matrix  # kept, so that no other gets its id
        _, matrix = self._matrices[id(transform)]
        x, y = text.get_unitless_position()
        if matrix is None:
            x, y = transform.transform((x, y))
            return x, y
        (xx, xy, x0), (yx, yy, y0), _ = matrix
        return xx * x + xy * y + x0, yx * x + yy * y + y0

    def _at_corner(self, text: Text) -> str:
        """A text as SVG, drawn at the lower left corner of the figure."""
        writer, place, transform = self.writer, text.get_position(), text.get_transform()
        clipped, group = text.get_clip_on(), self._clip
        alone = io.StringIO()
        self.writer, self._clip = type(writer)(alone), {}
        text.set_position((0, 0))
        text.set_transform(IdentityTransform())
        text.set_clip_on(False)
        try:
            text.draw(self)
            self.writer.flush()
        finally:
            self.writer, self._clip = writer, group
            text.set_clip_on(clipped)
            text.set_transform(transform)
            text.set_position(place)
        return alone.getvalue()

    def _like_lp(self, text: Text, look: tuple[object, ...]) -> str:
        """A text as SVG, as "lp" of this look is written but for the letters; "" where more would differ.

        To set each new text, to measure it, takes a millisecond, and most texts of a frame show new numbers.
        """
        said = text.get_text()
        if text.get_bbox_patch() or text.get_rotation() or not self._is_low(said, text.get_fontproperties()):
            return ""
        lp = ("lp", *look[1:])
        if lp not in self._known:
            text.set_text("lp")
            try:
                self._known[lp] = self._at_corner(text)
            finally:
                text.set_text(said)
        return self._known[lp].replace(">lp<", f">{escape(said)}<")

    def _is_low(self, said: str, font: FontProperties) -> bool:
        """Whether a text is one line without mathematics, of letters that rise no higher than an l and hang
        no lower than a p: matplotlib then places it as it places "lp", to a fiftieth of a pixel."""
        known = _low_letters.setdefault(hash(font), {"\n": False, "$": False})
        for letter in set(said) - known.keys():
            _, height, below = self.get_text_width_height_descent(letter, font, False)
            _, most, lowest = self.get_text_width_height_descent("lp", font, False)
            known[letter] = below <= lowest and height - below <= most - lowest
        return all(known[letter] for letter in said)

    # Groups would only name artists, and say nothing on a page.

    def open_group(self, s: str, gid: str | None = None) -> None:
        """Write no group."""

    def close_group(self, s: str) -> None:
        """Write no group."""

    # Quicker to write, and for the browser to read and to paint: it paints each clip and each opacity of an
    # element apart, so that neighbours share one clip, and an opacity goes into the colours.

    def _clip_to(self, wanted: dict[str, str]) -> None:
        if wanted != self._clip:
            # The writer would leave its tag open until it writes the next.
            attributes = "".join(f' {name}="{value}"' for name, value in wanted.items())
            self._buffer.write(("</g>\n" if self._clip else "") + (f"<g{attributes}>\n" if wanted else ""))
            self._clip = wanted

    def _get_clip_attrs(self, gc: GraphicsContextBase) -> dict[str, str]:
        """Begin the group with this clip, if it is not the one being written; the element itself has none."""
        self._clip_to(super()._get_clip_attrs(gc))
        return {}

    def _get_style_dict(self, gc: GraphicsContextBase, rgbFace: ColorType | None) -> dict[str, str]:
        style = super()._get_style_dict(gc, rgbFace)
        if opacity := style.pop("opacity", None):
            style |= {"fill-opacity": opacity, "stroke-opacity": opacity}
        return style

    def draw_markers(
        self,
        gc: GraphicsContextBase,
        marker_path: Path,
        marker_trans: Transform,
        path: Path,
        trans: Transform,
        rgbFace: ColorType | None = None,
    ) -> None:
        """Draw opaque markers of one look as one path, others as the renderer does, an element each."""
        edge, face = tuple(gc.get_rgb()), None if rgbFace is None else tuple(rgbFace)
        opaque = all(colour is None or colour[3:] in ((), (1.0,)) for colour in (edge, face))
        if not opaque or gc.get_alpha() not in (None, 1.0) or gc.get_hatch() is not None:
            super().draw_markers(gc, marker_path, marker_trans, path, trans, rgbFace)
            return
        places = trans.transform(path.vertices)
        places = places[np.isfinite(places).all(axis=1)]
        if not len(places):
            return
        if rgbFace is not None and marker_path is Path.unit_circle() and face == edge:
            self._get_clip_attrs(gc)
            # Dots of one colour are lines of no length with round ends.
            size = 2 * marker_trans.get_matrix()[0, 0] + gc.get_linewidth()
            self.writer.element(
                "path",
                d="".join(f"M{x:.2f} {self.height - y:.2f}h0" for x, y in places),
                style=f"fill:none;stroke:{rgb2hex(rgbFace)};stroke-width:{size:.2f};stroke-linecap:round",
            )
            return
        one = marker_trans.transform_path(marker_path)
        all_of_them = Path.make_compound_path(*(Path(one.vertices + place, one.codes) for place in places))
        all_of_them.should_simplify = False
        self.draw_path(gc, all_of_them, IdentityTransform(), rgbFace)

    def draw_image(self, gc: GraphicsContextBase, x: float, y: float, im: Any, transform: Any = None) -> None:
        """Draw an image; packed lightly, which is several times quicker."""
        assert transform is None, "only a renderer that scales images itself is given one with a transform"
        height, width = (side * DPI / self.image_dpi for side in im.shape[:2])
        if not width * height:
            return
        # It comes lowest row first; a file, like the fragment, begins at the top.
        code = image_in_letters(im[::-1].tobytes(), im.shape)
        self._get_clip_attrs(gc)
        self.writer.element(
            "image",
            x=f"{x:.2f}",
            y=f"{self.height - y - height:.2f}",
            width=f"{width:.2f}",
            height=f"{height:.2f}",
            attrib={"xlink:href": f"data:image/png;base64,{code}"},
        )

    def _get_style(self, gc: Any, rgbFace: ColorType | None) -> str:
        offset, dashes = gc.get_dashes()
        line = (gc.get_rgb(), gc.get_linewidth(), gc.get_joinstyle(), gc.get_capstyle(), offset)
        fill = None if rgbFace is None else tuple(rgbFace)
        alpha = (gc.get_forced_alpha(), gc.get_alpha(), gc.get_hatch())
        key = (fill, *line, None if dashes is None else tuple(dashes), *alpha)
        known = _styles.get(key)
        if known is None or gc.get_hatch() is not None:  # a hatch is written into each layer
            if len(_styles) >= _MOST_WRITTEN:
                _styles.clear()
            known = _styles[key] = super()._get_style(gc, rgbFace)
        return known

    # The same in every frame, another in every panel of the page; and texts not as outlines.

    def _make_id(self, type: str, content: object) -> str:
        return f"{type}{zlib.crc32(f'{self._name} {content}'.encode()):08x}"

    def _draw_text_as_path(self, *text: object, **look: object) -> None:
        self._draw_text_as_text(*text, **look)

    def _convert_path(
        self, path: Any, transform: Any = None, clip: Any = None, simplify: Any = None, sketch: Any = None
    ) -> str:
        # To a hundredth of a page pixel; the renderer itself writes places to a millionth, ten times as long.
        frame = (0.0, 0.0, self.width, self.height) if clip else None
        commands = [b"M", b"L", b"Q", b"C", b"z"]
        # Points that nobody would miss are left out; matplotlib does so only for lines of very many.
        shorter = len(path) > _FEW and (path.codes is None or bool((path.codes[1:-1] == Path.LINETO).all()))
        if shorter:
            path.simplify_threshold = TOLERANCE_PX
        text: bytes = backend_svg._path.convert_to_string(  # type: ignore[attr-defined]
            path, transform, frame, shorter, sketch, 2, commands, False
        )
        # It then forgets to close what was closed.
        again = "z" if shorter and path.codes is not None and path.codes[-1] == Path.CLOSEPOLY else ""
        return text.decode("ascii") + again

    def get_text_width_height_descent(self, s: str, prop: FontProperties, ismath: Any) -> _Size:
        """Width, height and descent of a text, points."""
        known = _text_sizes.get(key := (s, hash(prop), ismath))
        if known is None:
            if len(_text_sizes) >= _MOST_SIZES:
                _text_sizes.clear()
            known = _text_sizes[key] = super().get_text_width_height_descent(s, prop, ismath)
        return known

    def _get_font_height_metrics(self, prop: FontProperties) -> TypeHeight:
        """What matplotlib 3.11 would else read from the font's file for each text, which takes longer than to
        lay it out."""
        return type_height(prop)


# The place of a text that is not turned, as the renderer writes it.
_UPRIGHT = re.compile(r' x="(-?[\d.]+)" y="(-?[\d.]+)" transform="rotate\(-0 [^"]*"')

_text_sizes: dict[tuple[str, int, object], _Size] = {}
_low_letters: dict[int, dict[str, bool]] = {}
_styles: dict[tuple[object, ...], str] = {}
