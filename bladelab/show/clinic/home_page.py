"""The quiz and the example blades of a clinic as one page to take home: no network, made for a phone."""

from __future__ import annotations

import html
from collections.abc import Generator
from functools import partial

from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import phone_html
from bladelab.show.clinic.lesson import YOUNG
from bladelab.show.clinic.quiz import QUESTIONS
from bladelab.show.clinic.quiz_panel import answer, quiz_of
from bladelab.show.panel.long_work import Step
from bladelab.show.panel.take_home import page_to_take_home
from bladelab.show.wording.units_shown import UNITS

#: What the page asks, and about how many pairs, the first ones; the last dial is what the reader guesses.
DIALS, STEPS = ("question", "pair", "guess"), (len(QUESTIONS), 8, 4)

_HEADING = "Which of two blades is better at what?"


def home_page(deck: Deck) -> Generator[Step, None, bytes]:
    """Make the page: the quiz for the group's skater and runner, and below it what the clinic showed.

    Yields
    ------
    Step
        After each setting.

    Returns
    -------
    bytes
        The HTML of the page.
    """
    steps = _in_units_of_page(deck)
    while True:
        # Between two steps the notebook goes on in its own units.
        with UNITS.lent(deck.system):
            try:
                step = next(steps)
            except StopIteration as end:
                page: bytes = end.value
                return page
        yield step


def _in_units_of_page(deck: Deck) -> Generator[Step, None, bytes]:
    pairs = STEPS[DIALS.index("pair")]
    panel = quiz_of(pairs)()
    try:
        with panel.quiet():
            panel.dials["length_mm"].value = deck.examples.length_mm
            panel.dials["mass_kg"].value = deck.examples.mass_kg
        told = partial(answer, pairs=pairs, plain=deck.audience == YOUNG)
        return (yield from page_to_take_home(panel, told, DIALS, STEPS, _what_we_saw(deck), _HEADING))
    finally:
        panel.close()


def _what_we_saw(deck: Deck) -> str:
    """The example blades and the findings, as HTML."""
    said = deck.slide("blades").said
    shapes = "; ".join(
        f"blade {name}: curve {said[f'radius_{name.lower()}']}, groove {said[f'hollow_{name.lower()}']}"
        for name in "AB"
    )
    parts = [
        f"<section><h2>{html.escape(deck.name)}</h2>",
        *([f"<p>{html.escape(deck.contact)}</p>"] if deck.contact else []),
        f"<p>The two example blades (invented): {html.escape(shapes)}.</p>",
    ]
    for slide in deck.findings:
        shown, small = phone_html(slide)
        parts.append(
            f"<h3>{html.escape(slide.title)}</h3>"
            f'<div class="shown">{shown}</div>'
            f"<p>{html.escape(f'{slide.sentence} {small}'.strip())}</p>"
        )
    return "\n".join([*parts, "</section>"])
