"""A view: one persistent figure, drawn once, of which a slider moves only a few artists.

How a frame travels. Both layers of a panel are drawn by matplotlib's own SVG renderer: the still parts (axes,
ticks, grid, fixed labels) once, and the moving artists of every frame as a second fragment that the browser
lays exactly over them. Both come from the same artists of the same figure, and so does every saved picture: a
picture is defined in one place.

The figure has 72 dots per inch, so that one point of matplotlib is one pixel of the page.
"""

from __future__ import annotations

import io
from abc import ABC, abstractmethod
from collections.abc import Iterator
from contextlib import contextmanager
from typing import IO, Any, Generic, TypeVar

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.collections import FillBetweenPolyCollection
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon
from matplotlib.text import Text
from numpy.typing import NDArray

from bladelab.show.canvas.fallback import svg_or_image
from bladelab.show.canvas.footer import write_figure
from bladelab.show.canvas.fragment import fragment, picture_fragment
from bladelab.show.canvas.layer import DPI, Layer, Written
from bladelab.show.canvas.narrow import NARROW_PX, headline_lines, say_exaggerations, stack_axes
from bladelab.show.canvas.result import SomeResult
from bladelab.show.canvas.style import QUIET, label, style_context
from bladelab.show.wording.words import ended

#: Dots per page pixel of a still image within a picture (sharp on a screen that magnifies), and of one that
#: moves (quick to send).
_STILL_DOTS, _MOVING_DOTS = 2, 1

#: Drawings kept of each still axes: a slider that moves to and fro over an axis limit finds them again.
_STILLS_KEPT = 8

SomeArtist = TypeVar("SomeArtist", bound=Artist)


class View(ABC, Generic[SomeResult]):
    """One picture that moves. Subclass it for a type of result, and give it `draw` and `update`.

    Attributes
    ----------
    width_px, height_px : int
        The fixed size of the picture on the page. The page shrinks it where there is less space.
    figure : matplotlib.figure.Figure
        The one persistent figure.
    headline : matplotlib.text.Text
        The finding, at the top left. It moves; `draw` may move it elsewhere.
    ice_name : matplotlib.text.Text
        Which ice the numbers are for, at the bottom left.
    narrow : bool
        Whether it is laid out for a phone (see `lay_out`).
    """

    width_px: int = 920
    height_px: int = 420
    narrow = False

    def __init__(self) -> None:
        self.figure = Figure(figsize=(self.width_px / DPI, self.height_px / DPI), dpi=DPI)
        self._canvas = FigureCanvasAgg(self.figure)
        self.rebuild()

    # For the author of a picture ------------------------------------------------------------------------

    @abstractmethod
    def draw(self) -> None:
        """Make all axes and artists, once. Wrap in `moving` each artist that `update` will change."""

    @abstractmethod
    def update(self, result: SomeResult, /) -> None:
        """Move the artists to show a result."""

    def stack_up(self) -> None:
        """Turn what `draw` has drawn into a narrow picture. Override it for one that can't be stacked."""
        size = (self.width_px, self.height_px)
        self.width_px, self.height_px = NARROW_PX, stack_axes(self.figure, size, self.headline)

    def show(self, result: SomeResult) -> None:
        """Move the artists to show a result, and set the headline to its finding."""
        self.update(result)
        self.title(result.finding)
        self.ice_name.set_text(result.ice)

    def new_line(self, axes: Axes, **look: Any) -> Line2D:
        """A line that moves, empty until `update` gives it data."""
        return self.moving(axes.plot([], [], **look)[0])

    def new_level(self, axes: Axes, **look: Any) -> Line2D:
        """A level line across the axes, which moves up and down."""
        return self.moving(axes.axhline(0, **look))

    def new_upright(self, axes: Axes, **look: Any) -> Line2D:
        """A line from the bottom of the axes to the top, which moves to and fro."""
        return self.moving(axes.axvline(0, **look))

    def new_polygon(self, axes: Axes, **look: Any) -> Polygon:
        """A polygon that moves, empty until it is given its corners."""
        patch = Polygon(np.zeros((1, 2)), **look)
        axes.add_patch(patch)
        return self.moving(patch)

    def new_area(self, axes: Axes, **look: Any) -> FillBetweenPolyCollection:
        """A filled area that moves, without an outline."""
        return self.moving(axes.fill_between([0, 1], 0, 0, **{"linewidth": 0, **look}))

    def new_text(self, axes: Axes, text: str = "", x: float = 0.0, y: float = 0.0, **look: Any) -> Text:
        """A direct label that moves."""
        return self.moving(label(axes, x, y, text, **look))

    def moving(self, artist: SomeArtist) -> SomeArtist:
        """Declare an artist as one that `update` changes. Moving artists lie above all still ones."""
        self._moving.append(artist)
        artist.set_zorder(artist.get_zorder() + 100)
        return artist

    def stack(self, left: float, width: float, *places: tuple[float, float]) -> list[Axes]:
        """Axes one below the other, each at (bottom, height), that share what runs across: only the lowest
        has its numbers."""
        column = [self.figure.add_axes((left, bottom, width, height)) for bottom, height in places]
        for axes in column[:-1]:
            axes.tick_params(labelbottom=False)
        return column

    def title(self, finding: str) -> None:
        """Set the headline: say what the picture shows, not what it is."""
        self.headline.set_text(headline_lines(finding) if self.narrow else finding)

    def still_changed(self) -> None:
        """Say that a still part changed (a tick label, say). New axis limits are noticed without this."""
        self._still_edition += 1
        self._stills.clear()

    # For the panel --------------------------------------------------------------------------------------

    def lay_out(self, narrow: bool) -> None:
        """Lay the picture out for a phone, its axes one below the other, or as wide as it is."""
        if self.narrow != narrow:
            self.narrow = narrow
            self.rebuild()

    def rebuild(self) -> None:
        """Discard all artists and `draw` again: after a change of the units, for one."""
        self.width_px, self.height_px = type(self).width_px, type(self).height_px
        self._moving: list[Artist] = []
        self._still_edition = getattr(self, "_still_edition", 0) + 1
        self._texts: Written = {}
        self._stills: dict[Artist, dict[tuple[float, ...], str]] = {}
        self._ground: tuple[object, object] | None = None
        self.figure.clear()
        self.figure.set_size_inches(self.width_px / DPI, self.height_px / DPI)
        with style_context():
            place = (8 / self.width_px, 1 - 8 / self.height_px)
            self.headline = self.moving(self.figure.text(*place, "", va="top", fontsize=14, weight="bold"))
            self.ice_name = self.moving(self.figure.text(0.0, 0.0, "", color=QUIET, fontsize=10))
            self.draw()
            if self.narrow:
                self.stack_up()
                self.figure.set_size_inches(self.width_px / DPI, self.height_px / DPI)
                say_exaggerations(self.figure)
            self.ice_name.set_position((8 / self.width_px, 4 / self.height_px))

    def still_key(self) -> tuple[object, ...]:
        """A value that changes whenever the still part has to be drawn and sent again."""
        return (self._still_edition, *map(_limits, self.figure.axes))

    def still_html(self) -> str:
        """The still part, as an inline ``<svg>``; like the frame in the letters of `type_face.type_face`."""
        with self._moving_hidden():
            return svg_or_image(self._still_svg, self.png)

    def frame_html(self, text_equivalent: str = "") -> str:
        """The moving artists as an inline ``<svg>`` to lie over `still_html`.

        Parameters
        ----------
        text_equivalent : str
            What a screen reader says in place of the picture; the headline is put before it.
        """
        words = f"{ended(self.headline.get_text())} {text_equivalent}".strip()
        return svg_or_image(lambda: self._frame_svg(words), self.png, words)

    # For files ------------------------------------------------------------------------------------------

    def size(self) -> dict[str, int]:
        """Width and height on the page, px, as the metadata of an image in a notebook."""
        return {"width": self.width_px, "height": self.height_px}

    def png(self, sharpness: float = 1.5) -> bytes:
        """The whole picture as a PNG, `sharpness` dots to each page pixel."""
        self.figure.set_dpi(sharpness * DPI)
        try:
            buffer = io.BytesIO()
            with style_context():
                self._canvas.print_png(buffer, metadata={"Software": None})
        finally:
            self.figure.set_dpi(DPI)
        return buffer.getvalue()

    def pixels(self) -> NDArray[np.uint8]:
        """The whole picture, a dot to each page pixel, (height, width, 4): for one picture after the other.

        The moving artists are drawn over a still part that was drawn once.
        """
        canvas = self._canvas
        with style_context():
            if self._ground is None or self._ground[0] != self.still_key():
                with self._moving_hidden():
                    canvas.draw()
                self._ground = (self.still_key(), canvas.copy_from_bbox(self.figure.bbox))
            canvas.restore_region(self._ground[1])
            for artist in self._shown():
                artist.draw(canvas.get_renderer())
        return np.array(canvas.buffer_rgba())

    def write(self, file: IO[bytes], form: str, footer: str = "") -> None:
        """Write the whole picture to an open binary file.

        Parameters
        ----------
        file : binary file
        form : {"png", "svg", "pdf"}
        footer : str
            Words below the picture.
        """
        write_figure(self.figure, file, form, 3.0, footer)

    # Inside ---------------------------------------------------------------------------------------------

    def _still_svg(self) -> str:
        above = sorted(self.figure.get_children(), key=lambda part: part.get_zorder())
        with style_context():
            drawn = "".join(map(self._still, dict.fromkeys([self.figure.patch, *above])))
        return fragment((self.width_px, self.height_px), drawn, 'aria-hidden="true"')

    def _frame_svg(self, words: str) -> str:
        for axes in self.figure.axes:
            if axes.get_aspect() != "auto":
                axes.apply_aspect()  # drawing the axes would; a still part that was kept is not drawn again
        layer = self._layer(self._texts, _MOVING_DOTS)
        for artist in self._shown():
            layer.add(artist)
        size = (self.width_px, self.height_px)
        return picture_fragment(size, layer.finished(), words)

    def _shown(self) -> list[Artist]:
        """The moving artists that can be seen, the lowest first."""
        shown = (artist for artist in self._moving if artist.axes is None or artist.axes.get_visible())
        return sorted(shown, key=lambda artist: artist.get_zorder())

    @contextmanager
    def _moving_hidden(self) -> Iterator[None]:
        shown = [artist.get_visible() for artist in self._moving]
        for artist in self._moving:
            artist.set_visible(False)
        try:
            yield
        finally:
            for artist, visible in zip(self._moving, shown, strict=True):
                artist.set_visible(visible)

    def _still(self, part: Artist) -> str:
        """A part of the figure, cached or redrawn: a slider steps the limits of few axes out of many."""
        known = self._stills.setdefault(part, {})
        key = _limits(part) if isinstance(part, Axes) else ()
        if key not in known:
            layer = self._layer({}, _STILL_DOTS)
            part.draw(layer)
            while len(known) >= _STILLS_KEPT:
                del known[next(iter(known))]  # the oldest
            known[key] = layer.finished()
        return known[key]

    def _layer(self, texts: Written, dots: int) -> Layer:
        return Layer((self.width_px, self.height_px), str(id(self)), texts, dots)


def _limits(axes: Axes) -> tuple[float, ...]:
    return (*axes.get_xlim(), *axes.get_ylim())
