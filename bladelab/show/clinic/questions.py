"""Questions on the shape of the blade and what it does: what the room looks at before it knows the answer."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab._types import Array
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, QUIET, STEEL
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic import skate
from bladelab.show.clinic.lesson import CHOSEN, Examples, Fact, Lesson, Said
from bladelab.show.clinic.pictures import COLOUR, SMALL_LETTERS, TEXT_COLOUR
from bladelab.show.clinic.stage import Stage, stage


def shapes(examples: Examples) -> tuple[Fact, ...]:
    """The four numbers that make the two blades."""
    e = examples
    return (
        Fact("radius_a", "radius", e.radius_a_mm, "rocker radius of blade A", CHOSEN),
        Fact("radius_b", "radius", e.radius_b_mm, "rocker radius of blade B", CHOSEN),
        Fact("hollow_a", "hollow", e.hollow_a_mm, "radius of hollow of blade A", CHOSEN),
        Fact("hollow_b", "hollow", e.hollow_b_mm, "radius of hollow of blade B", CHOSEN),
    )


def skate_stage(figure: Figure | SubFigure, left: float, width: float, room: float = 0.0) -> Stage:
    """A stage for a skate with its ice, and so much more space on both sides, mm."""
    axes = stage(
        figure, left, 0.0, width, 1.0, xlim=(skate.LEFT - room, skate.RIGHT + room), ylim=(-75, skate.TOP + 5)
    )
    axes.set_aspect("equal")
    skate.draw_ice_under(axes)
    return axes


def how_much_touches(examples: Examples) -> Lesson:
    """Ask how much of the blade touches the ice."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = skate_stage(figure, 0.0, 1.0, 300)
        skate.draw_skate(axes)
        pen.write(axes, 0, -38, "?", fontsize=54, fontweight="bold")
        pen.write(axes, -130, -38, "heel")
        pen.write(axes, 130, -38, "toe")
        pen.write(axes, 250, 210, "your foot", ha="left")
        pen.draw_arrow(axes, (245, 205), (60, 122), linewidth=3)
        pen.write(axes, 250, 60, "the blade", ha="left", color=TEXT_COLOUR["A"], fontweight="bold")
        pen.draw_arrow(axes, (245, 55), (150, 30), linewidth=3, color=COLOUR["A"])

    return Lesson((), draw)


def two_curves(examples: Examples) -> Lesson:
    """Ask about one blade with two curves."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = skate_stage(figure, 0.0, 1.0, 300)
        skate.draw_skate(axes)
        for sign, end in ((-1, "heel"), (1, "toe")):
            pen.draw_bracket(axes, (sign * 6, -14), (sign * 136, -14), (0, 10))
            pen.write(axes, sign * 70, -44, "?", fontsize=36, fontweight="bold")
            pen.write(axes, sign * 230, -38, end)

    return Lesson((), draw)


def two_grooves(examples: Examples) -> Lesson:
    """Show both grooves over the ice, before they sink in."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        width = examples.width_mm
        depth = examples.blade("A", examples.deep).hollow.depth_mm
        for name, left in (("A", 0.0), ("B", 0.52)):
            hollow = examples.blade("A", name).hollow
            axes = stage(
                figure,
                left,
                0.0,
                0.48,
                1.0,
                xlim=(-0.42 * width, 1.42 * width),
                ylim=(-1.6 * depth, 5.0 * depth),
            )
            u = np.linspace(0, width, 161)
            draw_groove(axes, u, np.asarray(hollow.height_mm(u)) + 0.9 * depth, 3.4 * depth, name)
            pen.fill(axes, axes.get_xlim(), -1.6 * depth, 0, facecolor=ICE, edgecolor="none")
            pen.line(axes, axes.get_xlim(), [0, 0], color=ICE_LINE, linewidth=3)
            pen.blade_name(axes, width / 2, 4.3 * depth, name, f"\ngroove {said[f'hollow_{name.lower()}']}")
            pen.write(axes, -0.21 * width, -0.8 * depth, "ice", fontsize=SMALL_LETTERS)
            pen.write(axes, 0.75 * width, -0.55 * depth, "seen from the end", fontsize=SMALL_LETTERS)
            pen.exaggerated(axes, 0.75 * width, -1.2 * depth)

    return Lesson(shapes(examples), draw)


def draw_groove(axes: Stage, u: Array, edge: Array, top: float, name: str) -> None:
    """Draw a blade in cross-section: its bottom at the heights `edge` across `u`, its steel up to `top`."""
    pen.fill(axes, u, edge, top, facecolor=STEEL, edgecolor="none")
    pen.line(axes, u, edge, color=COLOUR[name], linewidth=5)
    for end in (0, -1):
        pen.line(axes, [u[end]] * 2, [edge[end], top], color=INK, linewidth=2)


def _rockers(examples: Examples) -> dict[str, Rocker]:
    return {name: examples.blade(name, name).rocker for name in "AB"}


def flatter(examples: Examples) -> Lesson:
    """Show both blades from the side, one flatter than the other."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        draw_both(figure, _rockers(examples), {n: f": curve {said[f'radius_{n.lower()}']}" for n in "AB"})

    return Lesson(shapes(examples), draw)


def draw_both(figure: Figure | SubFigure, rockers: Mapping[str, Rocker], said: Mapping[str, str]) -> None:
    """Draw both blades from the side on the ice, with words beside each name."""
    half = rockers["A"].length_mm / 2
    highest = max(float(rocker.height_mm(half)) for rocker in rockers.values())
    for name, left in (("A", 0.0), ("B", 0.52)):
        axes = stage(
            figure,
            left,
            0.0,
            0.48,
            1.0,
            xlim=(-half * 1.1, half * 1.1),
            ylim=(-0.75 * highest, 2.6 * highest),
        )
        pen.draw_ice(axes)
        pen.draw_edge(axes, rockers[name], highest * 1.75, blade=name)
        pen.blade_name(axes, 0, 2.2 * highest, name, said[name])
        pen.write(axes, -half * 0.82, highest * 1.45, "heel", fontsize=SMALL_LETTERS)
        pen.write(axes, half * 0.84, highest * 1.45, "toe", fontsize=SMALL_LETTERS)
        pen.exaggerated(axes, 0, -0.4 * highest)


def draw_pair(figure: Figure | SubFigure, blades: Mapping[str, Blade], said: Said) -> None:
    """Draw both blades from the side on the ice, and beside each its groove over the ice from the end."""
    half = blades["A"].rocker.length_mm / 2
    high = max(float(blade.rocker.height_mm(half)) for blade in blades.values())
    width = blades["A"].hollow.width_mm
    deep = 2.2 * max(blade.hollow.depth_mm for blade in blades.values())
    u = np.linspace(0, width, 161)
    for name, left in (("A", 0.0), ("B", 0.52)):
        blade, key = blades[name], name.lower()
        side = stage(
            figure, left, 0.0, 0.32, 1.0, xlim=(-1.05 * half, 1.05 * half), ylim=(-0.75 * high, 3.2 * high)
        )
        pen.draw_ice(side)
        pen.draw_edge(side, blade.rocker, 1.75 * high, blade=name)
        pen.blade_name(side, 0, 2.75 * high, name)
        pen.write(side, 0, 2.1 * high, f"curve {said[f'radius_{key}']}")
        pen.write(side, -0.8 * half, 1.45 * high, "heel", fontsize=SMALL_LETTERS)
        pen.write(side, 0.82 * half, 1.45 * high, "toe", fontsize=SMALL_LETTERS)
        pen.exaggerated(side, 0, -0.4 * high)
        end = stage(
            figure,
            left + 0.33,
            0.0,
            0.15,
            1.0,
            xlim=(-0.2 * width, 1.2 * width),
            ylim=(-0.75 * deep, 3.2 * deep),
        )
        pen.draw_ice(end)
        draw_groove(end, u, np.asarray(blade.hollow.height_mm(u)) + 0.15 * deep, 1.75 * deep, name)
        pen.write(end, width / 2, 2.25 * deep, f"groove\n{said[f'hollow_{key}']}")
        pen.exaggerated(end, width / 2, -0.4 * deep, "from the end,\n")


def two_boots(examples: Examples) -> Lesson:
    """Show a skate on each blade with the weight toward the toe."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        for name, left in (("A", 0.0), ("B", 0.52)):
            axes = skate_stage(figure, left, 0.48, 60)
            skate.draw_skate(axes, name)
            pen.draw_arrow(axes, (85, 330), (85, 190), color=QUIET, linewidth=6)
            pen.write(axes, 100, 290, "weight", ha="left", fontsize=SMALL_LETTERS)
            pen.blade_name(axes, 0, -40, name, f": curve {said[f'radius_{name.lower()}']}")

    return Lesson(shapes(examples), draw)


def two_turns(examples: Examples) -> Lesson:
    """Show both blades before they turn."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        draw_both(figure, _rockers(examples), {n: f": curve {said[f'radius_{n.lower()}']}" for n in "AB"})

    return Lesson(shapes(examples), draw)
