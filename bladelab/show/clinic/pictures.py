"""How the clinic draws blades, ice and labels, large enough for a room.

Everything is drawn for the size that a slide's layout has for its picture. Letters are `LETTERS` or
`SMALL_LETTERS` points, lines are thick, and blade A is solid and blade B dashed besides their colours.
"""

from __future__ import annotations

import textwrap
from typing import Any

import numpy as np
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.figure import Figure, SubFigure
from matplotlib.lines import Line2D
from matplotlib.patches import Polygon, Rectangle
from matplotlib.text import Annotation, Text
from numpy.typing import ArrayLike

from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import exaggeration
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, LINES, PRESENT, QUIET, STEEL, TRIAL, Look
from bladelab.show.clinic.page import SMALL_PRINT_PT, SMALLEST_PT
from bladelab.show.clinic.stage import Stage, added, put, rewrite
from bladelab.show.wording.words import capital

#: The sizes of a slide's sentence.
LETTERS, SMALL_LETTERS = 24.0, SMALLEST_PT
COLOUR = {"A": PRESENT, "B": TRIAL}
DASH = {"A": LINES["present"]["linestyle"], "B": LINES["trial"]["linestyle"]}
#: The face-off circle, to compare with.
FACE_OFF_LINE: Look = {"color": QUIET, "linewidth": 3, "linestyle": ":"}
#: Grey of what is said besides; 7 to 1 on white.
SOFT = "#595959"
#: The same hues, dark enough for text on white and on ice (WCAG 2.2, 1.4.3: 4.5 to 1).
TEXT_COLOUR = {"A": "#005C91", "B": "#974200"}


def drawn_in(axes: Axes) -> list[Artist]:
    """All that was drawn in bare axes, the lowest first."""
    drawn = {*axes.collections, *axes.patches, *axes.lines, *axes.texts}
    return sorted((a for a in axes.get_children() if a in drawn), key=lambda artist: artist.get_zorder())


def texts_of(figure: Figure | SubFigure) -> list[Text]:
    """The texts written in a picture."""
    return [*figure.texts, *(text for axes in figure.axes for text in axes.texts if text.get_text())]


def write(axes: Stage, x: float, y: float, text: str, **how: Any) -> Text:
    """Write a label in data coordinates."""
    look: Look = {"fontsize": LETTERS, "color": INK, "ha": "center", "va": "center"} | how
    return put(
        axes, (Text, look), lambda: axes.text(x, y, text, **look), lambda label: rewrite(label, x, y, text)
    )


def blade_name(axes: Stage, x: float, y: float, blade: str, text: str = "", **how: Any) -> Text:
    """Write "blade A" and more beside what belongs to it, in its colour."""
    words = f"blade {blade}{text}"
    return write(axes, x, y, words, **{"color": TEXT_COLOUR[blade], "fontweight": "bold"} | how)


def small_print(axes: Stage, x: float, y: float, text: str, **how: Any) -> Text:
    """Write what only who looks closely needs to read."""
    return write(axes, x, y, text, **{"fontsize": SMALL_PRINT_PT} | how)


def take_small_print(figure: Figure | SubFigure) -> str:
    """Take the small print out of a picture, where it would be too small; return it as one text."""
    small = [text for text in texts_of(figure) if text.get_fontsize() == SMALL_PRINT_PT]
    said = list(dict.fromkeys(text.get_text().replace("\n", " ") for text in small))
    for text in small:
        text.set_text("")
    return f"{capital('; '.join(said))}." if said else ""


def exaggerated(axes: Stage, x: float, y: float, what: str = "height ", **how: Any) -> Text:
    """Write how much taller than wide the axes draw."""
    return small_print(axes, x, y, f"{what}exaggerated {exaggeration(axes):.0f}x", **how)


def folded(text: str, letters: int) -> str:
    """Break a long label into lines of so many letters."""
    return textwrap.fill(text, letters, break_long_words=False, break_on_hyphens=False)


def line(axes: Stage, x: ArrayLike, y: ArrayLike, **look: Any) -> None:
    """Draw a line through points; the method of the axes, which looks for limits too, takes twice as long."""
    put(
        axes, (Line2D, look),
        lambda: added(axes, Line2D(x, y, **look)), lambda standing: standing.set_data(x, y),
    )  # fmt: skip


def fill(axes: Stage, x: ArrayLike, low: ArrayLike, high: ArrayLike, **look: Any) -> None:
    """Fill between two curves over `x`, or two levels; the method of the axes takes ten times as long."""
    x, low, high = np.broadcast_arrays(x, low, high)
    corners = np.concatenate([np.stack([x, low], axis=1), np.stack([x, high], axis=1)[::-1]])
    put(
        axes, (Polygon, look),
        lambda: added(axes, Polygon(corners, **look)), lambda standing: standing.set_xy(corners),
    )  # fmt: skip


def shape(axes: Stage, corners: ArrayLike, **look: Any) -> None:
    """Draw a closed shape with these corners, (n, 2)."""
    put(
        axes, (Polygon, look),
        lambda: added(axes, Polygon(np.asarray(corners), **look)), lambda standing: standing.set_xy(corners),
    )  # fmt: skip


def draw_bracket(
    axes: Stage, start: tuple[float, float], end: tuple[float, float], tick: tuple[float, float], **look: Any
) -> None:
    """Draw a bracket from one point to another; its ends point along `tick`."""
    (x, y), (x1, y1), (dx, dy) = start, end, tick
    style: Look = {"color": INK, "linewidth": 3, "solid_joinstyle": "miter"} | look
    line(axes, [x + dx, x, x1, x1 + dx], [y + dy, y, y1, y1 + dy], **style)


def bar(axes: Stage, y: float, length: float, height: float, start: float = 0.0, **look: Any) -> None:
    """Draw a horizontal bar about the height `y`."""
    place = (start, y - height / 2, length, height)

    def make() -> Rectangle:
        return added(axes, Rectangle(place[:2], length, height, **look))

    put(axes, (Rectangle, look), make, lambda standing: standing.set_bounds(place))


def draw_edge(
    axes: Stage, rocker: Rocker, top: float, tilt: float = 0.0, lift: float = 0.0, blade: str = "A"
) -> None:
    """Draw the steel above a rocker's edge up to `top`; the edge turned by the slope `tilt` and lifted by
    `lift`, mm."""
    half = rocker.length_mm / 2
    x = np.linspace(-half, half, 241)
    y = rocker.height_mm(x) - tilt * x + lift
    fill(axes, x, y, top - tilt * x, facecolor=STEEL, edgecolor="none")
    line(axes, x, y, color=COLOUR[blade], linewidth=5, linestyle="-", solid_capstyle="round")


def draw_ice(axes: Stage, level: float = 0.0) -> None:
    """Fill the axes below `level` with ice."""
    left, right = axes.get_xlim()
    bottom = axes.get_ylim()[0]
    fill(axes, [left, right], bottom, level, facecolor=ICE, edgecolor="none", zorder=0)
    line(axes, [left, right], [level] * 2, color=ICE_LINE, linewidth=2, zorder=0.5)


def draw_arrow(axes: Stage, start: tuple[float, float], end: tuple[float, float], **how: Any) -> None:
    """Draw an arrow from one point to another."""
    style = {
        "arrowstyle": "-|>",
        "mutation_scale": 34,
        "linewidth": 4,
        "color": INK,
        "shrinkA": 0,
        "shrinkB": 0,
    }
    look = style | how

    def move(arrow: Annotation) -> None:
        arrow.xy = end
        arrow.set_position(start)

    put(axes, (Annotation, look), lambda: axes.annotate("", end, start, arrowprops=look), move)


def draw_bar(
    axes: Stage, y: float, length: float, blade: str, start: float = 0.0, height: float = 0.55
) -> None:
    """Draw a horizontal bar in a blade's colour; blade B's has a dashed rim."""
    bar(axes, y, length, height, start, facecolor=COLOUR[blade], alpha=0.35, edgecolor="none")
    rim = {"edgecolor": COLOUR[blade], "linewidth": 3, "linestyle": DASH[blade]}
    bar(axes, y, length, height, start, facecolor="none", **rim)
