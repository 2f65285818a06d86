"""What can a photograph tell? An edge found in it, scaled by a ruler in view, and how far to trust that."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import replace

from bladelab._errors import InputError
from bladelab.show.controls.control import Choice, Slider, Tick
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.workshop.measured_files import DEMO, offered
from bladelab.show.panels.workshop.photo_answer import UNSET, photo_answer
from bladelab.show.panels.workshop.photo_upload import Photograph, PhotoUpload
from bladelab.show.panels.workshop.photo_view import PhotoView
from bladelab.workshop.photo import LENS_SHARE
from bladelab.workshop.picture_file import READABLE, UNREADABLE, unreadable
from bladelab.workshop.reading import trace_as_csv

#: The settings that fit the invented photograph.
EXAMPLE: dict[str, float] = {
    "ruler_mm": 250.0,
    "left": 4.0,
    "right": 96.0,
    "top": 45.0,
    "bottom": 61.0,
    "mark_1_across": 8.3,
    "mark_1_down": 71.0,
    "mark_2_across": 91.7,
    "mark_2_down": 72.5,
    "straighten": False,
    "ruler_edge": 86.5,
}


class PhotoPanel(Panel):
    """What was set on one photograph is never used on another: each has settings of its own, which come back
    with it.

    Attributes
    ----------
    upload : PhotoUpload
        A row to add a picture.
    """

    goes_home = False
    #: What the dials that belong to one photograph say while they aren't set.
    unset: Mapping[str, float] = UNSET

    def made(self) -> None:
        """Offer to add a picture."""
        self._settings: dict[str | Photograph | None, dict[str, float]] = {}
        self._file: str | Photograph | None = self.dials["file"].value
        hidden = [name for name, path in self._options() if str(path).lower().endswith(UNREADABLE)]
        says = "Pictures stay in this page and are not stored."
        if hidden:
            more = f" (and {len(hidden) - 1} more like it)" if len(hidden) > 1 else ""
            says = f"In the folder 'measured': {unreadable(hidden[0])}{more}."
        self.upload = PhotoUpload(self.bring, says)

    def bring(self, photograph: Photograph) -> None:
        """Offer one more photograph and show it, nothing set."""
        dial, name = self.dials["file"], f"{photograph.name} (added)"
        taken = {old for old, _ in self._options()}
        number, free = 2, name
        while free in taken:
            number, free = number + 1, f"{name} {number}"
        dial.offer((*self._options(), (free, photograph)), dial.value)
        dial.value = photograph

    def settle(self) -> None:
        """Bring back the crosses that were set on the picture chosen, or none."""
        file = self.dials["file"].value
        if file is not self._file and file != self._file:
            self._settings[self._file] = {name: self.dials[name].value for name in self.unset}
            self._file = file
            set_dials(self, self._settings.get(file, self.unset))

    def _options(self) -> tuple[tuple[str, str | Photograph], ...]:
        control = self.dials["file"].control
        assert isinstance(control, Choice)
        return control.options


def set_dials(panel: Panel, values: Mapping[str, float | str]) -> None:
    """Move the dials that say something else."""
    for name, value in values.items():
        if panel.dials[name].value != value:
            panel.dials[name].value = value


def set_example(panel: Panel) -> None:
    """Show the invented photograph with everything set."""
    with panel.quiet():
        set_dials(panel, {"file": str(DEMO / "blade_photo.png")})
        set_dials(panel, EXAMPLE)


def save_photo_trace(panel: Panel) -> None:
    """Write the trace as it is now to a new CSV file."""

    def table(about: Mapping[str, str]) -> bytes:
        answer = photo_answer(panel.state())
        if answer.trace is None:
            raise InputError("there is no trace yet. " + answer.sentence.rstrip("."))
        note = f"from a photograph, {datetime.date.today()}; heights scaled by the ruler in view"
        return trace_as_csv(answer.trace.trace, note, about).encode()

    panel.saving.save_table("photo_trace", table)


def _share(key: str, words: str, step: float = 0.5) -> Slider:
    return Slider(key, words, "rocker", 0, 100, UNSET[key], "percent", step=step)


def photo_panel() -> PanelBox:
    """An edge from a photograph. Pictures in a folder ``measured`` beside the notebook are offered too, and
    one can be added from the reader's own machine.
    """
    files = offered(*READABLE, *UNREADABLE)
    ruler = Slider("ruler_edge", "ruler edge, down", "view", 0, 98, UNSET["ruler_edge"], "percent", 0.5)
    bent = "how far a straight line may look bent"
    lens = Slider("lens_percent", bent, "view", 0.01, 0.5, 100 * LENS_SHARE, "percent", 0.01)
    made = panel(
        "photo",
        PhotoView,
        photo_answer,
        Choice("file", "photograph", "rocker", files, files[0][1]),
        _share("top", "edge: upper limit"),
        _share("bottom", "edge: lower limit"),
        _share("left", "edge: heel limit"),
        _share("right", "edge: toe limit"),
        _share("mark_1_across", "mark 1 across", 0.05),
        _share("mark_1_down", "mark 1 down", 0.1),
        _share("mark_2_across", "mark 2 across", 0.05),
        _share("mark_2_down", "mark 2 down", 0.1),
        Slider("ruler_mm", "between the marks", "rocker", 0, 320, UNSET["ruler_mm"], "length"),
        Tick("straighten", "straighten by the ruler", "view", default=False),
        replace(ruler, when=lambda state: state.straighten),
        replace(lens, when=lambda state: not state.straighten),
        Slider("askew_deg", "camera off square", "view", 0, 10, 3, "angle"),
        buttons=(("set up the example", set_example), ("save the trace as CSV", save_photo_trace)),
        kind=PhotoPanel,
        tabs=False,
    )()
    assert isinstance(made, PhotoPanel)
    return PanelBox(made, above=[made.upload])
