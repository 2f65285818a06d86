"""How wide is this crater? Measured on a photograph with a ruler in view, and handed to the drop test."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.rink.crater_photo import REACH, CraterOnPhoto, crater_on_photo, find_rim
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.forms import Message
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.rink.drop_test import DropTestPanel
from bladelab.show.panels.rink.written import offer_more
from bladelab.show.panels.workshop.measured_files import DEMO, offered
from bladelab.show.panels.workshop.photo import PhotoPanel, set_dials
from bladelab.show.panels.workshop.photo_answer import (
    BLANK,
    Cross,
    blank_mark,
    cross_at,
    photograph_of,
)
from bladelab.show.panels.workshop.photo_upload import Photograph
from bladelab.show.panels.workshop.photo_view import magnified, new_lens, put_photograph, show_lens
from bladelab.show.wording.words import capital, plus_minus
from bladelab.workshop.picture_file import READABLE, UNREADABLE
from bladelab.workshop.ruler import Ruler

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
_MOST_SHOWN_PX = 240
_WORDS = "from photographs"


@dataclass(frozen=True, kw_only=True)
class CraterSeen(Result):
    """A photograph with what is set on it: the crosses, the circle (column, row and radius, px), and the
    crater once all is set, with its rim and the ruler."""

    photograph: Photograph
    crosses: tuple[Cross, Cross]
    circle: tuple[float, float, float] | None = None
    rim: tuple[Array, Array] | None = None
    ruler: Ruler | None = None
    crater: CraterOnPhoto | None = None


def crater_photo_answer(state: SimpleNamespace) -> CraterSeen:
    """The diameter with its error; while something is still to be set, that."""
    try:
        photograph = photograph_of(state.file)
    except InputError as problem:
        return CraterSeen(
            photograph=BLANK,
            crosses=(Cross(), Cross()),
            sentence=f"{capital(str(problem))}.",
            finding="This picture can't be read",
        )
    rows, columns = photograph.grey.shape
    seen: dict[str, Any] = {
        "photograph": photograph,
        "crosses": (
            cross_at(photograph, state.mark_1_across, state.mark_1_down),
            cross_at(photograph, state.mark_2_across, state.mark_2_down),
        ),
    }
    if state.crater_across > 0 or state.crater_down > 0:
        seen["circle"] = (
            state.crater_across / 100 * (columns - 1),
            state.crater_down / 100 * (rows - 1),
            state.crater_size / 200 * columns,
        )
    if words := _to_do(state, seen["crosses"]):
        return CraterSeen(**seen, sentence=words, finding="Not everything is set yet: no diameter")
    column, row, radius = seen["circle"]
    first, second = (cross.place for cross in seen["crosses"])
    try:
        ruler = Ruler(first, second, state.ruler_mm)
        rim = find_rim(photograph.grey, (column, row), radius)
        crater = crater_on_photo(*rim, ruler)
    except InputError as problem:
        return CraterSeen(
            **seen, sentence=f"{capital(str(problem))}.", finding="No diameter from these settings"
        )
    size = f"{plus_minus(crater.diameter_mm, crater.standard_error_mm, 2)} mm"
    parts = {
        "the lens": crater.lens_mm,
        "the ruler's marks": crater.scale_mm,
        "a camera not straight above": crater.askew_mm,
        "finding the rim": crater.reading_mm,
    }
    causes = ", ".join(
        f"{name} {value:.2g}" for name, value in sorted(parts.items(), key=lambda item: -item[1])
    )
    share = 100 * crater.standard_error_mm / crater.diameter_mm
    sentence = (
        f"This crater is {size} across (one standard error). The error comes from, in mm: {causes}. That is "
        f"{share:.1f} % of the diameter, near {4 * share:.0f} % of the hardness, and more craters "
        "photographed from there don't reduce it. Not counted: a rim that is broken, and a ruler that lies "
        "above the ice.\nPress “take this crater” to hand it to the drop test."
    )
    return CraterSeen(
        **seen, rim=rim, ruler=ruler, crater=crater, sentence=sentence, finding=f"The crater is {size} across"
    )


def _to_do(state: SimpleNamespace, crosses: tuple[Cross, Cross]) -> str:
    """What is to be set next, or nothing."""
    if state.crater_across <= 0 or state.crater_down <= 0:
        return "Step 1 of 5: move the crater's cross across and down to the middle of the crater."
    if state.crater_size <= 0:
        return (
            f"Step 2 of 5: set the size until the circle lies on the rim, to within {100 * REACH:.0f} %; the "
            "rim itself is then found."
        )
    marks = (
        (1, state.mark_1_across, state.mark_1_down, "left"),
        (2, state.mark_2_across, state.mark_2_down, "right"),
    )
    for cross, (number, across, down, where) in zip(crosses, marks, strict=True):
        if across <= 0 or down <= 0:
            return (
                f"Step {number + 2} of 5: move mark {number} across and down until its cross lies on a dark "
                f"mark of the ruler on the {where}."
            )
        if not cross.on_mark:
            return blank_mark(number, across, down)
    if state.ruler_mm <= 0:
        return "Step 5 of 5: set how many millimetres of the ruler lie between the two marks."
    return ""


class CraterPhotoView(View[CraterSeen]):
    """The photograph with circle and crosses; the crater and the ruler's marks magnified."""

    height_px = 430

    def draw(self) -> None:
        self.photo = self.figure.add_axes((0.01, 0.05, 0.58, 0.84))
        self.photo.set_axis_off()
        self.picture = self.photo.imshow(np.zeros((2, 2)), cmap="gray", vmin=0, vmax=255, aspect="equal")
        self.shown: Photograph | None = None
        cross: Look = {"color": TRIAL, "marker": "+", "markersize": 14, "clip_on": False}
        self.marks = self.new_line(self.photo, linewidth=1.4, **cross)
        set_look: Look = {"color": TRIAL, "linewidth": 1.2, "linestyle": (0, (3, 2))}
        self.circle = self.new_line(self.photo, **set_look)
        self.middle = self.new_line(self.photo, linestyle="none", **cross)
        near = self.figure.add_axes((0.68, 0.41, 0.24, 0.47))
        near.set(xticks=[], yticks=[], xlim=(-1, 1), ylim=(1, -1))
        near.set_title("the crater, magnified", fontsize=9, fontweight="normal")
        near.grid(False)
        self.near = self.moving(
            near.imshow(
                np.zeros((3, 3)), cmap="gray", vmin=0, vmax=255, extent=(-1, 1, 1, -1), aspect="equal"
            )
        )
        self.near_circle = self.new_line(near, **set_look)
        self.rim = self.new_line(
            near, color=LINES["present"]["color"], marker=".", markersize=4, linestyle="none"
        )
        self.tag = self.new_text(near, "", 0, 0.86, ha="center", va="center")
        for above, artist in enumerate((self.near_circle, self.rim, self.tag)):
            artist.set_zorder(150 + above)
        self.lenses = [
            new_lens(self, (left, 0.03, 0.14, 0.27), words)
            for left, words in ((0.64, "mark 1"), (0.82, "mark 2"))
        ]

    def update(self, result: CraterSeen) -> None:
        photo = result.photograph.grey
        if self.shown is not result.photograph:
            put_photograph(self.picture, photo)
            self.photo.set_ylim(photo.shape[0] - 0.5, -0.5)
            self.shown = result.photograph
            self.still_changed()
        places = np.array([cross.place for cross in result.crosses if cross.place]).reshape(-1, 2)
        self.marks.set_data(places[:, 0], places[:, 1])
        self.marks.set_linestyle("-" if all(cross.on_mark for cross in result.crosses) else "none")
        for lens, cross in zip(self.lenses, result.crosses, strict=True):
            show_lens(lens, photo, cross)
        self._near(result)

    def _near(self, result: CraterSeen) -> None:
        for artist in (self.circle, self.middle, self.near, self.near_circle):
            artist.set_visible(result.circle is not None)
        self.rim.set_visible(result.rim is not None)
        self.tag.set_text("" if result.rim else "no rim yet" if result.circle else "not set")
        if result.circle is None:
            return
        photo, (column, row, radius) = result.photograph.grey, result.circle
        turn = np.linspace(0, 2 * np.pi, 73)
        self.circle.set_data(column + radius * np.cos(turn), row + radius * np.sin(turn))
        self.middle.set_data([column], [row])
        half = int(np.ceil(1.4 * radius)) if radius > 10 else max(20, photo.shape[1] // 10)
        seen = magnified(photo, column, row, half)
        step = max(1, len(seen) // _MOST_SHOWN_PX)
        self.near.set_data(seen[::step, ::step])
        left, top = (round(column) - column - 0.5) / half - 1, (round(row) - row - 0.5) / half - 1
        width = len(seen) / half
        self.near.set_extent((left, left + width, top + width, top))
        self.near.axes.set(xlim=(-1, 1), ylim=(1, -1))
        self.near_circle.set_data(radius / half * np.cos(turn), radius / half * np.sin(turn))
        if result.rim is not None:
            self.rim.set_data((result.rim[0] - column) / half, (result.rim[1] - row) / half)


@dataclass(frozen=True)
class _Taken:
    """A crater that was taken: from which picture, where, px, and its diameter, mm."""

    file: str | Photograph
    centre_px: tuple[float, float]
    diameter_mm: float


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

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
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
        new = _Taken(state.file, crater.centre_px, round(crater.diameter_mm, 2))
        kept = [one for one in others if not _same_place(one, new, crater.radius_px)]
        self._hand_on((*kept, new))

    def leave_out(self) -> None:
        """Take the last crater back."""
        if not self.taken:
            raise InputError("no crater was taken yet")
        self._hand_on(self.taken[:-1])

    def _hand_on(self, taken: tuple[_Taken, ...]) -> None:
        self.taken = taken
        values = tuple(one.diameter_mm for one in taken)
        listed = ", ".join(f"{value:.2f}" for value in values)
        made_up = any(one.file == _INVENTED for one in taken)
        self.message.say(
            f"Taken{' (invented)' if made_up else ''}: {listed} mm. The drop test works with "
            f"{'it' if len(values) == 1 else 'these'}."
            if values
            else "No crater is taken."
        )
        drop_test = self.drop_test
        if drop_test is None:
            return
        if made_up:
            drop_test.invented = (*drop_test.invented, values)
        if values:
            offer_more(drop_test, "craters", _WORDS, values)
            return
        dial = drop_test.dials["craters"]
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
            made.message.say(f"Not taken over: {problem}.", fault=True)

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
