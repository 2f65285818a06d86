"""Questions on what to do with a blade: what the room looks at before it knows the answer."""

from __future__ import annotations

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.show.canvas.style import INK
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic import skate
from bladelab.show.clinic.lesson import Examples, Lesson, Said
from bladelab.show.clinic.pictures import COLOUR, SMALL_LETTERS
from bladelab.show.clinic.questions import skate_stage
from bladelab.show.clinic.stage import stage


def which_one(examples: Examples) -> Lesson:
    """Show a skate with two things changed."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = skate_stage(figure, 0.0, 1.0, 300)
        skate.draw_skate(axes)
        for sign, words in ((-1, "a new curve"), (1, "a new groove")):
            pen.write(axes, sign * 190, 140, words, ha="right" if sign < 0 else "left", fontweight="bold")
            pen.draw_arrow(axes, (sign * 250, 110), (sign * 120, 22), linewidth=4)
        pen.write(axes, 0, -37, "?", fontsize=54, fontweight="bold")

    return Lesson((), draw)


def does_it_stay(examples: Examples) -> Lesson:
    """Show the edge at the start of a season, and nobody knows it after."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        rocker, half = examples.blade("A", "A").rocker, examples.length_mm / 2
        rise = rocker.height_mm(half)
        for left, words in ((0.0, "first week"), (0.52, "last week")):
            axes = stage(
                figure, left, 0.0, 0.48, 1.0, xlim=(-half * 1.1, half * 1.1), ylim=(-0.75 * rise, 2.8 * rise)
            )
            pen.draw_ice(axes)
            pen.write(axes, 0, 2.4 * rise, words, fontweight="bold")
            if left:
                x = np.linspace(-half, half, 81)
                look = {"color": COLOUR["A"], "linewidth": 4, "linestyle": (0, (1, 2))}
                pen.line(axes, x, rocker.height_mm(x), **look)
                pen.write(axes, 0, 1.2 * rise, "?", fontsize=72, fontweight="bold")
            else:
                pen.draw_edge(axes, rocker, rise * 1.75)
                pen.write(axes, -half * 0.82, rise * 1.45, "heel", fontsize=SMALL_LETTERS)
                pen.write(axes, half * 0.84, rise * 1.45, "toe", fontsize=SMALL_LETTERS)
                pen.exaggerated(axes, 0, -0.4 * rise)

    return Lesson((), draw)


def how_slippery(examples: Examples) -> Lesson:
    """Show a skate that glides until it stops."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = skate_stage(figure, 0.0, 1.0, 300)
        skate.draw_skate(axes, at=-250, foot=False)
        pen.draw_arrow(axes, (-40, 60), (400, 60), linewidth=6, color=INK)
        pen.write(axes, 180, 110, "it glides, and it slows down")
        pen.write(axes, 420, -40, "how far?", ha="right", fontweight="bold")
        pen.write(axes, -250, -40, "start", fontsize=SMALL_LETTERS)

    return Lesson((), draw)
