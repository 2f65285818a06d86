"""The clinic under the trainer's hands: choose, look at every slide, put in own words, write the files."""

from __future__ import annotations

import base64
import html
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager, suppress
from copy import deepcopy
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.show.clinic.deck import EDITABLE, TOPICS, Deck, build_deck
from bladelab.show.clinic.drawing import Page
from bladelab.show.clinic.files_page import FilesPage
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.clinic.overview import Overview
from bladelab.show.controls import Choice, Control, Slider, Tick
from bladelab.show.dials import class_of, make_dials, read
from bladelab.show.follower import Follower
from bladelab.show.long_work import AtRest, WhileMoving
from bladelab.show.preference import SYSTEMS, UNITS
from bladelab.show.saving import FOLDER
from bladelab.show.stylesheet import PANEL_CSS, PRINT_CSS
from bladelab.show.type_face import type_face
from bladelab.show.words import own_fault

_SLIDE_PX = 720
_CSS = """<style>
.bladelab-panel.bladelab-clinic {max-width: min(960px, 100%)}
/* The slide stays in sight above its controls, not above the overview; it hides what scrolls by beside it. */
.bladelab-clinic > .widget-vbox {overflow: visible}
.bladelab-clinic .bladelab-picture {aspect-ratio: 13.333/7.5; border: 1px solid #999;
  box-shadow: 240px 0 white}
.bladelab-sheet .widget-html-content {display: grid; grid-template-columns: repeat(4, 1fr); gap: 6px;
  line-height: 0}
.bladelab-sheet img {width: 100%; border: 1px solid #999}
.bladelab-sheet .bladelab-now {outline: 3px solid #0072B2}
.bladelab-clinic .widget-label {text-align: right}
/* A control that gets the focus must not end up under the slide. */
.bladelab-clinic :is(.noUi-handle, input, select, button, textarea, [tabindex])
  {scroll-margin: 435px 0 20px 0}
</style>"""


def _slider(key: str, label: str, group: str, low: float, high: float, quantity: str) -> Slider:
    """Return a slider for a field of `Examples`, which begins at that field's default."""
    return Slider(key, label, group, low=low, high=high, default=getattr(Examples, key), quantity=quantity)


_BLADES: tuple[Control, ...] = (
    _slider("radius_a_mm", "blade A, rocker", "rocker", 1200, 12000, "radius"),
    _slider("radius_b_mm", "blade B, rocker", "rocker", 1200, 12000, "radius"),
    _slider("hollow_a_mm", "blade A, hollow", "hollow", 5, 40, "hollow"),
    _slider("hollow_b_mm", "blade B, hollow", "hollow", 5, 40, "hollow"),
    _slider("length_mm", "runner", "rocker", 200, 340, "length"),
    _slider("width_mm", "thickness", "hollow", 2, 5, "fine length"),
    _slider("blend_mm", "blend", "rocker", 10, 100, "length"),
    _slider("mass_kg", "skater", "skater", 20, 150, "mass"),
    _slider("temperature_C", "ice", "ice", -15, -1, "temperature"),
)
_ABOUT: tuple[Control, ...] = (
    Choice("audience", "audience", "view", options=tuple((a, a) for a in AUDIENCES), default=AUDIENCES[1]),
)
_TOPICS: tuple[Control, ...] = tuple(
    Tick(key, text, "view", default=True) for key, (text, _) in TOPICS.items()
)


class ClinicPanel(Follower):
    """Choices, a preview of every slide, the trainer's own words, and the files.

    Parameters
    ----------
    folder : path, optional
        Where files go: ``saved`` beside the notebook.

    Attributes
    ----------
    dials : dict of str to Dial
        Of everything that shapes the slides: ``panel.dials["audience"].value = "coaches"``.
    files : FilesPage
    overview : Overview
    deck : Deck
        As shown; the last good one while the choices have a fault.
    at_rest : AtRest
        What waits until the hand rests: to look through the slides out of sight.
    moving : WhileMoving
        What answers the steps of the sliders.
    message : str
        What the line under the slide says.
    fault : bool
        Whether the choices can't be made into slides.
    """

    def __init__(self, folder: str | Path = FOLDER) -> None:
        self._own_words: dict[tuple[str, str], dict[str, str]] = {}
        self._at, self._busy = 0, False
        self.message, self.fault = "", False
        self._good: SimpleNamespace | None = None
        self._good_units = UNITS.system
        controls = (*_ABOUT, *_TOPICS, *_BLADES)
        self.moving = WhileMoving(self.refresh)
        self.dials = make_dials(controls, self.moving.step)
        self.deck: Deck = build_deck()
        self.files = FilesPage(self._deck_as_chosen, folder, self.deck.name, self.refresh)
        self.overview, self.at_rest = Overview(), AtRest(self._look_through)
        self._page = Page()
        super().__init__(
            [
                widgets.HTML(
                    PANEL_CSS + PRINT_CSS + _CSS + type_face(), layout=widgets.Layout(display="none")
                ),
                *self._parts(),
            ]
        )
        self.add_class("bladelab-panel")
        self.add_class("bladelab-clinic")
        self.refresh()

    # What it is made of

    def _parts(self) -> list[widgets.Widget]:
        self._slide, self._note = widgets.HTML(), widgets.HTML()
        self._note.add_class("bladelab-sentence")
        frame = widgets.Box([self._slide], layout=widgets.Layout(width=f"{_SLIDE_PX}px", flex="0 0 auto"))
        frame.add_class("bladelab-picture")
        self._choose = widgets.Dropdown(description="slide", layout=widgets.Layout(width="560px"))
        self._choose.observe(lambda change: self.go_to(change["new"]), names="value")
        turn = [self._button("◀ back", -1), self._choose, self._button("next ▶", 1)]
        self._units = widgets.Dropdown(
            options=SYSTEMS, value=UNITS.system, description="units", layout=widgets.Layout(width="240px")
        )
        self._units.add_class(class_of("units"))
        self._units.observe(lambda change: setattr(UNITS, "system", change["new"]), names="value")
        pages = {
            "example blades": self._boxes(_BLADES),
            "topics": self._boxes(_TOPICS),
            "your own words": self._words_page(),
            "files": self.files,
        }
        tabs = widgets.Tab(list(pages.values()), titles=tuple(pages))
        tabs.layout.max_width = "940px"
        about = widgets.HBox(
            [self.dials["audience"].box, self._units], layout=widgets.Layout(flex_flow="row wrap")
        )
        return [widgets.VBox([frame, self._note, widgets.HBox(turn), about, tabs]), self.overview]

    def _button(self, text: str, by: int) -> widgets.Button:
        button = widgets.Button(description=text, layout=widgets.Layout(width="90px"))
        button.on_click(lambda _: self.go_to((self._at + by) % len(self.deck.slides)))
        return button

    def _boxes(self, controls: tuple[Control, ...]) -> widgets.Widget:
        boxes = [self.dials[control.name].box for control in controls]
        return widgets.HBox(boxes, layout=widgets.Layout(flex_flow="row wrap"))

    def _words_page(self) -> widgets.Widget:
        heights = {"title": "40px", "sentence": "70px", "notes": "200px"}
        self._texts: dict[str, widgets.Textarea] = {}
        for name in EDITABLE:
            area = widgets.Textarea(
                description="speaker notes" if name == "notes" else name,
                layout=widgets.Layout(width="900px", max_width="100%", height=heights[name]),
                style={"description_width": "110px"},
            )
            area.observe(lambda change, name=name: self._typed(name, change["new"]), names="value")
            self._texts[name] = area
        back = widgets.Button(description="take back my words", layout=widgets.Layout(width="auto"))
        back.on_click(lambda _: self.take_back())
        return widgets.VBox([*self._texts.values(), back])

    # What happens on a change

    def refresh(self) -> None:
        """Read every choice, work out the deck, and show it. The one handler of every control."""
        if self._busy:
            return
        state = read(list(self.dials.values()))
        state.clinic, state.own_words = self.files.name.value, deepcopy(self._own_words)
        try:
            self._build(state)
        except InputError as problem:
            if self._good is not None and self._good_units != UNITS.system:
                with suppress(InputError):  # the slides that worked, in the units chosen now
                    self._build(self._good)
                    self._show()
            self._tell(f"{problem}. The slides show the last choice that works.", fault=True)
            return
        except Exception as problem:
            self._tell(f"{own_fault(problem)}. The slides show the last choice that works.", fault=True)
            raise
        self._show()
        self.at_rest.start()

    def _build(self, state: SimpleNamespace) -> None:
        """Make the deck for these choices, and draw the slide to show."""
        examples = Examples(**{control.key: getattr(state, control.key) for control in _BLADES})
        topics = [key for key in TOPICS if getattr(state, key)]
        deck = build_deck(state.audience, topics, examples, UNITS.system, state.clinic)
        for (audience, key), texts in state.own_words.items():
            if audience == deck.audience and any(slide.key == key for slide in deck.slides):
                deck = deck.edited(key, **texts)
        keys = [slide.key for slide in deck.slides]
        key = self.deck.slides[self._at].key
        at = keys.index(key) if key in keys else min(self._at, len(keys) - 1)
        self._page.draw(deck.slides[at], at + 1)
        self.deck, self._at = deck, at
        self._good, self._good_units = state, UNITS.system

    def _deck_as_chosen(self) -> Deck:
        self.moving.catch_up()
        return self.deck

    def go_to(self, number: int | None) -> None:
        """Show another slide, counted from 0."""
        if number is not None and not self._busy and number != self._at:
            self._at = number
            self._page.draw(self.deck.slides[number], number + 1)
            self._show()
            self._fill_words()
            self._look_at_all()
            self.overview.mark(self._at)

    def take_back(self) -> None:
        """Put our words back on the slide shown."""
        self._own_words.pop((self.deck.audience, self.deck.slides[self._at].key), None)
        self.refresh()
        self._fill_words()

    def _typed(self, name: str, text: str) -> None:
        if not self._busy:
            key = (self.deck.audience, self.deck.slides[self._at].key)
            self._own_words.setdefault(key, {})[name] = text
            self.refresh()

    def follow_units(self) -> None:
        """Show the sliders and the slides in the units chosen now."""
        self._units.value = UNITS.system
        for dial in self.dials.values():
            dial.units_changed()
        self.refresh()

    def _show(self) -> None:
        """Show the slide that the page holds. The other slides are not worked out for it."""
        slide = self.deck.slides[self._at]
        self._slide.value = self._page.html(slide.alt)
        if len(self._choose.options) != len(self.deck.slides):
            self._list_slides()
        with self._silent():
            self._choose.value = self._at
        self._say_unless(lambda: slide.check(self._at + 1))

    def _fill_words(self) -> None:
        """Put the words of the slide into the fields where they can be changed."""
        slide = self.deck.slides[self._at]
        with self._silent():
            for name, area in self._texts.items():
                if area.value != getattr(slide, name):
                    area.value = getattr(slide, name)

    def _look_through(self) -> Generator[None, None, None]:
        """Look at what is out of sight too, a little at a time: the hand may move again."""
        self._fill_words()
        for slide in self.deck.slides:
            with suppress(InputError):  # told of below, by its number
                slide.check(0)
            yield
        self._look_at_all()
        yield
        yield from self.overview.drawing(self.deck, self._at)

    def _look_at_all(self) -> None:
        self._list_slides()
        self._say_unless(self.deck.check)

    def _list_slides(self) -> None:
        options = [(f"{n}  {s.title[:60]}", n - 1) for n, s in enumerate(self.deck.slides, 1)]
        with self._silent():
            if list(self._choose.options) != options:
                self._choose.options = options
            self._choose.value = self._at

    @contextmanager
    def _silent(self) -> Iterator[None]:
        """What moves inside the block was not moved by the reader."""
        self._busy = True
        try:
            yield
        finally:
            self._busy = False

    def _say_unless(self, check: Callable[[], None]) -> None:
        """Say what the slides are about, unless this check has something to say."""
        try:
            check()
        except InputError as problem:
            self._tell(f"{problem}.", fault=True)
            return
        own = [str(n) for n, s in enumerate(self.deck.slides, 1) if s.edited]
        said = self.deck.slides[0].said
        count = (
            f"{len(self.deck.slides)} slides for {self.deck.audience}. Blade A: rocker {said['radius_a']}, "
            f"hollow "
            f"{said['hollow_a']}. Blade B: {said['radius_b']}, {said['hollow_b']}. Skater {said['mass']}, "
            f"ice {said['ice']}."
        )
        kept = f" Slide {', '.join(own)} keeps your own words; no number in them is renewed." if own else ""
        self._tell(count + kept)

    def _tell(self, message: str, fault: bool = False) -> None:
        self.message, self.fault = f"{message[:1].upper()}{message[1:]}", fault
        kind = ' class="bladelab-fault"' if fault else ""
        self._note.value = f"<p{kind}>{html.escape(self.message)}</p>"

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        """The live panel, and for a reader without a kernel all slides as one picture and as text."""
        self.catch_up_with_units()
        self.moving.catch_up()
        bundle = super()._repr_mimebundle_(**kwargs) or {}
        lines = [f"{n}. {s.title}: {s.sentence}" for n, s in enumerate(self.deck.slides, 1)]
        bundle["text/plain"] = "\n".join([self.message, *lines])
        bundle["image/png"] = base64.b64encode(self.overview.png(self.deck)).decode("ascii")
        return bundle


def clinic_panel() -> ClinicPanel:
    """Return the clinic's panel."""
    return ClinicPanel()
