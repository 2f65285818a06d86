"""The single change panel: what each change alone would do to the present blade, as a map."""

from __future__ import annotations

from collections import defaultdict
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from types import SimpleNamespace

import numpy as np
from matplotlib import colormaps

from bladelab._errors import InputError
from bladelab.advice.change_map import ChangeMap, single_change_map
from bladelab.advice.quantities import QUANTITIES, Conditions
from bladelab.advice.single_change import Change, single_changes
from bladelab.physics.moments import MOMENTS
from bladelab.shape.blade import Blade
from bladelab.show.canvas.narrow import NARROW_PX, make_readable
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import INK, QUIET, TRIAL, Look
from bladelab.show.canvas.tiles import Tiles
from bladelab.show.canvas.view import View
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, preset
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.changes import in_words
from bladelab.show.wording.say import say_change, say_change_between
from bladelab.show.wording.words import capital

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
_ENDS = np.array([_END_PERCENT if QUANTITIES[key].percent else _END_DEG for key in _KEYS])
_GREY = (0.91, 0.91, 0.91, 1.0)
_SIDE = 10  # shades on either side of none
_SHADES = [tuple(colour) for colour in colormaps["PuOr_r"](0.5 + 0.425 * np.linspace(-1, 1, 2 * _SIDE + 1))]


@dataclass(frozen=True, kw_only=True)
class Changes(Result):
    """The map of one moment, and the change that is to be tried."""

    found: ChangeMap
    chosen: Change | None = None


class ChangeMapView(View[Changes]):
    """A row for each change, a column for each quantity; grey within day-to-day variation."""

    height_px = 500

    def draw(self) -> None:
        self.axes = axes = self.figure.add_axes((0.25, 0.06, 0.735, 0.77))
        self.tiles = Tiles(
            self, axes, _HEADS, [""] * _MOST, [*_SHADES, _GREY], edgecolor="white", linewidth=2
        )
        look: Look = {"ha": "right", "va": "center", "fontsize": 10.5, "color": INK}
        self.names = [self.moving(axes.text(-0.1, i + 0.5, "", **look)) for i in range(_MOST)]
        foot = "Percent of the present value; pitch in degrees. Grey: within day-to-day variation. "
        foot += "Empty: means nothing here."
        self.foot = self.figure.text(0.985, 0.022, foot, ha="right", color=QUIET, fontsize=9.5)

    def stack_up(self) -> None:
        """Each change above its tiles."""
        self.width_px, self.height_px = NARROW_PX, 720
        self.axes.set_position((8 / NARROW_PX, 0.095, 1 - 16 / NARROW_PX, 0.775))
        self.tiles.inset(0.0, 0.46, 0.04)
        for i, (name, words) in enumerate(zip(self.names, self.tiles.words, strict=True)):
            name.set(position=(0.0, i + 0.25), ha="left")
            for cell in words:
                cell.set_y(i + 0.71)
        self.axes.tick_params(labelsize=10)
        said = self.foot.get_text().replace(". ", ".\n")
        self.foot.set(text=said, position=(8 / NARROW_PX, 0.028), ha="left")
        make_readable(self.figure, self.headline, self.height_px)

    def update(self, changes: Changes) -> None:
        found = changes.found
        tiles = defaultdict(list)
        beyond, effects = found.beyond_band[:, :, 0], found.effects[:, :, 0]
        strengths = np.clip(effects / _ENDS, -1, 1)
        for i in range(_MOST):
            there = i < len(found.changes)
            self.names[i].set_text(in_words(found.changes[i]) if there else "")
            tried = there and found.changes[i] == changes.chosen
            if self.names[i].get_color() != (colour := TRIAL if tried else INK):
                self.names[i].set(color=colour, fontweight="bold" if tried else "normal")
            for k, key in enumerate(_KEYS):
                cell = self.tiles.words[i][k]
                if not there or not np.isfinite(effects[i, k]):
                    cell.set_text("")
                    continue
                value, strength, shows = float(effects[i, k]), float(strengths[i, k]), beyond[i, k]
                tiles[_SHADES[round(_SIDE * strength) + _SIDE] if shows else _GREY].append((k, i))
                said = say_change(value, QUANTITIES[key].percent)
                if key == "friction" and (i, 0) in found.over_ices and not self.narrow:
                    said = say_change_between(found.over_ices[i, 0])
                cell.set_text(said if shows or said not in ("0 %", "0°") else "")
                colour = ("white" if abs(strength) > 0.7 else INK) if shows else QUIET
                if cell.get_color() != colour:  # setting it asks whether it is one
                    cell.set_color(colour)
        self.tiles.show(tiles)


@lru_cache(maxsize=8)
def _map(blade: Blade, conditions: Conditions) -> ChangeMap:
    return single_change_map(blade, conditions)


def answer(state: SimpleNamespace) -> Changes:
    """The map of the present blade in the chosen moment."""
    blade = controls.blade_of(state)
    conditions = Conditions(state.mass_kg, controls.ice_of(state), moments=(state.moment,))
    found = _map(blade, conditions)
    if not np.isfinite(found.values[_KEYS.index("bite"), 0]):
        raise InputError("the blade can't be skated in this moment: try a longer one, or another moment")
    beyond = found.beyond_band[:, :, 0]
    with np.errstate(invalid="ignore"):
        times = np.where(beyond, np.abs(found.effects[:, :, 0]) / np.maximum(found.bands[:, 0], 1e-3), 0.0)
    # The rock and the carve radius hardly differ from day to day; they would always come first.
    strongest = {}
    for k, key in enumerate(_KEYS):
        if beyond[:, k].any():
            strongest[key] = in_words(found.changes[int(times[:, k].argmax())])
    name = capital(state.moment.name)
    count = int(beyond.any(axis=1).sum())
    finding = f"{name}: {count} of {len(found.changes)} single changes go beyond day-to-day variation"
    if strongest:
        said = "; ".join(f"{QUANTITIES[key].said}: {label}" for key, label in strongest.items())
        sentence = f"What moves each number most: {said}."
    else:
        sentence = "In this moment every single change is within day-to-day variation."
    quiet = [
        QUANTITIES[key].said
        for k, key in enumerate(_KEYS)
        if not beyond[:, k].any() and np.isfinite(found.effects[:, k, 0]).any()
    ]
    if quiet and strongest:
        sentence += f"\nWithin day-to-day variation whatever you change: {', '.join(quiet)}."
    chosen = next((one for one in found.changes if _key(one) == state.change), None)
    return Changes(
        finding=finding, sentence=sentence, found=found, chosen=chosen, makes=chosen.blade if chosen else None
    )


def _key(change: Change) -> str:
    """By which a change is found again on another blade and in other units."""
    return f"{change.part} {change.zone} {change.direction}"


@lru_cache(maxsize=8)
def _changes(blade: Blade) -> tuple[Change, ...]:
    return single_changes(blade)


class ChangesPanel(Panel):
    """The map, with a menu of its rows while a card is open: the change chosen can go on the card."""

    def refresh(self) -> None:
        with suppress(InputError):
            found = _changes(controls.blade_of(self.state()))
            rows = _NO_CHANGE, *((in_words(change), _key(change)) for change in found)
            dial = self.dials["change"]
            assert isinstance(dial.control, Choice)
            if dial.control.options != rows:
                dial.offer(rows, dial.value)
        super().refresh()


_NO_CHANGE = ("none", "")

single_change_panel = panel(
    "single-changes",
    ChangeMapView,
    answer,
    preset(controls.rocker_controls(), shape="blended"),
    controls.hollow_controls(),
    controls.skater_controls(MOMENTS[2]),
    controls.ice_controls(),
    Choice("change", "change to try", "skater", (_NO_CHANGE,), "", when=lambda _: SKATER.card is not None),
    kind=ChangesPanel,
)
