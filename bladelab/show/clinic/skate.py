"""A skate from the side and the foot in it, in our own plain lines: everyone sees where the blade is.

Millimetres: the blade's lowest point at the origin, heel to the left, toe to the right. Freehand proportions:
nothing here is measured, and the curve of the blade is exaggerated.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from bladelab._types import Array
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, QUIET, STEEL
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.stage import Stage

#: What fits around it: left, right, top. The leg goes on above, and the picture's edge cuts it off.
LEFT, RIGHT, TOP = -165.0, 185.0, 350.0
_HALF, _CURVE, _RUNNER_TOP = 142.0, 620.0, 34.0
_BOOT = (
    (-120, 84), (-60, 86), (0, 84), (60, 79), (110, 75), (150, 77), (170, 90), (172, 110), (152, 128),
    (115, 136), (82, 142), (52, 162), (27, 202), (10, 252), (4, 296), (0, 312), (-24, 308), (-62, 303),
    (-96, 310), (-106, 296), (-105, 232), (-113, 192), (-126, 152), (-129, 110),
)  # fmt: skip
_FOOT = (
    (-104, 103), (-60, 97), (0, 99), (60, 92), (110, 88), (146, 90), (157, 100), (150, 113), (120, 120),
    (82, 126), (46, 143), (15, 178), (-6, 224), (-14, 272), (-16, 430), (-82, 430), (-82, 272), (-84, 222),
    (-96, 182), (-109, 141), (-113, 116),
)  # fmt: skip
_HOLDER = (
    ((-134, 34), (134, 34), (122, 48), (-122, 48)),
    ((-116, 47), (-54, 47), (-62, 87), (-116, 86)),
    ((36, 47), (112, 47), (122, 76), (42, 82)),
)
_BOOT_FILL = "#EEF0F2"


@cache
def _smooth(points: tuple[tuple[float, float], ...]) -> Array:
    """A closed curve through points, (n, 2)."""
    from scipy.interpolate import CubicSpline

    closed = np.array([*points, points[0]], dtype=float)
    steps = np.r_[0.0, np.cumsum(np.sqrt(np.hypot(*np.diff(closed, axis=0).T)))]
    curve: Array = CubicSpline(steps, closed, bc_type="periodic")(np.linspace(0, steps[-1], 160))
    return curve


def _blade() -> Array:
    x = np.linspace(-_HALF, _HALF, 81)
    edge = np.column_stack([x, _CURVE - np.sqrt(_CURVE**2 - x**2)])
    return np.vstack([edge, [(_HALF - 4, _RUNNER_TOP), (-_HALF + 4, _RUNNER_TOP)]])


def draw_skate(
    axes: Stage, blade: str = "A", tilt_deg: float = 0.0, at: float = 0.0, foot: bool = True
) -> tuple[float, float]:
    """Draw the skate on ice at height 0, tipped forward by an angle as a blade that has rolled.

    Parameters
    ----------
    axes : Stage
        With the same scale up and across.
    blade : {"A", "B"}
        In whose colour its blade is drawn.
    tilt_deg : float
        How far it is tipped forward, as drawn.
    at : float
        How far right of 0 its lowest point is.
    foot : bool
        Whether to draw the foot in it.

    Returns
    -------
    tuple of float
        Where the heel end of the blade's edge is.
    """
    angle = np.radians(tilt_deg)
    turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
    # A blade that rolls keeps its lowest point on the ice.
    lowest = (_blade() @ turn)[np.argmin((_blade() @ turn)[:, 1])]

    def placed(points: Array) -> Array:
        moved: Array = np.asarray(points, dtype=float) @ turn + (at - lowest[0], -lowest[1])
        return moved

    pen.shape(axes, placed(_blade()), facecolor=pen.COLOUR[blade], edgecolor=pen.COLOUR[blade], linewidth=2)
    for part in _HOLDER:
        pen.shape(axes, placed(np.array(part)), facecolor=STEEL, edgecolor=INK, linewidth=2.5)
    pen.shape(axes, placed(_smooth(_BOOT)), facecolor=_BOOT_FILL, edgecolor=INK, linewidth=4)
    if foot:
        pen.shape(axes, placed(_smooth(_FOOT)), facecolor="white", edgecolor=QUIET, linewidth=3)
    x, y = placed(_blade())[0]
    return float(x), float(y)


def draw_ice_under(axes: Stage) -> None:
    """Draw flat ice below height 0, from edge to edge of the axes."""
    left, right = axes.get_xlim()
    pen.fill(axes, [left, right], axes.get_ylim()[0], 0.0, facecolor=ICE, edgecolor="none", zorder=0)
    pen.line(axes, [left, right], [0.0, 0.0], color=ICE_LINE, linewidth=3, zorder=0.5)
