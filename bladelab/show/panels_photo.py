"""The photograph panel: an edge found in a picture, scaled by a ruler in view, and how far to believe it."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab._errors import InputError
from bladelab.show.controls import Choice, Slider, Tick
from bladelab.show.engine import Answer, Panel
from bladelab.show.measured_files import offered
from bladelab.show.preference import UNITS
from bladelab.show.style import LINES, QUIET, TRIAL, heel_and_toe, label
from bladelab.show.view import View
from bladelab.units import feet
from bladelab.workshop.photo import PhotoTrace, Ruler, find_edge, line_bow_px, photo_trace, read_photo
from bladelab.workshop.reading import trace_as_csv

_LENS_PX = 20  # half the width of a magnified view of a ruler mark, px of the photograph
_SHOWN_PX = 1000


class PhotoView(View):
    """The photograph with what was set and found in it; the ruler's marks magnified; the trace against its
    arc.
    """

    height_px = 500

    def draw(self) -> None:
        self.photo = self.figure.add_axes((0.01, 0.36, 0.98, 0.56))
        self.photo.set_axis_off()
        self.picture = self.photo.imshow(np.zeros((2, 2)), cmap="gray", vmin=0, vmax=255, aspect="equal")
        self.shown: tuple[str, int] | None = None
        limit: dict[str, Any] = {"color": QUIET, "linewidth": 1.0, "linestyle": (0, (3, 2))}
        self.frame = self.moving(self.photo.plot([], [], **limit)[0])
        self.straight = self.moving(self.photo.plot([], [], **limit)[0])
        self.edge = self.moving(self.photo.plot([], [], color=LINES["present"]["color"], linewidth=2.0)[0])
        self.ruler = self.moving(
            self.photo.plot([], [], color=TRIAL, linewidth=1.4, marker="+", markersize=14)[0]
        )
        self.lenses = []
        for left, words in ((0.01, "mark 1"), (0.15, "mark 2")):
            axes = self.figure.add_axes((left, 0.03, 0.125, 0.235))
            axes.set(xticks=[], yticks=[], xlim=(-0.5, 2 * _LENS_PX + 0.5), ylim=(2 * _LENS_PX + 0.5, -0.5))
            axes.set_title(f"{words}, magnified", fontsize=9, fontweight="normal")
            axes.grid(False)
            image = self.moving(axes.imshow(np.zeros((2 * _LENS_PX + 1,) * 2), cmap="gray", vmin=0, vmax=255))
            for line in (axes.axvline, axes.axhline):
                self.moving(line(_LENS_PX, color=TRIAL, linewidth=1.0)).set_zorder(150)
            self.lenses.append(image)
        self.rest = self.figure.add_axes((0.375, 0.095, 0.61, 0.17))
        self.rest.set(
            xlim=(-160, 160),
            xlabel="along the blade, mm",
            ylabel="edge beside\nits arc, mm",
            ylim=(-0.2, 0.2),
        )
        heel_and_toe(self.rest)
        self.dots = self.moving(
            self.rest.plot(
                [], [], color=LINES["present"]["color"], marker=".", markersize=2, linestyle="none"
            )[0]
        )
        self.rest.axhline(0, color=QUIET, linewidth=0.8)
        self.scatter_tag = self.moving(label(self.rest, 155, 0.19, "", ha="right", va="top"))

    def update(  # type: ignore[override]
        self,
        *,
        path: str,
        photo: Any,
        frame: Any,
        straight: Any,
        edge: Any,
        ruler: Ruler,
        trace: PhotoTrace,
        finding: str,
    ) -> None:
        """Show one photograph and the edge found in it."""
        rows, columns = photo.shape
        if self.shown != (path, rows * columns):
            step = max(1, columns // _SHOWN_PX)
            self.picture.set_data(photo[::step, ::step])
            self.picture.set_extent((-0.5, columns - 0.5, rows - 0.5, -0.5))
            self.photo.set(xlim=(-0.5, columns - 0.5), ylim=(rows - 0.5, -0.5))
            self.shown = (path, rows * columns)
            self.still_changed()
        (left, right), (top, bottom) = frame
        self.frame.set_data([left, right, right, left, left], [top, top, bottom, bottom, top])
        self.straight.set_visible(straight is not None)
        if straight is not None:
            high, low = straight
            self.straight.set_data([left, right, right, left, left], [high, high, low, low, high])
        thin = slice(None, None, max(1, len(edge[0]) // 200))
        self.edge.set_data(edge[0][thin], edge[1][thin])
        marks = np.array([ruler.start_px, ruler.end_px])
        self.ruler.set_data(marks[:, 0], marks[:, 1])
        for image, (x, y) in zip(self.lenses, marks, strict=True):
            image.set_data(_magnified(photo, x, y))
        x = trace.trace.x_mm
        apart = trace.trace.y_mm - trace.fit.height_mm(x)
        dots = slice(None, None, max(1, len(x) // 300))
        self.dots.set_data(x[dots], np.clip(apart[dots], -0.2, 0.2))
        self.scatter_tag.set_text(f"scatter {trace.fit.noise_mm:.3f} mm")
        self.title(finding)


def _magnified(photo: Any, x: float, y: float) -> Any:
    """The pixels around a place, white beyond the picture."""
    seen = np.full((2 * _LENS_PX + 1,) * 2, 255.0)
    row, column = round(y) - _LENS_PX, round(x) - _LENS_PX  # of its upper left corner
    part = photo[max(row, 0) : max(row + len(seen), 0), max(column, 0) : max(column + len(seen), 0)]
    top, left = max(-row, 0), max(-column, 0)
    seen[top : top + part.shape[0], left : left + part.shape[1]] = part
    return seen


@lru_cache(maxsize=2)
def _read(path: str, changed: int) -> Any:
    return read_photo(path)


@lru_cache(maxsize=8)
def _edge(path: str, changed: int, columns: tuple[int, int], rows: tuple[int, int]) -> Any:
    return find_edge(_read(path, changed), columns, rows)


def _changed(path: str) -> int:
    return Path(path).stat().st_mtime_ns if Path(path).exists() else 0


def find_in_photo(state: SimpleNamespace) -> dict[str, Any]:
    """Find edge, ruler and trace as the dials say; places are shares of the picture in per cent."""
    changed = _changed(state.file)
    photo = _read(state.file, changed)
    rows, columns = photo.shape

    def across(share: float) -> float:
        return share / 100 * (columns - 1)

    def down(share: float) -> float:
        return share / 100 * (rows - 1)

    if state.left >= state.right - 5:
        raise InputError(
            f"the heel limit is at {state.left:.1f} %; it must be at least 5 % left of the toe limit, "
            f"{state.right:.1f} %"
        )
    if state.top >= state.bottom - 2:
        raise InputError(
            f"the upper limit is at {state.top:.1f} %; it must be at least 2 % above the lower one, "
            f"{state.bottom:.1f} %"
        )
    frame = (
        (int(across(state.left)), int(across(state.right))),
        (int(down(state.top)), int(down(state.bottom))),
    )
    edge: tuple[Any, Any] = _edge(state.file, changed, *frame)
    ruler = Ruler(
        (across(state.mark_1_across), down(state.mark_1_down)),
        (across(state.mark_2_across), down(state.mark_2_down)),
        state.ruler_mm,
    )
    straight, bow = None, 0.0
    if state.straighten:
        straight = int(down(state.ruler_edge - 2)), int(down(state.ruler_edge + 2))
        line = _edge(state.file, changed, frame[0], straight)
        bow = line_bow_px(line[0], line[1], float(np.ptp(edge[0])))
    trace = photo_trace(*edge, ruler, askew_deg=state.askew_deg, bow_px=bow, bow_error_px=state.bow_error_px)
    return {
        "path": state.file,
        "photo": photo,
        "frame": frame,
        "straight": straight,
        "edge": edge,
        "ruler": ruler,
        "trace": trace,
    }


def photo_answer(state: SimpleNamespace) -> Answer:
    """What the photograph says, and what it cannot say."""
    found = find_in_photo(state)
    trace: PhotoTrace = found["trace"]
    unit, factor = UNITS.unit("radius"), UNITS.shown("radius", 1.0)
    radius, error = trace.fit.radius_mm * factor, trace.standard_error_mm * factor
    near, far = feet(9), feet(10)
    can = trace.can_tell(near, far)
    parts = {
        "the lens": trace.lens_mm,
        "the ruler's marks": trace.scale_mm,
        "the camera standing askew": trace.askew_mm,
        "finding the edge": trace.reading_mm,
    }
    said = ", ".join(
        f"{name} {value * factor:.2f}" for name, value in sorted(parts.items(), key=lambda item: -item[1])
    )
    names = f"{UNITS.say('radius', near)} from {UNITS.say('radius', far)}"
    advice = (
        ""
        if can
        else (
            " Straighten by the ruler's edge, take the picture from further away with the zoom, or use a "
            "gauge."
        )
    )
    return Answer(
        f"The edge in the picture fits a radius of {radius:.2f} ± {error:.2f} {unit} (one standard error). "
        "The error comes from, in "
        f"{unit}: {said}.\nThis photograph can{'' if can else 'not'} tell {names} (wrong in no more than 25 "
        f"of 1000).{advice}",
        {
            **found,
            "finding": (
                f"{radius:.1f} ± {error:.1f} {unit}: the photograph can{'' if can else 'not'} tell {names}"
            ),
        },
    )


def save_photo_trace(panel: Panel) -> None:
    """Write the trace as it stands to a new CSV file."""
    trace = find_in_photo(panel.state())["trace"].trace
    text = trace_as_csv(trace, "from a photograph; heights scaled by the ruler in view")
    panel.save_other("photo_trace", "csv", lambda file: file.write(text.encode()))


def photo_panel() -> Panel:
    """An edge from a photograph. Pictures in a folder ``measured`` beside the notebook are offered too."""
    files = offered(".png", ".jpg", ".jpeg")

    def share(key: str, words: str, default: float, step: float = 0.5) -> Slider:
        return Slider(key, words, "rocker", low=0, high=100, default=default, quantity="percent", step=step)

    return Panel(
        "photo",
        PhotoView(),
        [
            Choice("file", "photograph", "rocker", options=files, default=files[0][1]),
            Slider(
                "ruler_mm",
                "between the marks",
                "rocker",
                low=20,
                high=320,
                default=250,
                quantity="length",
            ),
            share("left", "edge: heel limit", 4.0),
            share("right", "edge: toe limit", 96.0),
            share("top", "edge: upper limit", 45.0),
            share("bottom", "edge: lower limit", 61.0),
            share("mark_1_across", "mark 1 across", 8.3, 0.05),
            share("mark_1_down", "mark 1 down", 68.5, 0.1),
            share("mark_2_across", "mark 2 across", 91.7, 0.05),
            share("mark_2_down", "mark 2 down", 70.0, 0.1),
            Tick("straighten", "straighten by the ruler", "view", default=False),
            Slider(
                "ruler_edge",
                "ruler edge, down",
                "view",
                low=2,
                high=98,
                default=86.5,
                quantity="percent",
                step=0.5,
                when=lambda state: state.straighten,
            ),
            Slider(
                "bow_error_px",
                "doubt of the lens, px",
                "view",
                low=0.1,
                high=5,
                default=1,
                step=0.1,
            ),
            Slider("askew_deg", "camera off square", "view", low=0, high=10, default=3, quantity="angle"),
        ],
        photo_answer,
        buttons=[("save the trace as CSV", save_photo_trace)],
        tabs=False,
    )
