"""The clinic under the trainer's hands: choose, look at every slide, put in own words, write the files."""

from __future__ import annotations

import base64
from collections.abc import Callable, Generator, Iterator
from contextlib import contextmanager, suppress
from copy import deepcopy
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.show.clinic.deck import TOPICS, Deck, build_deck, topics_for
from bladelab.show.clinic.files_page import FilesPage
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.clinic.overview import Overview
from bladelab.show.clinic.slide import EDITABLE
from bladelab.show.clinic.slide_view import Shown, SlideView
from bladelab.show.controls.control import Choice, Control, Slider, Tick, choice_of
from bladelab.show.controls.debounce import AtRest
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.declare import panel
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.wording.units_shown import UNITS


def _slider(key: str, label: str, group: str, low: float, high: float, quantity: str) -> Slider:
    """Return a slider for a field of `Examples`, which begins at that field's default."""
    return Slider(key, label, group, low, high, getattr(Examples, key), quantity)


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


def _offered(key: str) -> Callable[[SimpleNamespace], bool]:
    return lambda state: key in topics_for(state.audience)


_TOPICS: tuple[Control, ...] = tuple(
    Tick(key, topic.name, "view", default=True, when=_offered(key)) for key, topic in TOPICS.items()
)


class ClinicPanel(PanelBox):
    """Choices, a preview of every slide, the trainer's own words, and the files.

    Parameters
    ----------
    folder : path, optional
        Where files go: ``saved`` beside the notebook.

    Attributes
    ----------
    panel : Panel
        Its dials shape the slides: ``panel.dials["audience"].value = "coaches"``; "slide" is the one shown.
    files : FilesPage
    overview : Overview
    deck : Deck
        As shown; the last good one while the choices have a fault.
    at_rest : AtRest
        What waits until nothing moves: to look through the slides out of sight.
    """

    def __init__(self, folder: str | Path = FOLDER) -> None:
        self._own_words: dict[tuple[str, str], dict[str, str]] = {}
        self._at, self._busy = 0, False
        self.deck: Deck = build_deck()
        self._count = len(self.deck.slides)
        self.files = FilesPage(self._deck_as_chosen, folder, self.deck.name, lambda: self.panel.refresh())
        self.overview, self.at_rest = Overview(), AtRest(self._look_through)
        words = self._words_page()
        self.panel = panel(
            "clinic",
            SlideView,
            self.answer,
            Choice("slide", "slide", "view", self._listed(), 0),
            choice_of("audience", "audience", "view", AUDIENCES, AUDIENCES[1]),
            _TOPICS,
            _BLADES,
            buttons=[("◀ back", lambda _: self._turn(-1)), ("next ▶", lambda _: self._turn(1))],
            titles={"view": "slides", "rocker": "rockers", "hollow": "hollows"},
            open_on="view",
        )()
        self.panel.then = self.at_rest.start
        self.at_rest.start()
        forms = widgets.Tab([words, self.files], titles=("your own words", "files"))
        super().__init__(self.panel, below=[forms, self.overview])
        self.add_class("bladelab-clinic")

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
        back = widgets.Button(description="put the original words back", layout=widgets.Layout(width="auto"))
        back.on_click(lambda _: self.take_back())
        return widgets.VBox([*self._texts.values(), back])

    # What happens on a change

    def answer(self, state: SimpleNamespace) -> Shown:
        """The slide for these choices, and what the slides are about. Those out of sight wait."""
        examples = Examples(**{control.key: getattr(state, control.key) for control in _BLADES})
        topics = [key for key in TOPICS if getattr(state, key)]
        if not hasattr(state, "own_words"):  # kept with the state, which may be shown again in other units
            state.clinic, state.contact = self.files.name.value, self.files.contact.value
            state.own_words = deepcopy(self._own_words)
        deck = build_deck(state.audience, topics, examples, UNITS.system, state.clinic, state.contact)
        for (audience, key), texts in state.own_words.items():
            if audience == deck.audience and any(slide.key == key for slide in deck.slides):
                deck = deck.edited(key, **texts)
        at = state.slide
        if at == self._at:  # nobody turned the page: stay on this topic
            keys, key = [slide.key for slide in deck.slides], self.deck.slides[at].key
            at = keys.index(key) if key in keys else at
        at = min(at, len(deck.slides) - 1)
        slide, turned = deck.slides[at], at != self._at
        self.deck, self._at = deck, at
        if turned or len(deck.slides) != self._count:
            self._list_slides()
        sentence, fault = self._sentence(lambda: slide.check(at + 1))
        return Shown(finding=slide.title, sentence=sentence, warns=fault, slide=slide, number=at + 1)

    def _deck_as_chosen(self) -> Deck:
        self.panel.moving.catch_up()
        return replace(self.deck, footer=self.panel.bar.footer())

    def go_to(self, number: int) -> None:
        """Show another slide, counted from 0."""
        self._slide_dial.value = number

    def _turn(self, by: int) -> None:
        self.go_to((self._at + by) % len(self.deck.slides))

    def take_back(self) -> None:
        """Put our words back on the slide shown."""
        self._own_words.pop((self.deck.audience, self.deck.slides[self._at].key), None)
        self.panel.refresh()
        self._fill_words()

    def _typed(self, name: str, text: str) -> None:
        if not self._busy:
            key = (self.deck.audience, self.deck.slides[self._at].key)
            self._own_words.setdefault(key, {})[name] = text
            self.panel.refresh()

    def _fill_words(self) -> None:
        """Put the words of the slide into the fields where they can be changed."""
        slide = self.deck.slides[self._at]
        with self._silent():
            for name, area in self._texts.items():
                if area.value != getattr(slide, name):
                    area.value = getattr(slide, name)

    def _look_through(self) -> Generator[None, None, None]:
        """Look at what is out of sight too, a little at a time: something may move again."""
        self._fill_words()
        for slide in self.deck.slides:
            with suppress(InputError):  # reported below, by its number
                slide.check(0)
            yield
        self._list_slides()
        self.panel.say(*self._sentence(self.deck.check))
        yield
        if self.overview.shows(self.deck):
            self.overview.mark(self._at)
        else:
            yield from self.overview.drawing(self.deck, self._at)

    @property
    def _slide_dial(self) -> Dial:
        return self.panel.dials["slide"]

    def _listed(self) -> tuple[tuple[str, int], ...]:
        return tuple((f"{n}  {slide.title[:60]}", n - 1) for n, slide in enumerate(self.deck.slides, 1))

    def _list_slides(self) -> None:
        self._count = len(self.deck.slides)
        self._slide_dial.offer(self._listed(), self._at)

    @contextmanager
    def _silent(self) -> Iterator[None]:
        """What moves inside the block was not moved by the reader."""
        self._busy = True
        try:
            yield
        finally:
            self._busy = False

    def _sentence(self, check: Callable[[], None]) -> tuple[str, bool]:
        """What the slides are about, unless this check has something to say; and whether it has."""
        try:
            check()
        except InputError as problem:
            return f"{problem}.", True
        own = [str(n) for n, s in enumerate(self.deck.slides, 1) if s.edited]
        said = self.deck.slide("blades").exact
        count = (
            f"{len(self.deck.slides)} slides for {self.deck.audience}. Blade A: rocker {said['radius_a']}, "
            f"hollow {said['hollow_a']}. Blade B: {said['radius_b']}, {said['hollow_b']}. Skater "
            f"{said['mass']}, ice {said['ice']}."
        )
        kept = f" Slide {', '.join(own)} keeps your own words; no number in them is updated." if own else ""
        return count + kept, False

    def _repr_mimebundle_(self, **kwargs: object) -> tuple[dict[str, object], dict[str, object]]:
        """The live panel, and for a reader without a kernel all slides as one picture and as text."""
        self.panel.moving.catch_up()
        bundle, _ = super()._repr_mimebundle_(**kwargs)
        if "image/png" not in bundle:  # a card is open, or nobody is without a kernel
            return bundle, {}
        lines = [f"{n}. {s.title}: {s.sentence}" for n, s in enumerate(self.deck.slides, 1)]
        bundle["text/plain"] = "\n".join([self.panel.sentence_text, *lines])
        bundle["image/png"] = base64.b64encode(self.overview.png(self.deck)).decode("ascii")
        return bundle, {}


def clinic_panel() -> ClinicPanel:
    """Return the clinic's panel."""
    return ClinicPanel()
