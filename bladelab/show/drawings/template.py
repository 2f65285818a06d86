"""A template: the shape at full size on paper, to hold a runner against when teaching.

Paper shows which way a shape goes and where it changes; it can't check one. A printer stretches by half a per
cent, a line is 0.2 mm wide, and between a 9 ft and a 10 ft radius there are 0.36 mm over 280 mm: for that use
a gauge.
"""

from __future__ import annotations

from typing import IO

from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from bladelab._checks import one_of
from bladelab._errors import InputError
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.parts import along
from bladelab.show.canvas.style import INK, QUIET, STEEL, style_context
from bladelab.show.wording.units_shown import UNITS

#  Paper sizes laid across, mm: ISO 216, and the two sheets usual in North America (8 1/2 by 11 and 11 by 17
# in).
PAPERS_MM = {"A4": (297.0, 210.0), "A3": (420.0, 297.0), "Letter": (279.4, 215.9), "Tabloid": (431.8, 279.4)}
MARGIN_MM = 6.0
BAR_MM = 100.0
_STEEL_MM = 24.0


def template_figure(rocker: Rocker, paper: str = "A4", name: str = "") -> Figure:
    """Draw the template: 1 mm of the figure's one axes is 1 mm of paper.

    Parameters
    ----------
    rocker : Rocker
    paper : {"A4", "A3", "Letter", "Tabloid"}
        Laid across.
    name : str
        Printed beside the shape.

    Raises
    ------
    ValueError
        If the paper is not known, or the runner is too long for it.
    """
    wide, high = PAPERS_MM[one_of("paper", paper, PAPERS_MM)]
    if rocker.length_mm > wide - 2 * MARGIN_MM:
        raise InputError(
            f"the runner is {rocker.length_mm:g} mm long; on {paper} it must be at most "
            f"{wide - 2 * MARGIN_MM:g} mm: choose larger paper"
        )
    with style_context(path_simplify=False):
        figure = Figure(figsize=(wide / 25.4, high / 25.4))
        axes = figure.add_axes((0, 0, 1, 1))
        axes.set(xlim=(-wide / 2, wide / 2), ylim=(0, high))
        axes.set_axis_off()
        x = along(rocker, 561)
        floor = high - 95.0
        y = floor + rocker.height_mm(x)
        corners = [*zip(x, y, strict=True), (x[-1], floor + _STEEL_MM), (x[0], floor + _STEEL_MM)]
        axes.add_patch(Polygon(corners, facecolor=STEEL, edgecolor="none", alpha=0.6))
        axes.plot(x, y, color=INK, linewidth=0.6, gid="edge", solid_capstyle="butt")
        axes.plot([x[0], x[-1]], [floor, floor], color=QUIET, linewidth=0.4, linestyle=(0, (6, 4)))
        for place in (*rocker.junctions_mm, rocker.pivot_mm):
            axes.plot([place, place], [floor - 3, floor - 8], color=QUIET, linewidth=0.6)
        for junction in rocker.junctions_mm:
            axes.text(junction, floor - 9, "zones meet", ha="center", va="top", fontsize=8, color=QUIET)
        axes.text(rocker.pivot_mm, floor - 14, "level here", ha="center", va="top", fontsize=8)
        edges = [x[0], *rocker.junctions_mm, x[-1]]
        for zone, a, b in zip(rocker.zones, edges[:-1], edges[1:], strict=True):
            axes.text(
                (a + b) / 2,
                floor + 12,
                UNITS.say("radius", zone.radius_mm),
                ha="center",
                va="center",
                fontsize=10,
            )
        axes.text(x[0] + 2, floor + _STEEL_MM - 2, "heel", ha="left", va="top", fontsize=9)
        axes.text(x[-1] - 2, floor + _STEEL_MM - 2, "toe", ha="right", va="top", fontsize=9)
        bar = 30.0
        axes.plot(
            [-BAR_MM / 2, BAR_MM / 2],
            [bar, bar],
            color=INK,
            linewidth=1.0,
            gid="check-bar",
            solid_capstyle="butt",
        )
        for end in (-BAR_MM / 2, BAR_MM / 2):
            axes.plot([end, end], [bar - 2.5, bar + 2.5], color=INK, linewidth=0.5)
        axes.text(
            0,
            bar + 4,
            "This bar must measure 100 mm on paper. If not, print again at 100 % (don't fit to page).",
            ha="center",
            va="bottom",
            fontsize=9,
        )
        axes.text(
            -wide / 2 + 12,
            high - 14,
            f"Template{': ' + name if name else ''}, full size",
            va="top",
            fontsize=14,
            fontweight="bold",
        )
        radii = sorted({zone.radius_mm for zone in rocker.zones})
        sag = float(rocker.height_mm(x[[0, -1]]).max())
        axes.text(
            -wide / 2 + 12,
            high - 24,
            "Hold a runner against the edge below to see which way the shape goes and where it changes. "
            "Paper can't check a shape:\n"
            f"the ends rise {sag:.1f} mm here, a printer can be half a per cent off and a line is 0.2 mm "
            f"wide. {'One radius' if len(radii) == 1 else f'{len(radii)} radii'}; use a gauge to measure.",
            va="top",
            fontsize=9,
            linespacing=1.4,
        )
        axes.text(
            0,
            12,
            "Skate edges cut: wear gloves while you hold a runner to paper.",
            ha="center",
            va="bottom",
            fontsize=8,
            color=QUIET,
        )
    return figure


def write_template(
    file: IO[bytes], rocker: Rocker, form: str = "svg", paper: str = "A4", name: str = ""
) -> None:
    """Write the template to an open binary file.

    Parameters
    ----------
    file : binary file
    rocker, paper, name
        As for `template_figure`.
    form : {"svg", "pdf"}
        Both at full size: the SVG's width and height are in points of 1/72 in.

    Raises
    ------
    ValueError
        As `template_figure`, or for another form.
    """
    if form not in ("svg", "pdf"):
        raise InputError(f"form is {form!r}; it must be svg or pdf")
    figure = template_figure(rocker, paper, name)
    undated = {"svg": {"Date": None}, "pdf": {"CreationDate": None}}[form]
    with style_context(svg_fonttype="path", svg_hashsalt="template", path_simplify=False):
        figure.savefig(file, format=form, metadata=undated)


def paper_for(length_mm: float) -> str:
    """The smallest ISO sheet on which a runner of this length fits."""
    return "A4" if length_mm <= PAPERS_MM["A4"][0] - 2 * MARGIN_MM else "A3"
