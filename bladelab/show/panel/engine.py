"""The engine: a `Panel` joins controls, one view and one sentence.

A panel's author writes a pure function ``answer(state) -> Result``. The panel reads all its dials into
`state`, gets the answer, passes it to the view and its sentence to the page, once for each
change. An InputError from the model becomes the sentence, and the last good picture stays, dimmed. Any other
exception is our own bug: the sentence says so, and it is raised.

Held keys and drags need no queue of our own: the browser sends a slider's next value only once the kernel has
acknowledged the one before, and always the last.
"""

from __future__ import annotations

import base64
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path
from types import MappingProxyType, SimpleNamespace
from typing import Any

import anywidget
import ipywidgets as widgets
from traitlets import Bool, Dict, Unicode

from bladelab._errors import InputError
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.view import Picture
from bladelab.show.controls.control import GROUPS, Choice, Control, Frames, Slider, Tick
from bladelab.show.controls.debounce import WhileMoving
from bladelab.show.controls.dials import Dial, make_dials, read
from bladelab.show.panel.card_bar import CARD_IS_OPEN, CardBar
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.follower import Follower
from bladelab.show.panel.long_work import finish
from bladelab.show.panel.saving import Saving
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import own_fault
from bladelab.units import SYSTEMS

#: The space between a number and its unit, where no line may break.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|°|(?:mm|µm|m|ft|in|N|kg|lb|mph|s)\b))")


#: One module of plain JavaScript draws every panel, and one style sheet says how it looks.
_HERE = Path(__file__).parent
_SCRIPT, _LOOKS = (
    "".join((_HERE / name).read_text(encoding="utf-8") for name in names)
    for names in (("panel.js", "kernel.js"), ("panel.css", "type_face.css"))
)


class Panel(anywidget.AnyWidget, Follower):
    """Controls, one picture, one sentence.

    Parameters
    ----------
    name : str
        Short, for the names of saved files: ``"rocker"``.
    view : View, or another Picture
    controls : sequence of Control
        Shown group by group in the order of `GROUPS`, whatever order they come in.
    answer : callable
        ``answer(state) -> Result``; pure. May raise InputError with a sentence for the reader.
    buttons : sequence of (text, callable), optional
        Each callable gets the panel; what it does to dials is shown at once, in one update.
    tabs : bool, optional
        One tab to a group. By default for panels with more than ten controls.
    columns_of : str
        What there is a present and a trial one of.
    titles : dict of str to str
        Titles of tabs that differ from the group name.
    open_on : str
        The group whose tab is open at first; the first one by default.
    plain : {"present", "ordered"}
        Which blade of a skater's card the dials without a column describe.

    Attributes
    ----------
    dials : dict of str to Dial
        By name: ``panel.dials["present.radius_mm"].value = 3048``.
    view : View, or another Picture
    sentence_text : str
        The sentence as it is now.
    fault : bool
        Whether the last state had no picture.
    moving : WhileMoving
        What answers the steps of the sliders.
    saving : Saving
    bar : CardBar
        The skater's card, as this panel has it.
    then : callable
        Called after each answer that has a picture: for what a form around the panel does next.
    """

    _esm = _SCRIPT
    _css = _LOOKS
    # What the page is made of (see panel.js): set together, they travel in one message.
    _spec = Dict().tag(sync=True)
    _dials = Dict().tag(sync=True)
    _still, _frame, _words = (Unicode().tag(sync=True) for _ in range(3))
    _fault, _stale = (Bool().tag(sync=True) for _ in range(2))
    _answered = Dict({"seq": 0, "turn": 0, "dials": {}}).tag(sync=True)
    _report, _bar = (Dict().tag(sync=True) for _ in range(2))

    def __init__(
        self,
        name: str,
        view: Picture[Any],
        controls: Sequence[Control],
        answer: Callable[[SimpleNamespace], Result],
        buttons: Sequence[tuple[str, Callable[[Panel], object]]] = (),
        tabs: bool | None = None,
        columns_of: str = "blade",
        titles: Mapping[str, str] = MappingProxyType({}),
        open_on: str = "",
        plain: str = "present",
    ) -> None:
        self.panel_name, self.view, self._answer, self._buttons = name, view, answer, buttons
        ordered = sorted(controls, key=lambda control: GROUPS.index(control.group))
        self.dials = make_dials(ordered, self._dial_set)
        self.bar = CardBar(self, plain)
        if len(self.dials) != len(ordered):
            raise ValueError("two controls of one panel have the same name")
        drawn_in, self._settling = UNITS.system, True  # the card may bring other units than the view has
        self.bar.load()
        units = Choice("units", "units", "view", options=tuple((s, s) for s in SYSTEMS), default=UNITS.system)
        self._units = Dial(units, lambda: None)
        self._quiet = self._settling = False
        self._heard, self._turn, self.sentence_text = 0, 0, ""
        # The last state with a picture, whether the view holds that picture whole, and in which units.
        self._good: SimpleNamespace | None = None
        self._whole, self._drawn_in = False, drawn_in
        self.then: Callable[[], object] = lambda: None
        self.moving = WhileMoving(self.refresh)
        self.saving = Saving(self, answer, self._tell_report)
        self._shown_still: tuple[object, ...] | None = None
        self._shown_dials: dict[str, dict[str, Any]] = {}
        super().__init__(
            _spec={
                "controls": [_info(control) for control in (*ordered, units)],
                "buttons": [text for text, _ in buttons],
                "forms": self.saving.forms,
                "tabs": len(ordered) > 10 if tabs is None else tabs,
                "titles": dict(titles),
                "open_on": open_on,
                "columns_of": columns_of,
                "width": view.width_px,
                "height": view.height_px,
            },
            _report=self._as_report(),
        )
        self.on_msg(self._from_page)
        self.begin_to_follow()
        self.refresh()
        self._dials = self._shown_dials

    # What happens on a change ---------------------------------------------------------------------------

    @property
    def fault(self) -> bool:
        return self._fault

    def state(self) -> SimpleNamespace:
        """The values of all dials, in internal units."""
        return read(self.dials.values())

    def refresh(self) -> None:
        """Show the picture and the sentence for what the dials say. The one handler of all controls."""
        state = self.state()
        for dial in self.dials.values():
            control = dial.control
            if control.when:
                dial.shown = control.when(getattr(state, control.column) if control.column else state)
        with self.hold_sync():
            try:
                answer = self._draw(state)
            except InputError as problem:
                self._keep_last_good()
                self._show_fault(str(problem))
            except Exception as problem:
                self._show_fault(own_fault(problem))
                raise
            else:
                self._stale = False
                self._set_words(answer.sentence, answer.warns)
            finally:
                self._answer_page()
        if not self._stale:
            self.then()

    def settle(self) -> None:
        """Set what follows from a moved dial. Nothing, unless a subclass overrides it."""

    def say(self, sentence: str, fault: bool = False) -> None:
        """Put another sentence beside the picture; `fault` marks one that asks for a correction."""
        with self.hold_sync():
            self._set_words(sentence, fault)
            self._answer_page()

    @property
    def has_picture(self) -> bool:
        """Whether there is a picture: that of the last setting that works."""
        return self._whole

    def _draw(self, state: SimpleNamespace) -> Result:
        """Draw the answer to a state in the units chosen now, and return it."""
        answer = self._answer(state)
        self._whole = False
        if self._drawn_in != UNITS.system:
            self.view.rebuild()
            self._drawn_in = UNITS.system
        self.view.show(answer)
        self._whole, self._good = True, state
        if (key := self.view.still_key()) != self._shown_still:
            self._still, self._shown_still = self.view.still_html(), key
        self._frame = self.view.frame_html(answer.sentence)
        return answer

    def _keep_last_good(self) -> None:
        """Make sure that the picture of the last good state is complete and in the units chosen now."""
        if self._good is not None and not (self._whole and self._drawn_in == UNITS.system):
            with suppress(InputError):  # where it can't be answered any more, the picture stays as it was
                self._draw(self._good)

    def _show_fault(self, problem: str) -> None:
        self._stale = True
        kept = " The picture shows the last setting that works." if self._good else ""
        self._set_words(f"{problem}.{kept}", fault=True)

    def _set_words(self, sentence: str, fault: bool) -> None:
        self._fault, self.sentence_text = fault, f"{sentence[:1].upper()}{sentence[1:]}"
        self._words = _UNIT.sub("\u00a0", self.sentence_text)

    @contextmanager
    def quiet(self) -> Iterator[None]:
        """Move several dials inside the block; the panel answers once, at its end."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False
            self.refresh()

    def copy_column(self, source: str, target: str) -> None:
        """Set every dial of the column `target` to the value of its twin in `source`."""
        columns = {dial.control.column for dial in self.dials.values()} - {""}
        for column in (source, target):
            if column not in columns:
                raise InputError(f"the column is {column!r:.60}; it must be one of {sorted(columns)}")
        with self.quiet():
            for dial in list(self.dials.values()):
                twin = self.dials.get(f"{target}.{dial.control.key}")
                if dial.control.column == source and twin:
                    twin.value = dial.value

    def _settle(self) -> None:
        self._settling = True
        try:
            self.settle()
        finally:
            self._settling = False

    def _dial_set(self) -> None:
        if self._settling:
            return
        self._settle()
        if not self._quiet:
            self.catch_up()
            self.refresh()

    def follow(self, units: bool, card: bool) -> None:
        """Show controls, picture and sentence in the units chosen now and of the card that is open."""
        if card:
            self._settling = True
            try:
                self.bar.load()
            finally:
                self._settling = False
            self._settle()
        if units:
            self._units.value = UNITS.system
            for dial in self.dials.values():
                dial.rescale()
        if units or card:
            self.refresh()
        self._bar = self.bar.page()

    # The page -------------------------------------------------------------------------------------------

    def _from_page(self, _: object, message: dict[str, Any], buffers: object) -> None:
        """What the user did, as reported by panel.js."""
        match message:
            case {"do": "move", "seq": seq, "values": values}:
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
            case {"do": "type", "name": name, "text": text}:
                try:
                    self.dials[name].type(text)
                except InputError as problem:
                    self.saving.work.say(f"{problem}.", fault=True)
                else:
                    self.saving.work.say("")
                    self._settle()
                    self.refresh()
            case {"do": "press", "button": number}:
                self._buttons[number][1](self)
            case {"do": "save", "form": form}:
                self.saving.save(form)
            case {"do": "stop"}:
                self.saving.work.stop()
            case {"do": "card", "act": act, "value": value}:
                self.bar.act(act, value)
                self._bar = self.bar.page()
                self.send({"heard": self._heard})
            case {"do": "look"}:
                SKATER.look()
            case _:
                raise ValueError(f"the page says {message!r:.80}")

    def _answer_page(self) -> None:
        """Tell the page which message this answers, and any news of the dials."""
        now = {name: dial.page() for name, dial in {**self.dials, "units": self._units}.items()}
        changed = {name: page for name, page in now.items() if self._shown_dials.get(name) != page}
        self._shown_dials = now
        self._turn += 1  # each answer must differ from the one before, or the page would not be notified
        self._bar = self.bar.page()
        self._answered = {"seq": self._heard, "turn": self._turn, "dials": changed}

    def get_state(self, *args: Any, **kwargs: Any) -> dict[str, Any]:
        """The widget's state; a page that opens later gets the dials as they are now."""
        state: dict[str, Any] = super().get_state(*args, **kwargs)
        if "_dials" in state:
            state["_dials"] = self._shown_dials
        return state

    def _as_report(self) -> dict[str, Any]:
        work = self.saving.work
        return {
            "text": work.report,
            "fault": work.fault,
            "going": work.going,
            "done": work.done,
            "total": work.total,
            "links": self.saving.links,
        }

    def _tell_report(self) -> None:
        self._report = self._as_report()

    # Saved pictures -------------------------------------------------------------------------------------

    def save(self, form: str = "PNG", folder: str | Path = FOLDER) -> Path:
        """Save the current picture to a new numbered file in ``saved/`` beside the notebook.

        Parameters
        ----------
        form : {"PNG", "SVG", "PDF", "GIF"}
            GIF, the moving picture, for panels with a `Frames` control.
        folder : path, optional

        Returns
        -------
        Path
            The file written. No file is ever overwritten.
        """
        return finish(self.saving.steps(form, folder))

    def save_other(self, stem: str, suffix: str, write: Callable[[Any], object]) -> None:
        """Save something else than the picture to a new numbered file, and say so beside the save button."""
        self.saving.save_other(stem, suffix, write)

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        """The live panel, and for a reader without a kernel its picture and its sentence."""
        self.catch_up()
        self.moving.catch_up()
        self._dials = self._shown_dials  # a view begins with them, and hears only of changes
        bundle = dict(widgets.DOMWidget._repr_mimebundle_(self, **kwargs) or {})
        if SKATER.card is not None:
            return {**bundle, "text/plain": CARD_IS_OPEN}, {}
        bundle["text/plain"] = f"{self.view.headline.get_text()}. {self.sentence_text}"
        bundle["image/png"] = base64.b64encode(self.view.png()).decode("ascii")
        return bundle, {"image/png": self.view.size()}


_KINDS = {Slider: "range", Choice: "choice", Tick: "tick", Frames: "frames"}


def _info(control: Control) -> dict[str, Any]:
    """What never changes of a control, for the page."""
    return {
        "name": control.name,
        "label": control.label,
        "group": control.group,
        "column": control.column,
        "kind": _KINDS[type(control)],
        "interval_ms": getattr(control, "interval_ms", None),
    }
