"""The clinics that the tests look at: each audience, both systems of units, plain and awkward example
blades."""

from __future__ import annotations

import re
from functools import cache

from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from bladelab import feet, inches
from bladelab.show.canvas.style import style_context
from bladelab.show.clinic.deck import Deck, build_deck
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.clinic.slide import Slide
from bladelab.units import SYSTEMS

EXAMPLES = {
    "plain": Examples(),
    # The longer radius and the deeper groove change sides.
    "turned round": Examples(feet(13), inches("3/4"), feet(9), inches("7/16"), mass_kg=35, temperature_C=-3),
    "odd numbers": Examples(3517.3, 22.37, 2611.9, 9.81, 263.5, 3.9, 101.3, -7.3, 63.0),
    "far apart": Examples(1200, 5, 12000, 40, 340, 2, 150, -1, 100),
    "close": Examples(3000, 12.7, 3060, 12.9),
}


@cache
def deck(audience: str, system: str, examples: str) -> Deck:
    """The whole clinic for one choice."""
    return build_deck(audience, examples=EXAMPLES[examples], system=system)


def picture_of(slide: Slide) -> Figure:
    """The picture of a slide, a dot to each point; its axes have their shape, and its texts their places."""
    place = slide.layout.picture
    figure = Figure(figsize=(place.width, place.height), dpi=72)
    FigureCanvasAgg(figure)
    with style_context():
        slide.draw(figure)
        for axes in figure.axes:
            axes.apply_aspect()
    return figure


#: Every combination, as pytest parameters with names that can be read.
ALL = [(audience, system, name) for audience in AUDIENCES for system in SYSTEMS for name in EXAMPLES]

#: A number as it is written, fractions too.
NUMBER = re.compile(r"\d+(?:\.\d+)?(?:\s*/\s*\d+)?")
