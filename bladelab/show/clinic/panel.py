"""The clinic under the trainer's hands: choose, look at every slide, put in own words, write the files."""

from __future__ import annotations

import asyncio
import base64
import html
import io
from collections.abc import Callable, Coroutine, Sequence
from pathlib import Path
from typing import Any

import ipywidgets as widgets

from bladelab.show.clinic.deck import EDITABLE, TOPICS, Deck, build_deck
from bladelab.show.clinic.drawing import page_png
from bladelab.show.clinic.export import FORMS, export_steps
from bladelab.show.clinic.lesson import AUDIENCES, Examples
from bladelab.show.controls import Choice, Control, Dial, Slider, Tick, read
from bladelab.show.preference import SYSTEMS, UNITS
from bladelab.show.saving import FOLDER
from bladelab.show.stylesheet import PANEL_CSS

_CSS = """<style>
.bladelab-clinic {max-width: 960px}
.bladelab-clinic > .bladelab-picture {aspect-ratio: 13.333/7.5; border: 1px solid #999}
.bladelab-sheet .widget-html-content {display: grid; grid-template-columns: repeat(4, 1fr); gap: 6px;
  width: 920px; max-width: 100%; line-height: 0}
.bladelab-sheet img {width: 100%; border: 1px solid #999}
.bladelab-sheet .bladelab-now {outline: 3px solid #0072B2}
.bladelab-clinic .bladelab-report .widget-html-content {white-space: normal; line-height: 1.4}
.bladelab-report p.bladelab-fault {border-left: 4px solid #D55E00; padding-left: 8px}
.bladelab-clinic .widget-label {text-align: right}
</style>"""
_SLIDE_PX, _SMALL_PX = 720, 320
_CALM_S = 0.3


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
_FILES: tuple[Control, ...] = tuple(Tick(key, text, "view", default=True) for key, text in FORMS.items())
_REPLACE = Tick("replace", "replace files of the same name", "view")


class ClinicPanel(widgets.VBox):
    """Choices, a preview of every slide, the trainer's own words, and the files.

    Parameters
    ----------
    folder : path, optional
        Where files go: ``saved`` beside the notebook.

    Attributes
    ----------
    dials : dict of str to Dial
        Of everything that can be chosen: ``panel.dials["audience"].value = "coaches"``.
    deck : Deck
        As shown; the last good one while the choices have a fault.
    message : str
        What the line under the slide says.
    fault : bool
        Whether the choices can't be made into slides.
    """

    def __init__(self, folder: str | Path = FOLDER) -> None:
        self._folder = Path(folder)
        self._own_words: dict[tuple[str, str], dict[str, str]] = {}
        self._at, self._busy, self._stop = 0, False, False
        self._small: dict[int, bytes] = {}
        self._drawing: asyncio.Task[None] | None = None
        self.exporting: asyncio.Task[None] | None = None
        self.message, self.fault = "", False
        controls = (*_ABOUT, *_TOPICS, *_BLADES)
        self.dials = {control.name: Dial(control, self.refresh) for control in controls}
        self.dials |= {c.name: Dial(c, lambda: None) for c in (*_FILES, _REPLACE)}
        self.deck: Deck = build_deck()
        super().__init__(
            [widgets.HTML(PANEL_CSS + _CSS, layout=widgets.Layout(display="none")), *self._parts()]
        )
        self.add_class("bladelab-panel")
        self.add_class("bladelab-clinic")
        UNITS.listen(self._units_changed)
        self.refresh()

    # What it is made of
    # ------------------------------------------------------------------------------------------

    def _parts(self) -> list[widgets.Widget]:
        self._slide, self._note, self._sheet = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self._note.add_class("bladelab-sentence")
        self._sheet.add_class("bladelab-sheet")
        picture = widgets.Box([self._slide], layout=widgets.Layout(width=f"{_SLIDE_PX}px", flex="0 0 auto"))
        picture.add_class("bladelab-picture")
        self._choose = widgets.Dropdown(description="slide", layout=widgets.Layout(width="560px"))
        self._choose.observe(lambda change: self.go_to(change["new"]), names="value")
        turn = [self._button("◀ back", -1), self._choose, self._button("next ▶", 1)]
        self._units = widgets.Dropdown(
            options=SYSTEMS, value=UNITS.system, description="units", layout=widgets.Layout(width="240px")
        )
        self._units.observe(lambda change: setattr(UNITS, "system", change["new"]), names="value")
        pages = {
            "example blades": self._boxes(_BLADES),
            "topics": self._boxes(_TOPICS),
            "your own words": self._words_page(),
            "files": self._files_page(),
        }
        tabs = widgets.Tab(list(pages.values()), titles=tuple(pages))
        tabs.layout.max_width = "940px"
        about = widgets.HBox(
            [self.dials["audience"].box, self._units], layout=widgets.Layout(flex_flow="row wrap")
        )
        return [picture, self._note, widgets.HBox(turn), about, tabs, self._sheet]

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

    def _files_page(self) -> widgets.Widget:
        self._name = widgets.Text(
            value=self.deck.name, description="clinic", layout=widgets.Layout(width="460px")
        )
        self._name.observe(lambda _: self.refresh(), names="value")
        write = widgets.Button(description="write the files", button_style="primary")
        write.on_click(lambda _: self.export())
        stop = widgets.Button(description="stop", layout=widgets.Layout(width="80px"))
        stop.on_click(lambda _: self.stop())
        self._bar = widgets.IntProgress(value=0, max=1, layout=widgets.Layout(width="300px"))
        self._written = widgets.HTML()
        self._written.add_class("bladelab-report")
        self.report = ""
        row = widgets.HBox([write, stop, self._bar])
        return widgets.VBox([self._name, self._boxes((*_FILES, _REPLACE)), row, self._written])

    # What happens on a change
    # ------------------------------------------------------------------------------------

    def refresh(self) -> None:
        """Read every choice, work out the deck, and show it. The one handler of every control."""
        if self._busy:
            return
        state = read(list(self.dials.values()))
        try:
            examples = Examples(**{control.key: getattr(state, control.key) for control in _BLADES})
            topics = [key for key in TOPICS if getattr(state, key)]
            deck = build_deck(state.audience, topics, examples, UNITS.system, self._name.value)
        except ValueError as problem:
            self._tell(f"{problem}. The slides show the last choice that works.", fault=True)
            return
        for (audience, key), texts in self._own_words.items():
            if audience == deck.audience and any(slide.key == key for slide in deck.slides):
                deck = deck.edited(key, **texts)
        key = self.deck.slides[self._at].key
        self.deck = deck
        keys = [slide.key for slide in deck.slides]
        self._at = keys.index(key) if key in keys else min(self._at, len(keys) - 1)
        self._show()
        self._small.clear()
        self._later(self._draw_sheet)

    def go_to(self, number: int | None) -> None:
        """Show another slide, counted from 0."""
        if number is not None and not self._busy and number != self._at:
            self._at = number
            self._show()
            self._fill_sheet()

    def take_back(self) -> None:
        """Put our words back on the slide shown."""
        self._own_words.pop((self.deck.audience, self.deck.slides[self._at].key), None)
        self.refresh()

    def _typed(self, name: str, text: str) -> None:
        if not self._busy:
            key = (self.deck.audience, self.deck.slides[self._at].key)
            self._own_words.setdefault(key, {})[name] = text
            self.refresh()

    def _units_changed(self) -> None:
        if self.comm is None:  # closed
            return
        self._units.value = UNITS.system
        for dial in self.dials.values():
            dial.units_changed()
        self.refresh()

    def _show(self) -> None:
        slide = self.deck.slides[self._at]
        self._slide.value = _img(page_png(slide, self._at + 1, _SLIDE_PX), slide.alt)
        self._busy = True
        try:
            options = [(f"{n}  {s.title[:60]}", n - 1) for n, s in enumerate(self.deck.slides, 1)]
            if list(self._choose.options) != options:
                self._choose.options = options
            self._choose.value = self._at
            for name, area in self._texts.items():
                if area.value != getattr(slide, name):
                    area.value = getattr(slide, name)
        finally:
            self._busy = False
        try:
            self.deck.check()
        except ValueError as problem:
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

    # The preview of every slide
    # ----------------------------------------------------------------------------------

    def _later(self, work: Callable[[], Coroutine[Any, Any, None]]) -> None:
        """Start drawing once the hand rests; at once where no kernel runs."""
        if self._drawing:
            self._drawing.cancel()
            self._drawing = None
        if self._sheet.value and (loop := _running_loop()):
            self._drawing = loop.create_task(work())
        else:
            self._draw_sheet_now()

    async def _draw_sheet(self) -> None:
        await asyncio.sleep(_CALM_S)
        for number in range(len(self.deck.slides)):
            self._draw_small(number)
            await asyncio.sleep(0)
        self._fill_sheet()

    def _draw_sheet_now(self) -> None:
        for number in range(len(self.deck.slides)):
            self._draw_small(number)
        self._fill_sheet()

    def _draw_small(self, number: int) -> None:
        self._small[number] = page_png(self.deck.slides[number], number + 1, _SMALL_PX)

    def _fill_sheet(self) -> None:
        if len(self._small) == len(self.deck.slides):
            small = [_img(self._small[n], slide.title) for n, slide in enumerate(self.deck.slides)]
            small[self._at] = small[self._at].replace("<img", '<img class="bladelab-now"')
            self._sheet.value = "".join(small)

    # The files
    # ---------------------------------------------------------------------------------------------------

    def export(self) -> None:
        """Write the files chosen, one by one, showing progress; a fault is told, and nothing is lost."""
        if self.exporting and not self.exporting.done():
            return
        self._stop = False
        if loop := _running_loop():
            self.exporting = loop.create_task(self._export())
        else:
            asyncio.run(self._export())

    def stop(self) -> None:
        """Stop an export after the file it is at."""
        self._stop = True

    async def _export(self) -> None:
        state = read([self.dials[control.name] for control in (*_FILES, _REPLACE)])
        forms = [key for key in FORMS if getattr(state, key)]
        step = None
        try:
            for step in export_steps(self.deck, forms, self._folder, state.replace):
                self._bar.max, self._bar.value = step.total, step.done
                self._report(f"{step.done} of {step.total}: {step.path.name}")
                await asyncio.sleep(0.01)
                if self._stop and step.done < step.total:
                    self._report(f"Stopped after {step.done} of {step.total} files; each of them is whole.")
                    return
        except (ValueError, OSError) as problem:
            text = problem.strerror if isinstance(problem, OSError) and problem.strerror else str(problem)
            self._report(f"{text[:1].upper()}{text[1:]}.", fault=True)
            return
        assert step is not None
        where = next(p for p in step.path.parents if p.name != "pictures")
        self._report(f"{step.total} file{'s' * (step.total > 1)} written to {where.as_posix()}.")

    def _report(self, text: str, fault: bool = False) -> None:
        self.report = text
        kind = ' class="bladelab-fault"' if fault else ""
        self._written.value = f"<p{kind}>{html.escape(text)}</p>"

    def _repr_mimebundle_(self, **kwargs: Any) -> dict[str, Any]:
        """The live panel, and for a reader without a kernel all slides as one picture and as text."""
        bundle = super()._repr_mimebundle_(**kwargs) or {}
        lines = [f"{n}. {s.title}: {s.sentence}" for n, s in enumerate(self.deck.slides, 1)]
        bundle["text/plain"] = "\n".join([self.message, *lines])
        for number in range(len(self.deck.slides)):
            if number not in self._small:
                self._draw_small(number)
        sheet = contact_sheet([self._small[number] for number in range(len(self.deck.slides))])
        bundle["image/png"] = base64.b64encode(sheet).decode("ascii")
        return bundle


def contact_sheet(pngs: Sequence[bytes], columns: int = 3) -> bytes:
    """Return pictures of one size side by side, as one PNG."""
    from PIL import Image

    pages = [Image.open(io.BytesIO(png)) for png in pngs]
    (wide, high), gap = pages[0].size, 6
    rows = -(-len(pages) // columns)
    sheet = Image.new("RGB", (columns * (wide + gap) + gap, rows * (high + gap) + gap), "#999999")
    for i, page in enumerate(pages):
        sheet.paste(page, (gap + i % columns * (wide + gap), gap + i // columns * (high + gap)))
    buffer = io.BytesIO()
    sheet.save(buffer, format="PNG")
    return buffer.getvalue()


def _img(png: bytes, alt: str) -> str:
    data = base64.b64encode(png).decode("ascii")
    return f'<img alt="{html.escape(alt, quote=True)}" src="data:image/png;base64,{data}">'


def _running_loop() -> asyncio.AbstractEventLoop | None:
    try:
        return asyncio.get_running_loop()
    except RuntimeError:
        return None


def clinic_panel() -> ClinicPanel:
    """Return the clinic's panel."""
    return ClinicPanel()
