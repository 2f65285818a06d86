"""A topic on what happens on the ice: more steel, and which hollow goes with it."""

from __future__ import annotations

from matplotlib.figure import Figure, SubFigure

from bladelab.advice.match import match_everywhere
from bladelab.physics.contact import solve_contacts
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.lesson import CHOSEN, Examples, Fact, Lesson, Said, moment, percent_apart
from bladelab.show.clinic.pictures import SMALL_LETTERS, TEXT_COLOUR
from bladelab.show.clinic.stage import stage


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
        rows = ((short, 2.0, "short"), (long, 0.75, "long"))
        columns = (
            (
                "steel on the ice",
                "length",
                0.0,
                {n: c.length_mm for n, c in found.items()},
                "more_length",
                "more",
            ),
            ("edges sink in", "bite", 0.335, {n: c.depth_mm for n, c in found.items()}, "less_bite", "less"),
        )
        for title, key, left, values, change, word in columns:
            top = max(values.values())
            axes = stage(figure, left, 0.0, 0.3, 1.0, xlim=(0, top * 1.06), ylim=(-0.2, 3.5))
            pen.write(axes, 0, 3.2, title, ha="left")
            for name, y, which in rows:
                pen.draw_bar(axes, y, values[name], name, height=0.5)
                pen.write(axes, values[name] / 2, y, said[f"{key}_{which}"])
                if key == "length":
                    pen.blade_name(axes, 0, y + 0.48, name, ha="left", fontsize=SMALL_LETTERS)
            ends = sorted(values.values())
            pen.draw_bracket(axes, (ends[0], 0.38), (ends[1], 0.38), (0, 0.1))
            pen.write(
                axes,
                top,
                0.1,
                f"{said[change]} {word}",
                ha="right",
                fontweight="bold",
                fontsize=SMALL_LETTERS,
            )
        right = stage(figure, 0.665, 0.0, 0.335, 1.0, xlim=(0, 1), ylim=(-0.2, 3.5))
        pen.write(right, 0, 3.2, f"instead of {said['hollow_a']}", ha="left", fontsize=SMALL_LETTERS)
        for y, what, name in (
            (2.15, "for the same bite", "same_bite"),
            (0.55, "for the same hold", "same_hold"),
        ):
            value = matched[name]
            pen.write(right, 0, y + 0.48, what, ha="left", fontsize=SMALL_LETTERS)
            there = said[name] if value is not None else "none"
            pen.write(right, 0, y, there, ha="left", fontweight="bold", color=TEXT_COLOUR[long])
            if value is not None:
                deeper = _deeper(value, examples.hollow_a_mm)
                pen.write(right, 0, y - 0.4, deeper, ha="left", fontsize=SMALL_LETTERS)

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
