"""The engine: a `Panel` joins controls, one view and one sentence.

A panel's author writes a pure function ``answer(state) -> Answer``. The panel reads all its dials into
`state`, asks for the answer, hands its results to the view and its sentence to the page, once for each
change. An InputError from the model becomes the sentence, and the last good picture stays, dimmed. Any other
exception is a fault of ours: the sentence says so, and it is raised.

Held keys and drags need no queue of our own: the browser sends a slider's next value only when the kernel has
heard the one before, and always the last.
"""

from __future__ import annotations

import base64
import html
import re
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import ipywidgets as widgets

from bladelab._errors import InputError
from bladelab.show.controls import GROUPS, Control
from bladelab.show.dials import class_of, make_dials, read
from bladelab.show.follower import Follower
from bladelab.show.long_work import WhileMoving, finish
from bladelab.show.preference import SYSTEMS, UNITS
from bladelab.show.save_row import SaveRow
from bladelab.show.saving import FOLDER
from bladelab.show.stylesheet import stylesheet
from bladelab.show.type_face import type_face
from bladelab.show.view import View
from bladelab.show.words import own_fault

#: The space between a number and its unit, where no line may break.
_UNIT = re.compile(r"(?<=\d) (?=(?:%|°|(?:mm|µm|m|ft|in|N|kg|lb|mph|s)\b))")


@dataclass(frozen=True)
class Answer:
    """What a panel shows for one state.

    Attributes
    ----------
    sentence : str
        Plain words; a line break starts a new paragraph. Escaped for the page by the panel.
    results : dict
        Keyword arguments for the view's `update`.
    """

    sentence: str
    results: dict[str, Any] = field(default_factory=dict)


class Panel(Follower):
    """Controls, one picture, one sentence.

    Parameters
    ----------
    name : str
        Short, for the names of saved files: ``"rocker"``.
    view : View
    controls : sequence of Control
        Shown group by group in the order of `GROUPS`, whatever order they come in.
    answer : callable
        ``answer(state) -> Answer``; pure. May raise InputError with a sentence for the reader.
    buttons : sequence of (text, callable), optional
        Each callable gets the panel; what it does to dials is shown at once, in one update.
    tabs : bool, optional
        One tab to a group. By default for panels with more than ten controls.
    columns_of : str
        What there is a present and a trial one of.

    Attributes
    ----------
    dials : dict of str to Dial
        By name: ``panel.dials["present.radius_mm"].value = 3048``; its `widget` is the slider itself.
    view : View
    sentence_text : str
        The sentence as it stands.
    fault : bool
        Whether the last state had no picture.
    moving : WhileMoving
        What answers the steps of the sliders.
    saving : SaveRow
    """

    def __init__(
        self,
        name: str,
        view: View,
        controls: Sequence[Control],
        answer: Callable[[SimpleNamespace], Answer],
        buttons: Sequence[tuple[str, Callable[[Panel], object]]] = (),
        tabs: bool | None = None,
        columns_of: str = "blade",
    ) -> None:
        self.panel_name, self.view, self._answer = name, view, answer
        self._columns_of = columns_of
        ordered = sorted(controls, key=lambda control: GROUPS.index(control.group))
        self.dials = make_dials(ordered, self._dial_moved)
        if len(self.dials) != len(ordered):
            raise ValueError("two controls of one panel have the same name")
        self.fault, self.sentence_text = False, ""
        self._quiet = False
        self.moving = WhileMoving(self.refresh)
        # The last state with a picture, whether the view holds that picture whole, and in which units.
        self._good: SimpleNamespace | None = None
        self._whole, self._drawn_in = False, UNITS.system
        self._shown_still: tuple[object, ...] | None = None

        self._still, self._frame, self._sentence = widgets.HTML(), widgets.HTML(), widgets.HTML()
        self._sentence.add_class("bladelab-sentence")
        size = {"width": f"{view.width_px}px", "height": "auto", "flex": "0 0 auto"}
        self._picture = widgets.Box([self._still, self._frame], layout=widgets.Layout(**size))
        self._picture.add_class("bladelab-picture")
        mine = f"bladelab-{id(view)}"
        looks = stylesheet(mine, view.width_px, view.height_px) + type_face()
        super().__init__(
            [
                widgets.HTML(looks, layout=widgets.Layout(display="none")),
                self._picture,
                self._sentence,
                self._lay_out(ordered, len(ordered) > 10 if tabs is None else tabs),
                self._tool_row(buttons),
            ]
        )
        self.add_class("bladelab-panel").add_class(mine)
        self.refresh()

    # What happens on a change ---------------------------------------------------------------------------

    def state(self) -> SimpleNamespace:
        """The values of all dials, in the house's units."""
        return read(list(self.dials.values()))

    def refresh(self) -> None:
        """Show the picture and the sentence for what the dials say. The one handler of all controls."""
        state = self.state()
        for dial in self.dials.values():
            control = dial.control
            if control.when:
                dial.show(control.when(getattr(state, control.column) if control.column else state))
        try:
            sentence = self._draw(state)
        except InputError as problem:
            self._keep_last_good()
            self._show_fault(str(problem))
            return
        except Exception as problem:
            self._show_fault(own_fault(problem))
            raise
        if self.fault:
            self.fault = False
            self._picture.remove_class("bladelab-stale")
        self._say(sentence)

    @property
    def has_picture(self) -> bool:
        """Whether there is a picture: that of the last setting that works."""
        return self._whole

    def _draw(self, state: SimpleNamespace) -> str:
        """Draw the answer to a state in the units chosen now and send it to the page; return its sentence."""
        answer = self._answer(state)
        self._whole = False
        if self._drawn_in != UNITS.system:
            self.view.rebuild()
            self._drawn_in = UNITS.system
        self.view.update(**answer.results)
        self._whole, self._good = True, state
        if (key := self.view.still_key()) != self._shown_still:
            self._still.value, self._shown_still = self.view.still_html(), key
        self._frame.value = self.view.frame_html(answer.sentence)
        return answer.sentence

    def _keep_last_good(self) -> None:
        """See that the picture of the last good state is whole and in the units chosen now."""
        if self._good is not None and not (self._whole and self._drawn_in == UNITS.system):
            with suppress(InputError):  # where it can't be answered any more, the picture stays as it was
                self._draw(self._good)

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

    def _dial_moved(self) -> None:
        if self._quiet:
            return
        if self._units_shown == UNITS.system:
            self.moving.step()
        else:
            self.catch_up_with_units()

    def follow_units(self) -> None:
        """Show sliders, picture and sentence in the units chosen now."""
        self._units_choice.value = UNITS.system
        for dial in self.dials.values():
            dial.units_changed()
        self.refresh()

    def close(self) -> None:
        """Take the panel off the page with all its parts."""
        for dial in self.dials.values():
            dial.close()
        super().close()

    def _show_fault(self, problem: str) -> None:
        self.fault = True
        self._picture.add_class("bladelab-stale")
        kept = " The picture shows the last setting that works." if self._good else ""
        self._say(f"{problem[:1].upper()}{problem[1:]}.{kept}")

    def _say(self, sentence: str) -> None:
        self.sentence_text = sentence
        kind = ' class="bladelab-fault"' if self.fault else ""
        kept = _UNIT.sub("\u00a0", sentence)
        self._sentence.value = "".join(f"<p{kind}>{html.escape(line)}</p>" for line in kept.split("\n"))

    # What it is made of ---------------------------------------------------------------------------------

    def _lay_out(self, controls: Sequence[Control], tabs: bool) -> widgets.Widget:
        box: widgets.Widget
        if tabs:
            groups = [group for group in GROUPS if any(control.group == group for control in controls)]
            pages = [
                self._page([control for control in controls if control.group == group]) for group in groups
            ]
            box = widgets.Tab(pages, titles=groups)
        else:
            box = self._page(controls)
        box.layout.max_width = f"{self.view.width_px}px"
        box.add_class("bladelab-controls")
        return box

    def _page(self, controls: Sequence[Control]) -> widgets.Widget:
        shared = [self.dials[control.name].box for control in controls if not control.column]
        parts: list[widgets.Widget] = []
        wrap = widgets.Layout(flex_flow="row wrap")
        columns = [column for column in ("present", "trial") if any(c.column == column for c in controls)]
        if columns:
            row = []
            for column in columns:
                boxes = [self.dials[control.name].box for control in controls if control.column == column]
                row.append(widgets.VBox([widgets.HTML(f"<h4>{column} {self._columns_of}</h4>"), *boxes]))
            parts.append(widgets.HBox(row, layout=wrap))
            parts[-1].add_class("bladelab-columns")
        if shared:
            parts.append(widgets.HBox(shared, layout=wrap))
        return parts[0] if len(parts) == 1 else widgets.VBox(parts)

    def _tool_row(self, buttons: Sequence[tuple[str, Callable[[Panel], object]]]) -> widgets.Widget:
        row: list[widgets.Widget] = []
        for text, act in buttons:
            button = widgets.Button(description=text, layout=widgets.Layout(width="auto"))
            button.on_click(lambda _, act=act: act(self))
            row.append(button)
        self._units_choice = widgets.Dropdown(
            options=SYSTEMS, value=UNITS.system, description="units", layout=widgets.Layout(width="220px")
        )
        self._units_choice.add_class(class_of("units"))
        self._units_choice.observe(lambda change: setattr(UNITS, "system", change["new"]), names="value")
        self.saving = SaveRow(self, self._answer)
        row += [self._units_choice, self.saving]
        return widgets.HBox(row, layout=widgets.Layout(flex_flow="row wrap"))

    # Saved pictures -------------------------------------------------------------------------------------

    def save(self, form: str = "PNG", folder: str | Path = FOLDER) -> Path:
        """Save the picture as it stands to a new numbered file in ``saved/`` beside the notebook.

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
        """The live panel, and for a reader without a kernel its picture and its sentence as they stand."""
        self.catch_up_with_units()
        self.moving.catch_up()
        bundle = dict(super()._repr_mimebundle_(**kwargs) or {})
        bundle["text/plain"] = f"{self.view.headline.get_text()}. {self.sentence_text}"
        bundle["image/png"] = base64.b64encode(self.view.png()).decode("ascii")
        return bundle, {"image/png": self.view.size()}
