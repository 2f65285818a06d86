"""How wide is this crater? Measured on a photograph with a ruler in view, and handed to the drop test."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np

from bladelab._errors import InputError
from bladelab.rink.crater_photo import crater_on_photo
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.forms import Message
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.rink.crater_photo_answer import crater_photo_answer
from bladelab.show.panels.rink.crater_photo_view import CraterPhotoView
from bladelab.show.panels.rink.drop_test import DropTestPanel
from bladelab.show.panels.rink.written import offer_more
from bladelab.show.panels.workshop.measured_files import DEMO, offered
from bladelab.show.panels.workshop.photo import PhotoPanel, set_dials
from bladelab.show.panels.workshop.photo_upload import Photograph
from bladelab.show.wording.words import ended
from bladelab.workshop.picture_file import READABLE, UNREADABLE

_INVENTED = str(DEMO / "crater_photo.png")
_UNSET: dict[str, float] = {
    "crater_across": 0.0,
    "crater_down": 0.0,
    "crater_size": 0.0,
    "mark_1_across": 0.0,
    "mark_1_down": 0.0,
    "mark_2_across": 0.0,
    "mark_2_down": 0.0,
    "ruler_mm": 0.0,
}
#: The settings that fit the invented photograph.
_EXAMPLE = {
    "crater_across": 46.0,
    "crater_down": 37.5,
    "crater_size": 14.0,
    "mark_1_across": 8.4,
    "mark_1_down": 75.0,
    "mark_2_across": 91.8,
    "mark_2_down": 77.5,
    "ruler_mm": 60.0,
}
_WORDS = "from photographs"
#: The menus of the drop test that a crater may go to, and what they are called.
_MADE_BY = (("the dropped ball", "craters"), ("the slow press", "press_craters"))


@dataclass(frozen=True)
class _Taken:
    """A crater that was taken: from which picture, where, px, its diameter, mm, and what it is of."""

    file: str | Photograph
    centre_px: tuple[float, float]
    diameter_mm: float
    made_by: str


class CraterPhotoPanel(PhotoPanel):
    """Craters on photographs, one at a time.

    Attributes
    ----------
    drop_test : DropTestPanel, optional
        Where craters go that are taken.
    taken : tuple
    message : Message
        A line that says which craters were taken.
    """

    unset: Mapping[str, float] = _UNSET
    drop_test: DropTestPanel | None = None
    taken: tuple[_Taken, ...] = ()

    def made(self) -> None:
        """Offer to add a picture; nothing is taken yet."""
        super().made()
        self.message = Message()

    def take(self) -> None:
        """Add the crater that is shown; one taken before at that place of that picture is replaced."""
        state = self.state()
        seen = crater_photo_answer(state)
        if seen.crater is None or seen.rim is None or seen.ruler is None:
            raise InputError(f"there is no crater yet. {seen.sentence.rstrip('.')}")
        ball = None if self.drop_test is None else self.drop_test.state().ball_mm / 2
        crater = crater_on_photo(*seen.rim, seen.ruler, ball)
        own = [one for one in self.taken if one.file != _INVENTED]
        if state.file == _INVENTED and own:
            raise InputError(
                f"you have taken {len(own)} craters of your own; the invented one must not be counted with "
                "them"
            )
        others = self.taken if state.file == _INVENTED else own
        new = _Taken(state.file, crater.centre_px, round(crater.diameter_mm, 2), state.made_by)
        kept = [one for one in others if not _same_place(one, new, crater.radius_px)]
        self._hand_on((*kept, new))

    def leave_out(self) -> None:
        """Take the last crater back."""
        if not self.taken:
            raise InputError("no crater was taken yet")
        self._hand_on(self.taken[:-1])

    def _hand_on(self, taken: tuple[_Taken, ...]) -> None:
        before, self.taken = self.taken, taken
        made_up = any(one.file == _INVENTED for one in taken)
        said = []
        for words, menu in _MADE_BY:
            values = tuple(one.diameter_mm for one in taken if one.made_by == menu)
            if values:
                listed = ", ".join(f"{value:.2f}" for value in values)
                said.append(f"of {words} {listed} mm")
            if values or any(one.made_by == menu for one in before):
                self._offer(menu, values, made_up)
        self.message.say(
            f"Taken{' (invented)' if made_up else ''}: {'; '.join(said)}. The drop test works with "
            f"{'it' if len(taken) == 1 else 'these'}."
            if taken
            else "No crater is taken."
        )

    def _offer(self, menu: str, values: tuple[float, ...], made_up: bool) -> None:
        """Offer these in a menu of the drop test, or none any more."""
        drop_test = self.drop_test
        if drop_test is None:
            return
        if values:
            if made_up:
                drop_test.invented = (*drop_test.invented, values)
            offer_more(drop_test, menu, _WORDS, values)
            return
        dial = drop_test.dials[menu]
        assert isinstance(dial.control, Choice)
        options = tuple(pair for pair in dial.control.options if pair[0] != _WORDS)
        dial.offer(options, options[0][1])
        drop_test.refresh()


def _same_place(one: _Taken, other: _Taken, radius_px: float) -> bool:
    apart = np.subtract(one.centre_px, other.centre_px)
    return one.file == other.file and float(np.hypot(*apart)) < radius_px


def _said(act: Callable[[CraterPhotoPanel], None]) -> Callable[[Panel], None]:
    """What a button does; what can't be is said in the line below."""

    def pressed(made: Panel) -> None:
        assert isinstance(made, CraterPhotoPanel)
        try:
            act(made)
        except InputError as problem:
            made.message.say(f"Not taken over: {ended(str(problem))}", fault=True)

    return pressed


def set_crater_example(made: Panel) -> None:
    """Show the invented photograph with everything set."""
    with made.quiet():
        set_dials(made, {"file": _INVENTED})
        set_dials(made, _EXAMPLE)


def _share(key: str, words: str, group: str, step: float, high: float = 100.0) -> Slider:
    return Slider(key, words, group, 0, high, _UNSET[key], "percent", step=step)


def crater_photo_panel(drop_test: PanelBox | None = None) -> PanelBox:
    """A crater on a photograph; those that are taken go to the drop test, if one is given. Pictures in a
    folder ``measured`` beside the notebook are offered too, and one can be added.
    """
    files = offered(
        *READABLE, *UNREADABLE, invented={"crater_photo.png": "a crater with a ruler beside it (invented)"}
    )
    made = panel(
        "crater_photo",
        CraterPhotoView,
        crater_photo_answer,
        Choice("file", "photograph", "ice", files, files[0][1]),
        Choice("made_by", "crater of", "ice", _MADE_BY, _MADE_BY[0][1]),
        _share("crater_across", "crater across", "ice", 0.2),
        _share("crater_down", "crater down", "ice", 0.2),
        _share("crater_size", "crater size", "ice", 0.2, 80.0),
        _share("mark_1_across", "mark 1 across", "view", 0.05),
        _share("mark_1_down", "mark 1 down", "view", 0.1),
        _share("mark_2_across", "mark 2 across", "view", 0.05),
        _share("mark_2_down", "mark 2 down", "view", 0.1),
        Slider("ruler_mm", "between the marks", "view", 0, 320, 0.0, "length"),
        buttons=(
            ("set up the example", set_crater_example),
            ("take this crater", _said(CraterPhotoPanel.take)),
            ("leave the last one out", _said(CraterPhotoPanel.leave_out)),
        ),
        kind=CraterPhotoPanel,
        tabs=False,
    )()
    assert isinstance(made, CraterPhotoPanel)
    if drop_test is not None:
        assert isinstance(drop_test.panel, DropTestPanel)
        made.drop_test = drop_test.panel
    return PanelBox(made, above=[made.upload], below=[made.message])
