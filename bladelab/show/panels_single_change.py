"""The single change panel: what each change alone would do to the present blade, as a map."""

from __future__ import annotations

from dataclasses import replace
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
from matplotlib import colormaps
from matplotlib.colors import TwoSlopeNorm
from matplotlib.patches import PathPatch
from matplotlib.path import Path
from matplotlib.transforms import Affine2D

from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.advice.single_change import ChangeMap, single_change_map
from bladelab.physics.ice import Ice
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import Blade
from bladelab.show.blade_controls import (
    blade_of,
    hollow_controls,
    ice_control,
    rocker_controls,
    skater_controls,
)
from bladelab.show.engine import Answer, Panel
from bladelab.show.figures_advice import say_change
from bladelab.show.style import INK, QUIET
from bladelab.show.view import View

_KEYS = tuple(QUANTITIES)
_HEADS = (
    "glide\nfriction",
    "contact\nlength",
    "bite",
    "hold\nangle",
    "yaw\nhold",
    "carve\nradius",
    "rock",
    "pitch",
)
_MOST = 16  # changes of a blade with four zones
# Where the colours end: per cent, and degrees for the pitch.
_END_PERCENT, _END_DEG = 20.0, 0.5
_GREY = (0.91, 0.91, 0.91, 1.0)
_SHADES = 10  # on either side of none


class ChangeMapView(View):
    """A row for each change, a column for each quantity; grey where a day changes more."""

    height_px = 500

    def draw(self) -> None:
        self.axes = axes = self.figure.add_axes((0.25, 0.06, 0.735, 0.77))
        axes.set(xlim=(0, len(_KEYS)), ylim=(_MOST, 0))
        axes.grid(False)
        axes.set_yticks([])
        axes.set_xticks(np.arange(len(_KEYS)) + 0.5, labels=_HEADS)
        axes.tick_params(top=True, labeltop=True, bottom=False, labelbottom=False, length=0)
        for spine in axes.spines.values():
            spine.set_visible(False)
        # All cells of one shade are one patch: a few artists to move, not a hundred.
        shades = colormaps["PuOr_r"](TwoSlopeNorm(0, -1, 1)(0.85 * np.linspace(-1, 1, 2 * _SHADES + 1)))
        self.patches = [
            self.moving(
                axes.add_patch(PathPatch(Path([(0, 0)]), facecolor=c, edgecolor="white", linewidth=2))
            )
            for c in (*shades, _GREY)
        ]
        self.names, self.cells = [], []
        for i in range(_MOST):
            name = axes.text(-0.1, i + 0.5, "", ha="right", va="center", fontsize=10.5)
            self.names.append(self.moving(name))
            self.cells.append(
                [
                    self.moving(axes.text(k + 0.5, i + 0.5, "", ha="center", va="center", fontsize=10))
                    for k in range(len(_KEYS))
                ]
            )
        foot = "Per cent of the present value; the pitch in degrees. "
        foot += "Grey: less than one day differs from the next. "
        self.figure.text(
            0.985, 0.022, foot + "Empty: means nothing here.", ha="right", color=QUIET, fontsize=9.5
        )

    def update(self, *, found: ChangeMap, finding: str) -> None:  # type: ignore[override]
        """Show the map of one moment."""
        self.title(finding)
        members: list[list[Path]] = [[] for _ in self.patches]
        beyond, effects = found.beyond_band[:, :, 0], found.effects[:, :, 0]
        for i in range(_MOST):
            there = i < len(found.changes)
            self.names[i].set_text(found.changes[i].label if there else "")
            for k, key in enumerate(_KEYS):
                cell, value = self.cells[i][k], effects[i, k] if there else np.nan
                if not np.isfinite(value):
                    cell.set_text("")
                    continue
                percent = QUANTITIES[key].percent
                strength = np.clip(value / (_END_PERCENT if percent else _END_DEG), -1, 1)
                shows = beyond[i, k]
                shade = round(_SHADES * float(strength)) + _SHADES if shows else -1
                members[shade].append(Path.unit_rectangle().transformed(Affine2D().translate(k, i)))
                said = say_change(key, value, percent)
                cell.set_text(said if shows or not said.startswith(("0 %", "+0.00", "−0.00")) else "")
                cell.set_color(("white" if abs(strength) > 0.7 else INK) if shows else QUIET)
        for patch, cells in zip(self.patches, members, strict=True):
            patch.set_visible(bool(cells))
            if cells:
                patch.set_path(Path.make_compound_path(*cells))  # type: ignore[attr-defined]


@lru_cache(maxsize=8)
def _map(blade: Blade, conditions: Conditions) -> ChangeMap:
    return single_change_map(blade, conditions)


def change_answer(state: SimpleNamespace) -> Answer:
    """The map of the present blade in the chosen moment."""
    blade = blade_of(state)
    conditions = Conditions(state.mass_kg, Ice(state.temperature_C), moments=(state.moment,))
    found = _map(blade, conditions)
    if not np.isfinite(found.values[_KEYS.index("bite"), 0]):
        raise ValueError("the blade can't be skated in this moment: try a longer one, or another moment")
    beyond = found.beyond_band[:, :, 0]
    with np.errstate(invalid="ignore"):
        times = np.where(beyond, np.abs(found.effects[:, :, 0]) / np.maximum(found.bands[:, 0], 1e-3), 0.0)
    # The rock and the carve radius hardly differ from day to day; they would always come first.
    strongest = {}
    for k, key in enumerate(_KEYS):
        if beyond[:, k].any():
            strongest[key] = found.changes[int(times[:, k].argmax())].label
    name = state.moment.name[:1].upper() + state.moment.name[1:]
    count = int(beyond.any(axis=1).sum())
    finding = f"{name}: {count} of {len(found.changes)} single changes show from one day to the next"
    if strongest:
        said = "; ".join(f"{QUANTITIES[key].said}: {label}" for key, label in strongest.items())
        sentence = f"What moves each number most: {said}."
    else:
        sentence = "No single change shows from one day to the next in this moment."
    quiet = [
        QUANTITIES[key].said
        for k, key in enumerate(_KEYS)
        if not beyond[:, k].any() and np.isfinite(found.effects[:, k, 0]).any()
    ]
    if quiet and strongest:
        sentence += f"\nNo single change shows in: {', '.join(quiet)}."
    return Answer(sentence, {"found": found, "finding": finding})


def single_change_panel() -> Panel:
    """What each single change alone would do."""
    starts = {"shape": "blended", "moment": MOMENTS[2]}
    controls = [*rocker_controls(), *hollow_controls(), *skater_controls(), ice_control()]
    return Panel(
        "single-changes",
        ChangeMapView(),
        [replace(c, default=starts[c.key]) if c.key in starts else c for c in controls],  # type: ignore[call-arg]
        change_answer,
    )
