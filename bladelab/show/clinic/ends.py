"""The first slide of a clinic, and the last: what to take home."""

from __future__ import annotations

from matplotlib.figure import Figure, SubFigure

from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic import skate
from bladelab.show.clinic.lesson import Examples, Lesson, Said
from bladelab.show.clinic.stage import stage

#: What everyone should remember, whatever the topics.
REMEMBER = (
    "The curve decides how you turn and stand.",
    "The groove decides how the edges grip.",
    "Change one thing, skate it, write it down.",
)


def opening(examples: Examples) -> Lesson:
    """Show a skate, the foot in it and the blade under it."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = stage(figure, 0.0, 0.0, 1.0, 1.0, xlim=(skate.LEFT, skate.RIGHT), ylim=(-55, skate.TOP + 5))
        axes.set_aspect("equal")
        skate.draw_ice_under(axes)
        skate.draw_skate(axes)
        pen.write(axes, 0, -30, "the blade", color=pen.TEXT_COLOUR["A"], fontweight="bold")

    return Lesson((), draw)


def to_take_home(examples: Examples) -> Lesson:
    """Show what to remember, beside a skate."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = stage(figure, 0.6, 0.0, 0.4, 1.0, xlim=(skate.LEFT, skate.RIGHT), ylim=(-55, skate.TOP + 5))
        axes.set_aspect("equal")
        skate.draw_ice_under(axes)
        skate.draw_skate(axes)
        lines = stage(figure, 0.0, 0.0, 0.6, 1.0, xlim=(0, 1), ylim=(-0.5, len(REMEMBER) - 0.5))
        for number, line in enumerate(REMEMBER):
            y = len(REMEMBER) - 1 - number
            look = {"fontsize": 54, "color": pen.TEXT_COLOUR["A"], "fontweight": "bold"}
            pen.write(lines, 0.06, y, str(number + 1), **look)
            pen.write(lines, 0.15, y, pen.folded(line, 24), ha="left", fontsize=26)

    return Lesson((), draw)
