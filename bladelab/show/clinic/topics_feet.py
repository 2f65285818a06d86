"""Topics on what you feel in your feet: where you stand, turning and standing steady."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.physics.balance import rock_deg
from bladelab.physics.contact import solve_contacts
from bladelab.physics.measures import SHIFT_MM
from bladelab.physics.stance import Stance
from bladelab.show.canvas.style import QUIET
from bladelab.show.clinic import everyday, skate
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.lesson import CHOSEN, Examples, Fact, Lesson, Said, moment
from bladelab.show.clinic.pictures import COLOUR, DASH, FACE_OFF_LINE, SMALL_LETTERS
from bladelab.show.clinic.questions import skate_stage
from bladelab.show.clinic.stage import stage

#: How far the weight is shifted in the pictures, as a share of the runner's length.
_SHIFT_SHARE = 1 / 7
#: How far a boot tips in the pictures: a true angle would not be seen.
_TIP_DRAWN_DEG = 12.0
#: Where the blade touches the ice then, right of the middle of its picture.
_UNDER = 70.0
#: Steadiness is told by the shift of weight that tips the boot so far.
_SMALL_TIP_DEG = 1.0


def where_you_stand(examples: Examples) -> Lesson:
    """Show the boot of each blade tipping forward as the weight moves toward the toe."""
    shift = round(examples.length_mm * _SHIFT_SHARE / 5) * 5.0
    middle = examples.stance("standing on both skates")
    places = Stance(middle.load_N, np.array([-shift, shift]))
    solved = solve_contacts([(examples.blade(name, name), places, examples.ice, False) for name in "AB"])
    pitch = {name: contact.pitch_deg for name, contact in zip("AB", solved, strict=True)}
    heel_up = {n: examples.length_mm * float(np.tan(np.radians(pitch[n][1]))) for n in "AB"}
    facts: tuple[Fact, ...] = (
        Fact("shift", "length", shift, "how far the weight moves along the blade", CHOSEN),
        Fact("small_shift", "length", SHIFT_MM, "a small shift of the weight", CHOSEN),
        *(
            Fact(
                f"tip_{n.lower()}",
                "angle",
                pitch[n][1],
                f"boot tips forward on blade {n}, weight toward the toe",
                like=everyday.cards(heel_up[n]),
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
    larger = _TIP_DRAWN_DEG / max(float(pitch[n][1]) for n in "AB")
    facts += (Fact("larger", "count", larger, "how many times the picture exaggerates the angle", CHOSEN),)
    short, long = examples.short, examples.long
    words: dict[str, str | tuple[str, str]] = {
        "short": short,
        "long": long,
        "tip_short": f"{{tip_{short.lower()}}}",
        "tip_long": f"{{tip_{long.lower()}}}",
    }

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        for name, left in (("A", 0.0), ("B", 0.52)):
            axes = skate_stage(figure, left, 0.48, 60)
            tip = pitch[name][1] * larger
            heel = skate.draw_skate(axes, name, tip, at=_UNDER)
            # The ice is right below the weight.
            pen.draw_arrow(axes, (_UNDER, 330), (_UNDER, 165), color=QUIET, linewidth=6)
            pen.write(axes, _UNDER + 15, 290, "weight", ha="left", fontsize=SMALL_LETTERS)
            # How high the heel is over the ice.
            beside = heel[0] - 14
            pen.draw_bracket(axes, (beside, 0), (beside, heel[1]), (12, 0))
            pen.blade_name(axes, -220, -30, name, said[f"tips_{name.lower()}"], ha="left")
            pen.small_print(axes, 240, -62, f"angle exaggerated {said['larger']}x", ha="right")

    for n in "ab":
        words[f"tips_{n}"] = f" tips {{tip_{n}}}", f": {{tip_{n}}}"
    return Lesson(facts, draw, words, cautions=("first",))


def turn_or_steady(examples: Examples) -> Lesson:
    """Show the turn of both blades at one lean, and how far the weight may shift before the boot tips."""
    tight = moment("tight turn")
    blades = {name: examples.blade(name, name) for name in "AB"}
    stance = tight.stance(examples.mass_kg)
    solved = solve_contacts([(blade, stance, examples.ice, tight.gliding) for blade in blades.values()])
    turns = dict(zip("AB", solved, strict=True))
    across = {name: 2 * float(contact.carve_radius_m) for name, contact in turns.items()}
    middle = examples.stance("standing on both skates")
    rocks = {name: rock_deg(blade, middle, examples.ice) for name, blade in blades.items()}
    steady = {name: _SMALL_TIP_DEG * SHIFT_MM / rocks[name] for name in "AB"}
    facts = (
        Fact("lean", "angle", tight.lean_deg, "lean of the blade in a tight turn", CHOSEN),
        Fact("small_shift", "length", SHIFT_MM, "a small shift of the weight", CHOSEN),
        Fact("small_tip", "angle", _SMALL_TIP_DEG, "a small tip of the boot", CHOSEN),
        *(
            Fact(
                f"turn_{n.lower()}",
                "distance",
                across[n],
                f"width of the circle that blade {n} draws at that lean",
                like=everyday.circle(across[n]),
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
        *(
            Fact(
                f"steady_{n.lower()}",
                "length",
                steady[n],
                f"shift of the weight that tips the boot on blade {n} by the small tip",
            )
            for n in "AB"
        ),
    )
    short, long = examples.short, examples.long
    words: dict[str, str | tuple[str, str]] = {
        "short": short,
        "long": long,
        "turn_short": f"{{turn_{short.lower()}}}",
        "shift_for": (
            "weight shift that tips the boot {small_tip}",
            "how far your weight can move before the boot tips",
        ),
        **{f"bar_{n.lower()}": (f"{{steady_{n.lower()}}}", "") for n in "AB"},
        **{f"width_{n.lower()}": (f"\n{{turn_{n.lower()}}} across", "'s\ncircle") for n in "AB"},
    }

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        ring = everyday.FACE_OFF_M / 2
        widest = max(*across.values(), 2 * ring) / 2
        axes = stage(
            figure,
            0.0,
            0.0,
            0.56,
            1.0,
            xlim=(-1.05 * widest, 2.95 * widest),
            ylim=(-0.1 * widest, 2.1 * widest),
        )
        axes.set_aspect("equal", anchor="W")
        angle = np.linspace(-np.pi, np.pi, 160)
        pen.line(axes, ring * np.cos(angle), ring + ring * np.sin(angle), **FACE_OFF_LINE)
        for name in "AB":
            r = across[name] / 2
            look = {"color": COLOUR[name], "linestyle": DASH[name], "linewidth": 6}
            pen.line(axes, r * np.cos(angle), r + r * np.sin(angle), **look)
        beside = 1.12 * widest
        for name, y in ((long, 1.7), (short, 0.35)):
            pen.blade_name(
                axes,
                beside,
                y * widest,
                name,
                said[f"width_{name.lower()}"],
                ha="left",
                fontsize=SMALL_LETTERS,
            )
        pen.write(axes, beside, 1.2 * widest, "dotted:", ha="left", fontsize=SMALL_LETTERS)
        pen.write(axes, beside, 0.95 * widest, "face-off circle", ha="left", fontsize=SMALL_LETTERS)
        right = stage(figure, 0.57, 0.0, 0.43, 1.0, xlim=(0, max(steady.values()) * 1.05), ylim=(-0.3, 3.5))
        pen.write(right, 0, 3.05, pen.folded(said["shift_for"], 25), ha="left", fontsize=SMALL_LETTERS)
        for name, y in (("A", 1.75), ("B", 0.35)):
            pen.draw_bar(right, y, steady[name], name, height=0.55)
            word = ", steadier" if name == long else ""
            pen.blade_name(right, 0, y + 0.52, name, word, ha="left", fontsize=SMALL_LETTERS)
            pen.write(right, steady[name] / 2, y, said[f"bar_{name.lower()}"])

    return Lesson(facts, draw, words, cautions=("first",))
