"""Topics on the shape of the steel: the two blades, the rocker, stepped and blended, the hollow."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.physics.contact import solve_contact, solve_contacts
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, QUIET, STEEL, Look
from bladelab.show.clinic import everyday, skate
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.lesson import CHOSEN, GEOMETRY, Examples, Fact, Lesson, Said, percent_apart
from bladelab.show.clinic.pictures import COLOUR, FACE_OFF_LINE, SMALL_LETTERS, TEXT_COLOUR
from bladelab.show.clinic.questions import draw_groove, shapes, skate_stage
from bladelab.show.clinic.stage import stage


def two_blades(examples: Examples) -> Lesson:
    """Introduce the parts of a skate and the example blades."""
    facts = (
        *shapes(examples),
        Fact("length", "length", examples.length_mm, "length of both runners", CHOSEN),
        Fact("width", "fine length", examples.width_mm, "width of both runners", CHOSEN),
        Fact("mass", "mass", examples.mass_kg, "the skater, fully dressed", CHOSEN),
        Fact("ice", "temperature", examples.temperature_C, "ice, as hard as in a drop test", CHOSEN),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = skate_stage(figure, 0.0, 0.42, 20)
        skate.draw_skate(axes)
        pen.write(axes, -125, -38, "heel", fontsize=SMALL_LETTERS)
        pen.write(axes, 125, -38, "toe", fontsize=SMALL_LETTERS)
        pen.write(axes, 0, -38, "blade", color=TEXT_COLOUR["A"], fontweight="bold", fontsize=SMALL_LETTERS)
        pen.write(axes, 200, 240, "your\nfoot", ha="right", fontsize=SMALL_LETTERS)
        pen.draw_arrow(axes, (130, 210), (60, 122), linewidth=3)
        half = examples.length_mm / 2
        highest = max(examples.blade(name, name).rocker.height_mm(half) for name in "AB")
        for name, bottom in (("A", 0.5), ("B", 0.0)):
            x, y = (-half * 1.06, half * 1.06), (-0.3 * highest, highest * 2.3)
            axes = stage(figure, 0.44, bottom, 0.36, 0.48, xlim=x, ylim=y)
            pen.draw_ice(axes)
            pen.draw_edge(axes, examples.blade(name, name).rocker, highest * 1.6, blade=name)
            pen.blade_name(axes, 0, highest * 2.0, name)
            if name == "A":
                pen.exaggerated(axes, 0, highest * 1.1)
            side = stage(figure, 0.81, bottom, 0.19, 0.48, xlim=(0, 1), ylim=(0, 1))
            for top, what, key in ((0.88, "curve", "radius"), (0.45, "groove", "hollow")):
                pen.write(side, 0.05, top, what, ha="left", fontsize=SMALL_LETTERS)
                value = pen.folded(said[f"{key}_{name.lower()}"], 9)
                look = {"color": TEXT_COLOUR[name], "fontweight": "bold", "fontsize": SMALL_LETTERS}
                pen.write(side, 0.05, top - 0.08, value, ha="left", va="top", **look)

    return Lesson(facts, draw, cautions=("first", "rules"))


def what_a_rocker_is(examples: Examples) -> Lesson:
    """Show the rocker as a piece of a circle, and how little of it touches the ice."""
    blade = examples.blade("A", "A")
    rocker, half = blade.rocker, examples.length_mm / 2
    contact = solve_contact(blade, examples.stance("standing on both skates"), examples.ice)
    rise, across = rocker.height_mm(half), 2 * examples.radius_a_mm
    facts = (
        Fact("radius_a", "radius", examples.radius_a_mm, "rocker radius of blade A", CHOSEN),
        Fact(
            "across_a",
            "radius",
            across,
            "diameter of blade A's circle",
            GEOMETRY,
            everyday.circle(across / 1000),
        ),
        Fact("rise_a", "fine length", rise, "height of the ends of blade A above its lowest point", GEOMETRY),
        Fact(
            "length_a",
            "length",
            contact.length_mm,
            "steel of blade A on the ice, standing on both skates, at rest",
            like=everyday.puck_length(contact.length_mm),
        ),
        Fact("mass", "mass", examples.mass_kg, "the skater, fully dressed", CHOSEN),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        r, ring = examples.radius_a_mm, 500 * everyday.FACE_OFF_M
        most = max(r, ring)
        circle = stage(
            figure, 0.0, 0.0, 0.42, 1.0, xlim=(-1.08 * most, 1.08 * most), ylim=(-0.08 * most, 2.08 * most)
        )
        circle.set_aspect("equal")
        angle = np.linspace(0, 2 * np.pi, 200)
        pen.line(circle, ring * np.sin(angle), ring - ring * np.cos(angle), **FACE_OFF_LINE)
        pen.line(circle, r * np.sin(angle), r - r * np.cos(angle), color=QUIET, linewidth=3)
        x = np.linspace(-half, half, 20)
        pen.line(circle, x, rocker.height_mm(x), color=COLOUR["A"], linewidth=12, solid_capstyle="butt")
        names: list[tuple[str, Look]] = [
            ("blade A's\ncircle", {"color": TEXT_COLOUR["A"], "fontweight": "bold"}),
            ("face-off circle", {}),
        ]
        inner, outer = names if r < ring else reversed(names)
        least = min(r, ring)
        # Inside if there is space, or above; the name of the outer circle between the two, or inside too.
        low = 0.8 * least if least > 0.45 * most else 2 * least + 0.2 * most
        pen.write(circle, 0, low, inner[0], fontsize=SMALL_LETTERS, **inner[1])
        high = least + most if most - least > 0.12 * most else 1.4 * least
        pen.write(circle, 0, high, outer[0], fontsize=SMALL_LETTERS, **outer[1])

        side = stage(
            figure, 0.44, 0.0, 0.56, 1.0, xlim=(-half * 1.1, half * 1.1), ylim=(-rise * 1.0, rise * 2.6)
        )
        pen.draw_ice(side)
        pen.draw_edge(side, rocker, rise * 2.4)
        ends, mark = (contact.heel_end_mm, contact.toe_end_mm), -rise * 0.12
        pen.draw_bracket(side, (ends[0], mark), (ends[1], mark), (0, rise * 0.1), linewidth=5)
        pen.write(side, 0, -rise * 0.42, said["on_the_ice"])
        pen.write(side, -half * 0.85, rise * 2.1, "heel", fontsize=SMALL_LETTERS)
        pen.write(side, half * 0.87, rise * 2.1, "toe", fontsize=SMALL_LETTERS)
        pen.exaggerated(side, 0, -rise * 0.8)

    return Lesson(facts, draw, {"on_the_ice": ("{length_a} on the ice", "this much touches the ice")})


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
            everyday.thickness(float(np.abs(stepped.height_mm(x) - blended.height_mm(x)).max())),
        ),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        span = high - low
        limits = {"xlim": (-half * 1.5, half * 1.5), "ylim": (low - 0.95 * span, high + 0.5 * span)}
        axes = stage(figure, 0.0, 0.0, 1.0, 1.0, **limits)
        butt = {"solid_capstyle": "butt", "solid_joinstyle": "miter"}
        pen.line(axes, x, stepped.radius_mm(x), color=STEEL, linewidth=18, **butt)
        pen.line(axes, x, blended.radius_mm(x), color=INK, linewidth=5)
        pen.write(axes, -half * 1.04, high, f"curve\n{said['radius_heel']}", ha="right", fontweight="bold")
        pen.write(axes, half * 1.04, low, f"curve\n{said['radius_toe']}", ha="left", fontweight="bold")
        pen.write(axes, -half * 0.5, high + 0.22 * span, "flatter at the heel")
        pen.write(axes, half * 0.5, low - 0.22 * span, "rounder at the toe")
        pen.line(axes, [half * 0.25, half * 0.37], [high] * 2, color=STEEL, linewidth=18, **butt)
        pen.write(axes, half * 0.41, high, "stepped: at one spot", ha="left")
        pen.line(axes, [-half * 1.46, -half * 1.34], [low] * 2, color=INK, linewidth=5)
        pen.write(axes, -half * 1.3, low, "blended: little by little", ha="left")
        along = low - 0.72 * span
        pen.draw_arrow(axes, (-half * 0.85, along), (half * 0.85, along), linewidth=2, color=QUIET)
        pen.write(axes, -half, along, "heel")
        pen.write(axes, half, along, "toe")

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
                    like=everyday.thickness(bites[name]),
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
        width = examples.width_mm
        # So that both the groove and the bite are seen.
        unit = max(blades[deep].hollow.depth_mm, 0.5 * bites[deep])
        low, far = -bites[deep] - 0.8 * unit, 2.3 * width  # how deep, and how far from one blade to the other
        limits = {"xlim": (-0.45 * width, 4.55 * width), "ylim": (low, 3.4 * unit)}
        axes = stage(figure, 0.0, 0.0, 1.0, 1.0, **limits)
        left, right = axes.get_xlim()
        pen.fill(axes, [left, right], low, 0, facecolor=ICE, edgecolor="none")
        pen.line(axes, [left, right], [0, 0], color=ICE_LINE, linewidth=3)
        pen.line(axes, [0, far + 1.3 * width], [-bites[deep]] * 2, color=INK, linewidth=2, linestyle=":")
        u = np.linspace(0, width, 161)
        for name, at in (("A", 0.0), ("B", far)):
            word = "deep" if name == deep else "shallow"
            edge = blades[name].hollow.height_mm(u) - bites[name]
            draw_groove(axes, u + at, edge, 2.2 * unit, name)
            pen.blade_name(axes, at + width / 2, 2.8 * unit, name, f"\ngroove {said[f'hollow_{word}']}")
            beside = at + 1.08 * width
            pen.draw_bracket(axes, (beside, 0), (beside, -bites[name]), (-0.04 * width, 0))
            look = {"ha": "left", "va": "bottom", "fontsize": SMALL_LETTERS}
            label = pen.folded(said[f"bite_{word}_said"], 14)
            pen.write(axes, beside + 0.06 * width, 0.08 * unit, label, **look)
        pen.write(axes, -0.22 * width, 0.4 * unit, "ice", fontsize=SMALL_LETTERS)
        pen.exaggerated(axes, left + 0.03 * width, low + 0.05 * unit, ha="left", va="bottom")

    like = {name: everyday.thickness(bite) for name, bite in bites.items()}
    words: dict[str, str | tuple[str, str]] = {
        "deep": deep,
        "shallow": shallow,
        "bite_deep_said": "{bite_deep}",
        # The same comparison for both would tell nothing.
        "bite_shallow_said": (
            "{bite_shallow}",
            "a little less" if like[deep] == like[shallow] else "{bite_shallow}",
        ),
    }
    return Lesson(facts, draw, words)
