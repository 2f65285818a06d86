"""The one place for colours, dashes and type sizes of every picture.

Colour follows the physical quantity: viridis for the radius of the rocker, one colour-blind-safe pair for the
*present* and the *trial* blade (blue and vermilion of the palette in Okabe & Ito, "Color universal design",
2008; from memory). The pair also differs in dash and in lightness, so that a picture survives a grey printer.

Nothing here touches matplotlib's global settings: `style_context` lends them while a figure is built or
drawn.
"""

from __future__ import annotations

import threading
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache, lru_cache
from typing import Any, TypeAlias

import matplotlib as mpl
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.colors import Colormap, LogNorm
from matplotlib.text import Text

#: How an artist looks, as matplotlib's own functions take it.
Look: TypeAlias = dict[str, Any]

PRESENT = "#0072B2"
TRIAL = "#D55E00"
INK = "#222222"
QUIET = "#767676"
ICE = "#DCEBF5"
ICE_LINE = "#5B8DB0"
STEEL = "#C9CDD2"

#: Line properties of the two blades: `ax.plot(x, y, **LINES["trial"])`.
LINES: dict[str, Look] = {
    "present": {"color": PRESENT, "linestyle": "-", "linewidth": 2.2},
    "trial": {"color": TRIAL, "linestyle": (0, (5, 2)), "linewidth": 2.2},
}
#: Fill properties of the two blades: the hatch tells them apart where there is no colour.
FILLS: dict[str, Look] = {
    "present": {"facecolor": PRESENT, "edgecolor": PRESENT, "alpha": 0.35, "linewidth": 1.2},
    "trial": {
        "facecolor": TRIAL,
        "edgecolor": TRIAL,
        "alpha": 0.35,
        "linewidth": 1.2,
        "linestyle": (0, (5, 2)),
    },
}

#: The rocker radii that the colours span, mm: 4 ft to 40 ft, on a logarithmic scale.
RADIUS_RANGE_MM = (1200.0, 12200.0)

_SETTINGS: dict[Any, Any] = {
    "font.family": "DejaVu Sans",
    "font.size": 11,
    "axes.titlesize": 12,
    "axes.titleweight": "bold",
    "axes.titlelocation": "left",
    "axes.titley": 1.0,  # to look for a place above all ticks takes up to a third of the time an axes takes
    "axes.labelsize": 10.5,
    "axes.labelcolor": INK,
    "axes.edgecolor": QUIET,
    "axes.linewidth": 0.8,
    "axes.spines.top": False,
    "axes.spines.right": False,
    "axes.grid": True,
    "axes.axisbelow": True,
    "axes.unicode_minus": True,
    "grid.color": "#E3E3E3",
    "grid.linewidth": 0.8,
    "xtick.labelsize": 10,
    "ytick.labelsize": 10,
    "xtick.color": QUIET,
    "ytick.color": QUIET,
    "xtick.labelcolor": INK,
    "ytick.labelcolor": INK,
    "text.color": INK,
    "legend.frameon": False,
    "figure.facecolor": "white",
    "savefig.facecolor": "white",
    "image.cmap": "viridis",
}


# Settings that say how matplotlib runs, not how a picture looks.
_NOT_OF_STYLE = frozenset({"backend", "backend_fallback", "interactive", "toolbar", "timezone", "date.epoch"})


# The settings belong to the whole process. A JupyterLab with other settings than ours answers sliders in a
# thread beside the cells: of two pictures at a time, one would leave its settings behind.
_ONE_AT_A_TIME = threading.RLock()


@contextmanager
def style_context(**more: object) -> Iterator[None]:
    """Matplotlib's settings for our pictures, for a ``with`` block, whatever the reader has set.

    Parameters
    ----------
    **more
        Further rcParams, with ``_`` for the dot: ``style_context(svg_fonttype="path")``.
    """
    added: dict[Any, Any] = {key.replace("_", ".", 1): value for key, value in more.items()}
    with _ONE_AT_A_TIME:
        # As mpl.rc_context does, but all at once: setting by setting it takes longer than a short text.
        before = dict(dict.items(mpl.rcParams))
        del before["backend"]
        try:
            # Checked already: to check them takes as long as to draw a small picture.
            dict.update(mpl.rcParams, _checked_settings())
            mpl.rcParams.update(added)
            yield
        finally:
            dict.update(mpl.rcParams, before)


@cache
def _checked_settings() -> dict[Any, Any]:
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", mpl.MatplotlibDeprecationWarning)  # a default may be on its way out
        wanted: dict[Any, Any] = {k: v for k, v in mpl.rcParamsDefault.items() if k not in _NOT_OF_STYLE}
        with mpl.rc_context({**wanted, **_SETTINGS}):
            return {key: mpl.rcParams[key] for key in wanted}


def radius_norm() -> LogNorm:
    """The scale on which a rocker radius (mm) becomes a colour of `radius_colours`."""
    return LogNorm(*RADIUS_RANGE_MM, clip=True)


def radius_colours() -> Colormap:
    """The colour map of rocker radius: dark for a small radius, light for a large one."""
    return mpl.colormaps["viridis"]


@lru_cache(maxsize=256)
def radius_colour(radius_mm: float) -> tuple[float, float, float, float]:
    """The colour of one rocker radius (mm) in every picture."""
    return radius_colours()(float(radius_norm()(radius_mm)))


def label(axes: Axes, x: float, y: float, text: str, **properties: Any) -> Text:
    """A direct label in data coordinates, on a faint white ground so that it reads over a line.

    Parameters
    ----------
    axes : matplotlib.axes.Axes
    x, y : float
        Place in data coordinates (give ``transform=`` for others).
    text : str
    **properties
        Text properties, over our own defaults.

    Returns
    -------
    matplotlib.text.Text
    """
    ground = {"facecolor": "white", "edgecolor": "none", "alpha": 0.8, "pad": 1.0}
    return axes.text(
        x, y, text, **{"fontsize": 10.5, "color": INK, "bbox": ground, "clip_on": True, **properties}
    )


def heel_and_toe(axes: Axes) -> list[Artist]:
    """Write 'heel' and 'toe' at the lower corners of an axes whose x runs along the blade."""
    place: Look = {"transform": axes.transAxes, "va": "bottom", "color": QUIET, "fontsize": 10}
    return [
        axes.text(0.006, 0.02, "heel", ha="left", **place),
        axes.text(0.994, 0.02, "toe", ha="right", **place),
    ]
