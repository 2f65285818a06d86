"""Topics on what happens on the ice: more steel, where you stand, turning and standing steady."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.advice.match import match_everywhere
from bladelab.physics.balance import rock_deg
from bladelab.physics.contact import solve_contact, solve_contacts
from bladelab.physics.measures import SHIFT_MM
from bladelab.physics.stance import Stance
from bladelab.show.canvas.style import INK
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.lesson import CHOSEN, Examples, Fact, Lesson, Said, moment, percent_apart
from bladelab.show.clinic.pictures import COLOUR, DASH, SMALL_LETTERS, TEXT_COLOUR
from bladelab.show.clinic.stage import stage

#: How far the weight is shifted in the pictures, as a share of the runner's length.
_SHIFT_SHARE = 1 / 7


def more_steel(examples: Examples) -> Lesson:
    """Show what more steel on the ice does to the bite, and which hollow brings bite or hold back."""
    short, long = examples.short, examples.long
    before, after = examples.blade(short, "A"), examples.blade(long, "A")
    glide, push = moment("one-foot glide"), moment("stride push")
    stance = glide.stance(examples.mass_kg)
    solved = solve_contacts([(blade, stance, examples.ice, glide.gliding) for blade in (before, after)])
    found = dict(zip((short, long), solved, strict=True))
    hollows = {
        (match.moment, match.keep): None if match.hollow is None else float(match.hollow.radius_mm)
        for match in match_everywhere(before, after.rocker, examples.mass_kg, examples.ice, (glide, push))
    }
    # None is an answer too: no hollow does it.
    matched = {"same_bite": hollows[glide, "bite"], "same_hold": hollows[push, "hold"]}
    radius = {"A": examples.radius_a_mm, "B": examples.radius_b_mm}
    meaning = {
        "same_bite": "hollow that gives the longer radius the bite of the shorter in a one-foot glide",
        "same_hold": "hollow that gives the longer radius the hold of the shorter in a stride push",
    }
    facts = (
        Fact("hollow_a", "hollow", examples.hollow_a_mm, "radius of hollow to start from", CHOSEN),
        Fact("radius_short", "radius", radius[short], f"rocker radius of blade {short}", CHOSEN),
        Fact("radius_long", "radius", radius[long], f"rocker radius of blade {long}", CHOSEN),
        Fact(
            "length_short",
            "fine length",
            found[short].length_mm,
            f"steel on the ice, rocker of {short}, one-foot glide",
        ),
        Fact(
            "length_long",
            "fine length",
            found[long].length_mm,
            f"steel on the ice, rocker of {long}, one-foot glide",
        ),
        Fact("bite_short", "depth", found[short].depth_mm, f"bite, rocker of {short}, one-foot glide"),
        Fact("bite_long", "depth", found[long].depth_mm, f"bite, rocker of {long}, one-foot glide"),
        Fact(
            "more_length",
            "percent",
            percent_apart(found[long].length_mm, found[short].length_mm),
            "how much more steel",
        ),
        Fact(
            "less_bite",
            "percent",
            percent_apart(found[long].depth_mm, found[short].depth_mm),
            "how much less bite",
        ),
        *(Fact(name, "hollow", value, meaning[name]) for name, value in matched.items() if value is not None),
    )
    words = {"short": short, "long": long, "practice": _practice(matched["same_hold"], examples.hollow_a_mm)}
    found_bite, found_hold = (matched[name] is not None for name in ("same_bite", "same_hold"))
    words |= {
        "bite_back_plain": "it takes a deeper groove to bite as deep"
        if found_bite
        else "no groove brings that bite back",
        "bite_back": "it takes a {same_bite} hollow to sink in as deep"
        if found_bite
        else "no hollow brings that back",
        "bite_back_short": "it takes {same_bite}" if found_bite else "no hollow does it",
        "hold_back_short": "{same_hold}" if found_hold else "none",
    }

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        scale = max(c.length_mm for c in found.values())
        left = stage(figure, 0.0, 0.02, 0.48, 0.96, xlim=(0, scale * 1.05), ylim=(-0.45, 3.3))
        pen.write(left, scale * 0.52, 3.0, "steel on the ice, same hollow", fontsize=SMALL_LETTERS)
        for name, y, word in ((short, 1.75, "short"), (long, 0.35, "long")):
            pen.draw_bar(left, y, found[name].length_mm, name, height=0.5)
            pen.blade_name(
                left,
                0,
                y + 0.52,
                name,
                f"'s rocker: {said[f'radius_{word}']}",
                ha="left",
                fontsize=SMALL_LETTERS,
            )
            pen.write(left, found[name].length_mm / 2, y, said[f"length_{word}"])
        right = stage(figure, 0.52, 0.02, 0.48, 0.96, xlim=(0, 1), ylim=(-0.45, 3.3))
        pen.write(right, 0.5, 3.0, f"from {said['hollow_a']}, the hollow needed", fontsize=SMALL_LETTERS)
        for y, what, name in (
            (1.75, "for the same bite", "same_bite"),
            (0.35, "for the same hold", "same_hold"),
        ):
            value = matched[name]
            pen.write(right, 0.04, y, what, ha="left", fontsize=SMALL_LETTERS)
            there = said[name] if value is not None else "none"
            pen.write(right, 0.75, y, there, fontweight="bold", color=TEXT_COLOUR[long])
            if value is not None:
                pen.write(
                    right,
                    0.99,
                    y - 0.48,
                    _deeper(value, examples.hollow_a_mm),
                    ha="right",
                    fontsize=SMALL_LETTERS,
                )

    return Lesson(facts, draw, words)


def _deeper(new_mm: float, old_mm: float) -> str:
    if abs(new_mm / old_mm - 1) < 0.005:
        return "no change"
    return "a deeper groove" if new_mm < old_mm else "a shallower groove"


def _practice(same_hold: float | None, hollow_mm: float) -> str:
    if same_hold is None:
        return "For hold in a push, no hollow brings it back here."
    found = {
        "no change": "stay as it is",
        "a deeper groove": "be deeper",
        "a shallower groove": "be shallower",
    }
    return (
        f"For the same hold in a push, the groove here has to {found[_deeper(same_hold, hollow_mm)]}: the "
        "model agrees with the trade only if that is shallower. For the same bite it always has to be "
        "deeper."
    )


def where_you_stand(examples: Examples) -> Lesson:
    """Show the boot tipping back and forward as the weight moves along the blade."""
    shift = round(examples.length_mm * _SHIFT_SHARE / 5) * 5.0
    middle = examples.stance("standing on both skates")
    load = middle.load_N
    places = Stance(load, np.array([-shift, shift]))
    solved = solve_contacts([(examples.blade(name, name), places, examples.ice, False) for name in "AB"])
    pitch = {name: contact.pitch_deg for name, contact in zip("AB", solved, strict=True)}
    facts = (
        Fact("shift", "length", shift, "how far the weight moves along the blade", CHOSEN),
        Fact("small_shift", "length", SHIFT_MM, "a small shift of the weight", CHOSEN),
        *(
            Fact(
                f"tip_{n.lower()}",
                "angle",
                pitch[n][1],
                f"boot tips forward on blade {n}, weight toward the toe",
            )
            for n in "AB"
        ),
        *(
            Fact(
                f"back_{n.lower()}",
                "angle",
                -pitch[n][0],
                f"boot tips back on blade {n}, weight toward the heel",
            )
            for n in "AB"
        ),
        *(
            Fact(
                f"rock_{n.lower()}",
                "fine angle",
                rock_deg(examples.blade(n, n), middle, examples.ice),
                f"boot tips on blade {n} for the small shift",
            )
            for n in "AB"
        ),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        blade, half = examples.blade("A", "A"), examples.length_mm / 2
        rise = blade.rocker.height_mm(half)
        for left, sign, text in ((0.0, -1, "back_a"), (0.51, 1, "tip_a")):
            axes = stage(
                figure, left, 0.02, 0.49, 0.96, xlim=(-half * 1.1, half * 1.1), ylim=(-rise * 1.1, rise * 4.4)
            )
            contact = solve_contact(blade, Stance(load, sign * shift), examples.ice)
            slope = np.tan(np.radians(contact.pitch_deg))
            # The edge turned with the boot, so that its lowest point is on the ice.
            x = np.linspace(-half, half, 561)
            lowest = (blade.rocker.height_mm(x) - slope * x).min()
            pen.draw_ice(axes)
            pen.draw_edge(axes, blade.rocker, rise * 2.0, tilt=slope, lift=-lowest)
            pen.draw_stretch(axes, contact, -rise * 0.1)
            pen.draw_arrow(axes, (sign * shift, rise * 3.3), (sign * shift, rise * 0.45))
            pen.write(axes, sign * shift, rise * 3.85, f"weight toward the {'toe' if sign > 0 else 'heel'}")
            way = "forward" if sign > 0 else "back"
            pen.write(axes, 0, -rise * 0.68, f"tips {said[text]} {way}", fontweight="bold", color=INK)

    return Lesson(facts, draw, cautions=("first",))


def turn_or_steady(examples: Examples) -> Lesson:
    """Show the turn of both blades at one lean, and how much each tips when the weight shifts."""
    tight = moment("tight turn")
    blades = {name: examples.blade(name, name) for name in "AB"}
    stance = tight.stance(examples.mass_kg)
    solved = solve_contacts([(blade, stance, examples.ice, tight.gliding) for blade in blades.values()])
    turns = dict(zip("AB", solved, strict=True))
    rocks = {
        name: rock_deg(blade, examples.stance("standing on both skates"), examples.ice)
        for name, blade in blades.items()
    }
    facts = (
        Fact("lean", "angle", tight.lean_deg, "lean of the blade in a tight turn", CHOSEN),
        Fact("small_shift", "length", SHIFT_MM, "a small shift of the weight", CHOSEN),
        *(
            Fact(
                f"turn_{n.lower()}",
                "distance",
                turns[n].carve_radius_m,
                f"radius of blade {n}'s turn at that lean",
            )
            for n in "AB"
        ),
        *(
            Fact(
                f"yaw_{n.lower()}",
                "moment",
                turns[n].yaw_hold_Nm,
                f"moment that keeps blade {n} from spinning out, tight turn",
            )
            for n in "AB"
        ),
        *(
            Fact(
                f"rock_{n.lower()}",
                "fine angle",
                rocks[n],
                f"how far the boot tips on blade {n} for the small shift",
            )
            for n in "AB"
        ),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        widest = max(c.carve_radius_m for c in turns.values())
        axes = stage(
            figure,
            0.0,
            0.0,
            0.5,
            1.0,
            xlim=(-0.25 * widest, 2.5 * widest),
            ylim=(-0.12 * widest, 2.1 * widest),
        )
        axes.set_aspect("equal", anchor="W")
        angle = np.linspace(-np.pi / 2, np.pi / 2, 120)
        for name in "AB":
            r = turns[name].carve_radius_m
            pen.line(
                axes,
                r * np.cos(angle),
                r + r * np.sin(angle),
                color=COLOUR[name],
                linestyle=DASH[name],
                linewidth=6,
            )
        for name, y in ((examples.long, 1.55), (examples.short, 0.45)):
            r = turns[name].carve_radius_m
            pen.blade_name(
                axes, 1.14 * widest, y * widest, name, f": {said[f'turn_{name.lower()}']}", ha="left"
            )
        pen.write(axes, 1.14 * widest, 1.0 * widest, "turn, from above", ha="left", fontsize=SMALL_LETTERS)
        right = stage(figure, 0.53, 0.02, 0.47, 0.96, xlim=(0, max(rocks.values()) * 1.05), ylim=(-0.45, 3.3))
        pen.write(
            right,
            0,
            3.0,
            f"boot tips for a {said['small_shift']} shift",
            ha="left",
            fontsize=SMALL_LETTERS,
        )
        for name, y in (("A", 1.75), ("B", 0.35)):
            pen.draw_bar(right, y, rocks[name], name, height=0.5)
            steady = ", steadier" if name == examples.long else ""
            pen.blade_name(right, 0, y + 0.52, name, steady, ha="left", fontsize=SMALL_LETTERS)
            pen.write(right, rocks[name] / 2, y, said[f"rock_{name.lower()}"], color=INK)

    return Lesson(facts, draw, {"short": examples.short, "long": examples.long}, cautions=("first",))
