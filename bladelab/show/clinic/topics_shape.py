"""Topics on the shape of the steel: the two blades, the rocker, stepped and blended, the hollow."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.physics.contact import solve_contact, solve_contacts
from bladelab.shape.blade import Blade
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, QUIET, STEEL
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.lesson import CHOSEN, GEOMETRY, Examples, Fact, Lesson, Said, percent_apart
from bladelab.show.clinic.pictures import COLOUR, SMALL_LETTERS, TEXT_COLOUR
from bladelab.show.clinic.stage import stage


def two_blades(examples: Examples) -> Lesson:
    """Introduce the example blades."""
    facts = (
        Fact("radius_a", "radius", examples.radius_a_mm, "rocker radius of blade A", CHOSEN),
        Fact("radius_b", "radius", examples.radius_b_mm, "rocker radius of blade B", CHOSEN),
        Fact("hollow_a", "hollow", examples.hollow_a_mm, "radius of hollow of blade A", CHOSEN),
        Fact("hollow_b", "hollow", examples.hollow_b_mm, "radius of hollow of blade B", CHOSEN),
        Fact("mass", "mass", examples.mass_kg, "the skater, fully dressed", CHOSEN),
        Fact("ice", "temperature", examples.temperature_C, "temperature of the ice", CHOSEN),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        half = examples.length_mm / 2
        highest = max(examples.blade(name, name).rocker.height_mm(half) for name in "AB")
        for name, bottom in (("A", 0.52), ("B", 0.02)):
            axes = stage(
                figure,
                0.2,
                bottom,
                0.6,
                0.46,
                xlim=(-half * 1.06, half * 1.06),
                ylim=(-0.12 * highest, highest * 1.4),
            )
            pen.draw_ice(axes)
            pen.draw_edge(axes, examples.blade(name, name).rocker, highest * 1.3, blade=name)
            pen.blade_name(axes, 0, highest * 0.98, name, color=INK)
            pen.write(axes, 0, highest * 0.52, pen.too_tall(axes), fontsize=SMALL_LETTERS)
            if name == "A":
                pen.write(axes, -half * 0.8, highest * 1.08, "heel", fontsize=SMALL_LETTERS)
                pen.write(axes, half * 0.82, highest * 1.08, "toe", fontsize=SMALL_LETTERS)
            side = stage(figure, 0, bottom, 0.19, 0.46, xlim=(0, 1), ylim=(0, 1))
            pen.write(side, 0.95, 0.62, "rocker", ha="right", fontsize=SMALL_LETTERS)
            pen.write(side, 0.95, 0.36, said[f"radius_{name.lower()}"], ha="right", color=TEXT_COLOUR[name])
            side = stage(figure, 0.81, bottom, 0.19, 0.46, xlim=(0, 1), ylim=(0, 1))
            pen.write(side, 0.05, 0.62, "hollow", ha="left", fontsize=SMALL_LETTERS)
            pen.write(side, 0.05, 0.36, said[f"hollow_{name.lower()}"], ha="left", color=TEXT_COLOUR[name])

    return Lesson(facts, draw, cautions=("first", "rules"))


def what_a_rocker_is(examples: Examples) -> Lesson:
    """Show the rocker as a piece of a circle, and how little of it touches the ice."""
    blade = examples.blade("A", "A")
    rocker, half = blade.rocker, examples.length_mm / 2
    contact = solve_contact(blade, examples.stance("standing on both skates"), examples.ice)
    rise = rocker.height_mm(half)
    facts = (
        Fact("radius_a", "radius", examples.radius_a_mm, "rocker radius of blade A", CHOSEN),
        Fact("across_a", "radius", 2 * examples.radius_a_mm, "diameter of blade A's circle", GEOMETRY),
        Fact("rise_a", "fine length", rise, "height of the ends of blade A above its lowest point", GEOMETRY),
        Fact(
            "length_a",
            "length",
            contact.length_mm,
            "steel of blade A on the ice, standing on both skates, at rest",
        ),
        Fact("mass", "mass", examples.mass_kg, "the skater, fully dressed", CHOSEN),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        r = examples.radius_a_mm
        circle = stage(figure, 0.0, 0.02, 0.34, 0.96, xlim=(-1.1 * r, 1.1 * r), ylim=(-0.1 * r, 2.05 * r))
        circle.set_aspect("equal")
        angle = np.linspace(0, 2 * np.pi, 200)
        pen.line(circle, r * np.sin(angle), r - r * np.cos(angle), color=QUIET, linewidth=2)
        x = np.linspace(-half, half, 20)
        pen.line(circle, x, rocker.height_mm(x), color=COLOUR["A"], linewidth=12, solid_capstyle="butt")
        pen.draw_arrow(circle, (0, r), (0, 0.03 * r), linewidth=3)
        pen.write(circle, 0.08 * r, 1.05 * r, said["radius_a"], ha="left", fontweight="bold")

        side = stage(
            figure, 0.36, 0.02, 0.64, 0.96, xlim=(-half * 1.1, half * 1.1), ylim=(-rise * 0.75, rise * 1.9)
        )
        pen.draw_ice(side)
        pen.draw_edge(side, rocker, rise * 1.75)
        pen.draw_stretch(side, contact, -rise * 0.08)
        pen.write(side, 0, -rise * 0.42, f"{said['length_a']} on the ice")
        pen.write(side, -half * 0.85, rise * 1.45, "heel", fontsize=SMALL_LETTERS)
        pen.write(side, half * 0.87, rise * 1.45, "toe", fontsize=SMALL_LETTERS)
        pen.write(side, 0, rise * 0.95, pen.too_tall(side), fontsize=SMALL_LETTERS)

    return Lesson(facts, draw)


def stepped_and_blended(examples: Examples) -> Lesson:
    """Show one blade with two radii, stepped and blended."""
    low, high = sorted((examples.radius_a_mm, examples.radius_b_mm))
    half = examples.length_mm / 2
    zones = (Zone(high, half), Zone(low, half))
    stepped, blended = Rocker(zones), Rocker(zones, blend_mm=examples.blend_mm)
    x = np.linspace(-half, half, 561)
    facts = (
        Fact("radius_heel", "radius", high, "radius of the heel half of the example", CHOSEN),
        Fact("radius_toe", "radius", low, "radius of the toe half of the example", CHOSEN),
        Fact(
            "blend",
            "length",
            examples.blend_mm,
            "length over which the blended shape changes its radius",
            CHOSEN,
        ),
        Fact(
            "gap",
            "depth",
            float(np.abs(stepped.height_mm(x) - blended.height_mm(x)).max()),
            "largest difference in height between the two edges",
            GEOMETRY,
        ),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        span = high - low
        axes = stage(
            figure,
            0.0,
            0.02,
            1.0,
            0.96,
            xlim=(-half * 1.55, half * 1.55),
            ylim=(low - 0.75 * span, high + 0.45 * span),
        )
        pen.line(
            axes,
            x,
            stepped.radius_mm(x),
            color=STEEL,
            linewidth=16,
            solid_capstyle="butt",
            solid_joinstyle="miter",
        )
        pen.line(axes, x, blended.radius_mm(x), color=INK, linewidth=5)
        pen.write(axes, -half * 1.04, high, said["radius_heel"], ha="right", fontweight="bold")
        pen.write(axes, half * 1.04, low, said["radius_toe"], ha="left", fontweight="bold")
        pen.write(axes, -half * 0.5, high + 0.26 * span, "flatter at the heel", fontsize=SMALL_LETTERS)
        pen.write(axes, half * 0.5, low - 0.28 * span, "rounder at the toe", fontsize=SMALL_LETTERS)
        pen.line(
            axes, [half * 0.25, half * 0.37], [high, high], color=STEEL, linewidth=16, solid_capstyle="butt"
        )
        pen.write(axes, half * 0.41, high, "stepped: at one spot", ha="left", fontsize=SMALL_LETTERS)
        pen.line(axes, [-half * 1.52, -half * 1.4], [low, low], color=INK, linewidth=5)
        pen.write(axes, -half * 1.36, low, "blended: little by little", ha="left", fontsize=SMALL_LETTERS)
        pen.write(axes, -half * 1.04, low - 0.55 * span, "heel", fontsize=SMALL_LETTERS)
        pen.write(axes, half * 1.04, low - 0.55 * span, "toe", fontsize=SMALL_LETTERS)
        pen.draw_arrow(
            axes, (-half * 0.9, low - 0.55 * span), (half * 0.9, low - 0.55 * span), linewidth=2, color=QUIET
        )

    return Lesson(facts, draw)


def what_the_hollow_does(examples: Examples) -> Lesson:
    """Show both grooves in the ice, on one rocker."""
    stance = examples.stance("one-foot glide")
    blades = {name: examples.blade("A", name) for name in "AB"}
    solved = solve_contacts([(blade, stance, examples.ice, True) for blade in blades.values()])
    bites = {name: contact.depth_mm for name, contact in zip(blades, solved, strict=True)}
    deep, shallow = examples.deep, examples.shallow
    facts = (
        Fact("radius_a", "radius", examples.radius_a_mm, "rocker radius under both grooves", CHOSEN),
        *(
            fact
            for word, name in (("deep", deep), ("shallow", shallow))
            for fact in (
                Fact(
                    f"hollow_{word}",
                    "hollow",
                    blades[name].hollow.radius_mm,
                    f"radius of hollow of blade {name}",
                    CHOSEN,
                ),
                Fact(
                    f"bite_{word}",
                    "depth",
                    bites[name],
                    f"bite of blade {name}'s hollow in a one-foot glide, gliding",
                ),
                Fact(
                    f"groove_{word}",
                    "depth",
                    blades[name].hollow.depth_mm,
                    f"depth of blade {name}'s groove",
                    GEOMETRY,
                ),
                Fact(
                    f"edge_{word}",
                    "angle",
                    blades[name].hollow.edge_angle_deg,
                    f"edge angle of blade {name}",
                    GEOMETRY,
                ),
            )
        ),
        Fact(
            "more_bite",
            "percent",
            percent_apart(bites[deep], bites[shallow]),
            f"how much deeper blade {deep}'s hollow bites",
        ),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        depth = blades[deep].hollow.depth_mm
        for name, left in (("A", 0.0), ("B", 0.52)):
            word = "deep" if name == deep else "shallow"
            texts = said[f"bite_{word}"], said[f"hollow_{word}"]
            _draw_groove(figure, left, blades[name], bites[name], depth, name, *texts)

    return Lesson(facts, draw, {"deep": deep, "shallow": shallow})


def _draw_groove(
    figure: Figure | SubFigure,
    left: float,
    blade: Blade,
    bite: float,
    unit: float,
    name: str,
    bite_said: str,
    hollow_said: str,
) -> None:
    width = blade.hollow.width_mm
    axes = stage(
        figure, left, 0.02, 0.48, 0.96, xlim=(-0.42 * width, 1.42 * width), ylim=(-3.2 * unit, 3.4 * unit)
    )
    u = np.linspace(0, width, 161)
    edge = blade.hollow.height_mm(u) - bite
    left_end, right_end = axes.get_xlim()
    pen.fill(axes, [left_end, right_end], -9 * unit, 0, facecolor=ICE, edgecolor="none")
    pen.line(axes, [left_end, 0], [0, 0], color=ICE_LINE, linewidth=3)
    pen.line(axes, [width, right_end], [0, 0], color=ICE_LINE, linewidth=3)
    pen.fill(axes, u, edge, 2.1 * unit, facecolor=STEEL, edgecolor="none")
    pen.line(axes, u, edge, color=COLOUR[name], linewidth=5)
    pen.line(axes, [0, 0], [edge[0], 2.1 * unit], color=INK, linewidth=2)
    pen.line(axes, [width, width], [edge[-1], 2.1 * unit], color=INK, linewidth=2)
    pen.blade_name(axes, width / 2, 2.8 * unit, name, f": {hollow_said}")
    pen.write(axes, width / 2, -1.65 * unit, f"edges sink in {bite_said}")
    pen.write(axes, width / 2, -2.6 * unit, pen.too_tall(axes), fontsize=SMALL_LETTERS)
    pen.write(axes, -0.21 * width, 0.5 * unit, "ice", fontsize=SMALL_LETTERS)
