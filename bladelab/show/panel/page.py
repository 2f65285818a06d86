"""What a panel and its page tell each other.

The kernel sends what the panel is made of (`_spec`, once), and after each change the dials, the picture and
the words. The page, panel.js, sends what the user did, in the messages listed at its top. To add something to
every page: one trait and, where the user does something with it, one case in `_from_page`.
"""

from __future__ import annotations

import base64
import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import Any

import anywidget
import ipywidgets as widgets
from traitlets import Bool, Dict, Unicode

from bladelab._errors import InputError
from bladelab.show.canvas.result import Picture
from bladelab.show.controls.control import Choice, Control, Frames, Slider, Tick, choice_of
from bladelab.show.controls.debounce import WhileMoving
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.card_bar import CARD_IS_OPEN, CardBar
from bladelab.show.panel.follower import Follower
from bladelab.show.panel.saving import Saving
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, ended, unbroken
from bladelab.units import SYSTEMS

#: One module of plain JavaScript draws every panel, and one style sheet says how it looks.
_HERE = Path(__file__).parent
_SCRIPT, _LOOKS = (
    "".join((_HERE / name).read_text(encoding="utf-8") for name in names)
    for names in (("panel.js", "bar.js", "kernel.js"), ("panel.css", "type_face.css"))
)

_KINDS = {Slider: "range", Choice: "choice", Tick: "tick", Frames: "frames"}


class PanelPage(anywidget.AnyWidget, Follower):
    """A panel as its page knows it. `Panel` builds on it and says what happens on a change.

    Parameters
    ----------
    view : View, or another Picture
    dials : dict of str to Dial
    buttons : sequence of (text, callable)
    saving : Saving
    bar : CardBar
    layout : dict
        How the page is laid out: ``tabs``, ``titles``, ``open_on``, ``columns_of``.

    Attributes
    ----------
    sentence_text : str
        The sentence as it is now.
    fault : bool
        Whether the sentence asks for a correction.
    """

    _esm, _css = _SCRIPT, _LOOKS
    # What the page is made of (see panel.js): set together, they travel in one message.
    _spec = Dict().tag(sync=True)
    _dials = Dict().tag(sync=True)
    _still, _frame, _words = (Unicode().tag(sync=True) for _ in range(3))
    _fault, _stale = (Bool().tag(sync=True) for _ in range(2))
    _answered = Dict({"seq": 0, "turn": 0, "dials": {}}).tag(sync=True)
    _report, _bar, _size = (Dict().tag(sync=True) for _ in range(3))

    #: What answers the steps of the sliders.
    moving: WhileMoving

    def __init__(
        self,
        view: Picture,
        dials: Mapping[str, Dial],
        buttons: Sequence[tuple[str, Callable[[Any], object]]],
        saving: Saving,
        bar: CardBar,
        layout: Mapping[str, object],
    ) -> None:
        self.view, self.dials, self.saving, self.bar, self._buttons = view, dials, saving, bar, buttons
        units = choice_of("units", "units", "view", SYSTEMS, UNITS.system)
        self._units = Dial(units, lambda: None)
        self._heard, self._turn, self.sentence_text = 0, 0, ""
        self._shown_still: tuple[object, ...] | None = None
        self._shown_dials: dict[str, dict[str, object]] = {}
        super().__init__(
            _spec={
                "controls": [_info(dial.control) for dial in (*dials.values(), self._units)],
                "buttons": [text for text, _ in buttons],
                "forms": saving.forms,
                **layout,
            },
            _report=self._as_report(),
            _size=self._as_size(),
        )
        self.on_msg(self._from_page)

    # What the page calls for: a panel says how ----------------------------------------------------------

    def refresh(self) -> None:
        """Answer what the dials say, and tell the page."""
        raise NotImplementedError

    def look(self) -> None:
        """See what happened while the reader was away."""

    def lay_out(self, narrow: bool) -> None:
        """Lay the picture out for a page with little room, or for one with enough."""
        raise NotImplementedError

    def _settle(self) -> None:
        """Set what follows from a moved dial."""
        raise NotImplementedError

    # From the page --------------------------------------------------------------------------------------

    def _from_page(self, _: object, message: dict[str, Any], buffers: object) -> None:
        """What the user did, as reported by panel.js."""
        match message:
            case {"do": "move", "seq": seq, "values": values}:
                self._moved(seq, values)
            case {"do": "type", "name": name, "text": text}:
                self._typed(name, text)
            case {"do": "press", "button": number}:
                self.moving.catch_up()
                self._buttons[number][1](self)
            case {"do": "save", "form": form}:
                self.saving.save(form)
            case {"do": "stop"}:
                self.saving.work.stop()
            case {"do": "card", "act": act, "value": value}:
                self.moving.catch_up()  # its buttons are about what the dials say now
                self.bar.act(act, value)
                self._show_bar()
                self.send({"heard": self._heard})
            case {"do": "narrow", "on": on}:
                self.lay_out(on)
            case {"do": "look"}:
                self.look()
            case _:
                raise ValueError(f"the page says {message!r:.80}")

    def _moved(self, seq: int, values: dict[str, list[int]]) -> None:
        """Take positions from the page, by the dial's name: edition and position."""
        self._heard = seq
        units, before = values.pop("units", None), UNITS.system
        for name, (edition, at) in values.items():
            self.dials[name].move(edition, at)
            self._shown_dials.pop(name, None)  # the page gets the outcome
        self._settle()
        if units:
            self._units.move(*units)
            UNITS.system = self._units.value
        if UNITS.system == before and self.moving.step():
            self.send({"heard": seq})

    def _typed(self, name: str, text: str) -> None:
        """Take a value typed on the page."""
        try:
            self.dials[name].type(text)
        except InputError as problem:
            self.saving.work.say(f"{problem}.", fault=True)
        else:
            self.saving.work.say("")
            self._settle()
            self.refresh()

    # To the page ----------------------------------------------------------------------------------------

    @property
    def fault(self) -> bool:
        return self._fault

    def _set_words(self, sentence: str, fault: bool) -> None:
        self._fault, self.sentence_text = fault, capital(sentence)
        self._words = unbroken(self.sentence_text)

    def _set_picture(self, sentence: str) -> None:
        """Send the picture as the view has it now, described by a sentence; the still part if it changed."""
        if (key := self.view.still_key()) != self._shown_still:
            self._still, self._shown_still = self.view.still_html(), key
        self._frame, self._size = self.view.frame_html(sentence), self._as_size()

    def _as_size(self) -> dict[str, object]:
        """How large the picture is, px, whether it is stacked, and whether it can be."""
        view = self.view
        return {"width": view.width_px, "height": view.height_px, "narrow": view.narrow, "stacks": True}

    def _answer_page(self) -> None:
        """Tell the page which message this answers, and any news of the dials."""
        now = {name: dial.page() for name, dial in {**self.dials, "units": self._units}.items()}
        changed = {name: page for name, page in now.items() if self._shown_dials.get(name) != page}
        self._shown_dials = now
        self._turn += 1  # each answer must differ from the one before, or the page would not be notified
        self._show_bar()
        self._answered = {"seq": self._heard, "turn": self._turn, "dials": changed}

    def _show_bar(self) -> None:
        self._bar = self.bar.page()

    def _show_report(self) -> None:
        self._report = self._as_report()

    def _as_report(self) -> dict[str, object]:
        """How far work begun on the page has got, or how it ended."""
        work = self.saving.work
        return {
            "text": work.report,
            "fault": work.fault,
            "going": work.going,
            "done": work.done,
            "total": work.total,
            "links": self.saving.links,
        }

    # A page that opens later ----------------------------------------------------------------------------

    def get_state(self, *args: object, **kwargs: object) -> dict[str, object]:
        """The widget's state; a page that opens later gets the dials as they are now."""
        state: dict[str, object] = super().get_state(*args, **kwargs)
        if "_dials" in state:
            state["_dials"] = self._shown_dials
        return state

    def _repr_mimebundle_(self, **kwargs: object) -> tuple[dict[str, object], dict[str, object]]:
        """The live panel, and for a reader without a kernel its picture and its sentence."""
        self.catch_up()
        self.moving.catch_up()
        self._dials = self._shown_dials  # a view begins with them, and hears only of changes
        bundle = dict(widgets.DOMWidget._repr_mimebundle_(self, **kwargs) or {})
        if SKATER.card is not None:
            return {**bundle, "text/plain": CARD_IS_OPEN}, {}
        bundle["text/plain"] = f"{ended(self.view.headline.get_text())} {self.sentence_text}"
        if "BLADELAB_SERVED" in os.environ:  # a plain page always has a kernel
            return bundle, {}
        bundle["image/png"] = base64.b64encode(self.view.png()).decode("ascii")
        return bundle, {"image/png": self.view.size()}


def _info(control: Control) -> dict[str, object]:
    """What never changes of a control, for the page."""
    return {
        "name": control.name,
        "label": control.label,
        "group": control.group,
        "column": control.column,
        "kind": _KINDS[type(control)],
        "interval_ms": getattr(control, "interval_ms", None),
    }
