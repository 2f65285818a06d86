"""A topic on sharp and dull edges: what a dull one loses first."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.advice.dulling import DULL_MM, duller_than
from bladelab.physics.contact import solve_contacts
from bladelab.shape.blade import Blade
from bladelab.show.canvas.style import ICE, ICE_LINE, INK, STEEL
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.everyday import Like, thickness
from bladelab.show.clinic.lesson import CHOSEN, Examples, Fact, Lesson, Said, moment
from bladelab.show.clinic.pictures import COLOUR, SMALL_LETTERS
from bladelab.show.clinic.stage import stage

#: The edges over which the hold is looked for, mm; as wide as the narrowest runner of a clinic allows.
_EDGES_MM = np.concatenate([np.linspace(0.0, 0.12, 49), np.linspace(0.14, 0.6, 24)])
#: Per cent; less than that is called nothing (our own choice).
_NOTHING = 0.5
#: Of the drawing, as a share of the runner's width: so round that everyone sees it.
_DRAWN_SHARE = 0.07


def _in_words(percent: float) -> Like:
    """What is left, for young players."""
    steps = (
        (90, "nearly all"),
        (60, "most"),
        (40, "about half"),
        (15, "only a little"),
        (_NOTHING, "hardly any"),
    )
    return Like(
        next((words for least, words in steps if percent >= least), "nothing"), "our own words for it"
    )


def _dull(blade: Blade, edge_mm: float | np.ndarray) -> Blade:
    return replace(blade, hollow=replace(blade.hollow, edge_radius_mm=edge_mm))


def which_goes_first(examples: Examples) -> Lesson:
    """Show a sharp and a dull edge over the ice."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        width, groove = examples.width_mm, examples.blade("A", "A").hollow
        for words, edge, left in (("sharp", 0.0, 0.0), ("dull", _DRAWN_SHARE * width, 0.52)):
            hollow = replace(groove, edge_radius_mm=edge)
            high = max(groove.depth_mm, 1.4 * _DRAWN_SHARE * width)
            limits = {"xlim": (-0.3 * width, 0.75 * width), "ylim": (-1.2 * high, 4.2 * high)}
            axes = stage(figure, left, 0.0, 0.48, 1.0, **limits)
            pen.fill(axes, axes.get_xlim(), -1.2 * high, 0, facecolor=ICE, edgecolor="none")
            pen.line(axes, axes.get_xlim(), [0, 0], color=ICE_LINE, linewidth=3)
            u = width * (1 - np.cos(np.linspace(0, np.pi * 0.7, 161))) / 2
            bottom = np.asarray(hollow.height_mm(u)) + 0.4 * high
            pen.fill(axes, u, bottom, 3.2 * high, facecolor=STEEL, edgecolor="none")
            pen.line(axes, u, bottom, color=COLOUR["A"], linewidth=5)
            pen.line(axes, [0, 0], [bottom[0], 3.2 * high], color=INK, linewidth=2)
            pen.write(axes, 0.22 * width, 3.7 * high, words, fontweight="bold")
            pen.write(axes, -0.16 * width, -0.6 * high, "ice", fontsize=SMALL_LETTERS)
            if edge:
                pen.small_print(axes, 0.4 * width, -0.6 * high, "roundness exaggerated")
            else:
                pen.write(axes, 0.35 * width, -0.6 * high, "seen from the end", fontsize=SMALL_LETTERS)

    return Lesson((), draw)


def sharp_and_dull(examples: Examples) -> Lesson:
    """Show what is left of bite and hold with dull edges, and when the hold is gone in each groove."""
    push, ice = moment("stride push"), examples.ice
    stance = push.stance(examples.mass_kg)
    grooves = {name: examples.blade("A", name) for name in (examples.deep, examples.shallow)}
    own = examples.blade("A", "A")
    asked = [own, _dull(own, DULL_MM), *(_dull(blade, _EDGES_MM) for blade in grooves.values())]
    sharp, dull, *over = solve_contacts([(blade, stance, ice, push.gliding) for blade in asked])
    gone = {
        name: duller_than(one.hold_deg, edges_mm=_EDGES_MM) for name, one in zip(grooves, over, strict=True)
    }
    bite_left = 100 * dull.depth_mm / sharp.depth_mm
    hold_left = max(100 * dull.hold_deg / sharp.hold_deg, 0.0)
    facts = (
        Fact("edge", "fine depth", DULL_MM, "radius of the dull edge", CHOSEN, like=thickness(DULL_MM)),
        *(
            Fact(
                f"{what}_left",
                "percent",
                left,
                f"share of blade A's {what} in a stride push that the dull edge keeps",
                like=_in_words(left),
            )
            for what, left in (("bite", bite_left), ("hold", hold_left))
        ),
        *(
            fact
            for word, name in (("deep", examples.deep), ("shallow", examples.shallow))
            for fact in (
                Fact(
                    f"hollow_{word}",
                    "hollow",
                    grooves[name].hollow.radius_mm,
                    f"radius of hollow of blade {name}",
                    CHOSEN,
                ),
                Fact(
                    f"gone_{word}",
                    "depth",
                    gone[name],
                    f"edge radius at which the hold of blade {name}'s groove is gone in a stride push",
                ),
            )
        ),
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        limits = {"xlim": (-2.0, 148.0), "ylim": (-0.7, 3.1)}
        axes = stage(figure, 0.33, 0.0, 0.67, 1.0, **limits)
        names = stage(figure, 0.0, 0.0, 0.33, 1.0, xlim=(0, 1), ylim=(-0.7, 3.1))
        pen.line(axes, [0, 0], [-0.5, 2.5], color=INK, linewidth=3)
        pen.write(axes, 63, 2.78, pen.folded(said["header"], 34), fontsize=SMALL_LETTERS)
        for y, name, words in (
            (1.6, "bite_left", "how deep it sinks in"),
            (0.2, "hold_left", "how well it grips"),
        ):
            value = bite_left if name == "bite_left" else hold_left
            pen.bar(axes, y, 100.0, 0.7, facecolor="none", edgecolor=INK, linewidth=2, linestyle=(0, (3, 3)))
            pen.draw_bar(axes, y, value, "A", height=0.7)
            pen.write(axes, 102, y, pen.folded(said[f"{name}_said"], 10), ha="left", fontweight="bold")
            pen.write(names, 0.0, y, words, ha="left", fontsize=SMALL_LETTERS)

    words: dict[str, str | tuple[str, str]] = {
        "header": ("what an edge rounded by {edge} keeps in a push", "what a dull edge keeps in a push"),
        "bite_left_said": "{bite_left}",
        "hold_left_said": "{hold_left}" if hold_left >= _NOTHING else "nothing",
    }
    return Lesson(facts, draw, words, cautions=("grind", "health"))
