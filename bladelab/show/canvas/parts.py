"""The building blocks of blade pictures: each draws into an axes and follows its results.

A part makes its artists once, for the blades named, and `update` takes one `Contact` (or `Blade`) for each
name. Heel left, toe right; what runs along the blade is in millimetres from mid-length.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.lines import Line2D
from matplotlib.text import Text
from matplotlib.transforms import blended_transform_factory

from bladelab._types import Array
from bladelab.physics.contact import Contact
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.limits import Rising, exaggeration, times
from bladelab.show.canvas.style import FILLS, ICE, ICE_LINE, INK, LINES, QUIET, STEEL, Look, heel_and_toe
from bladelab.show.canvas.view import View
from bladelab.show.wording.say import say_edges
from bladelab.show.wording.units_shown import UNITS

#: Where pictures of whole blades end, mm from mid-length: with space for the longest runner.
REACH_MM = 168.0
BOTH = ("present", "trial")
#: Limits of the height of a rocker, mm.
HEIGHTS_MM = (2.5, 5.0, 10.0, 20.0, 40.0, 80.0)


def along(rocker: Rocker, points: int = 141) -> Array:
    """Places along a runner, mm, for drawing: dense at the junctions, where the radius jumps or turns."""
    half = rocker.length_mm / 2
    places = [np.linspace(-half, half, points)]
    for junction in rocker.junctions_mm:
        near = np.array([-rocker.blend_mm / 2, rocker.blend_mm / 2])
        places.append(junction + np.concatenate([near - 1e-6, near, near + 1e-6]))
    return np.clip(np.unique(np.concatenate(places)), -half, half)


def blade_lines(view: View, axes: Axes, names: Iterable[str] = BOTH, **look: Any) -> dict[str, Line2D]:
    """A line for each blade: as that blade is always drawn, or in its colour with another look."""
    return {
        name: view.new_line(axes, **({"color": LINES[name]["color"], **look} if look else LINES[name]))
        for name in names
    }


def blade_tags(view: View, axes: Axes, names: Iterable[str] = BOTH, **look: Any) -> dict[str, Text]:
    """The name of each blade in its colour."""
    return {name: view.new_text(axes, name, color=LINES[name]["color"], **look) for name in names}


class RockerPart:
    """The rocker seen from the side, the stretch that touches the ice drawn thick, and the load's place."""

    def __init__(self, view: View, axes: Axes, names: Iterable[str] = BOTH, load: bool = True) -> None:
        self.view, self.axes = view, axes
        axes.set_xlim(-REACH_MM, REACH_MM)
        self.height = Rising(axes, HEIGHTS_MM, spare=1.12, below=0.08, name="height, mm")
        self.curve = blade_lines(view, axes, names)
        self.touch = blade_lines(view, axes, names, linewidth=6, alpha=0.55, solid_capstyle="butt")
        self.tag = {
            name: view.new_text(axes, name, color=LINES[name]["color"], ha=ha, va="bottom")
            for name, ha in zip(names, ("left", "right"), strict=False)
        }
        self.load = view.new_line(axes, marker="v", markersize=9, color=INK, linestyle="none")
        self.load_tag = view.new_text(axes, "load", ha="left", va="center")
        for artist in (self.load, self.load_tag):
            artist.set_visible(load)
        heel_and_toe(axes)

    def update(self, contacts: Mapping[str, Contact]) -> None:
        """Follow one contact for each name."""
        shapes = {}
        for name, contact in contacts.items():
            rocker = contact.blade.rocker
            x = along(rocker)
            shapes[name] = x, rocker.height_mm(x)
            self.curve[name].set_data(*shapes[name])
            part = np.linspace(contact.heel_end_mm, contact.toe_end_mm, 31)
            self.touch[name].set_data(part, rocker.height_mm(np.clip(part, x[0], x[-1])))
            place = float(np.asarray(contact.stance.position_mm))
        tallest = max(float(y.max()) for _, y in shapes.values())
        top = self.height.reach(tallest)
        for end, (name, tag) in enumerate(self.tag.items()):
            # The first name is over the heel, the second over the toe.
            x, y = shapes[name]
            tag.set_position((x[-end], y[-end] + 0.04 * top))
        self.load.set_data([place], [0.62 * top])
        self.load_tag.set_position((place + 5, 0.62 * top))


class RadiusPart:
    """The radius of the rocker along the blade."""

    def __init__(self, view: View, axes: Axes, names: Iterable[str] = BOTH) -> None:
        self.axes, unit = axes, UNITS.unit("radius")
        axes.set(xlim=(-REACH_MM, REACH_MM), ylabel=f"radius, {unit}")
        self.curve = blade_lines(view, axes, names)
        self.limit = Rising(axes, (15.0, 25.0, 45.0) if unit == "ft" else (5.0, 8.0, 14.0), spare=1.05)
        heel_and_toe(axes)

    def update(self, blades: Mapping[str, Blade]) -> None:
        """Follow one blade for each name."""
        largest = 0.0
        for name, blade in blades.items():
            x = along(blade.rocker)
            radius = UNITS.shown("radius", blade.rocker.radius_mm(x))
            largest = max(largest, float(radius.max()))
            self.curve[name].set_data(x, radius)
        self.limit.reach(largest)


class FootprintPart:
    """What the blade presses on, seen from above: one lane to each blade, the first at the top.

    The lane is the bottom of the runner; across it the active edge lies below. Filled is what bears.
    """

    GAP_MM = 2.0

    def __init__(self, view: View, axes: Axes, names: Iterable[str] = BOTH, widest_mm: float = 4.0) -> None:
        self.axes, self.names = axes, tuple(names)
        pitch = widest_mm + self.GAP_MM
        self.floor = {name: (len(self.names) - 1 - lane) * pitch for lane, name in enumerate(self.names)}
        top = len(self.names) * pitch - 0.5
        axes.set(xlim=(-REACH_MM, REACH_MM), ylim=(-0.8, top), xlabel="along the blade, mm from its middle")
        axes.grid(False, axis="y")
        axes.set_yticks(
            [self.floor[n] + t for n in self.names for t in (0, 3)], labels=["0", "3"] * len(self.names)
        )
        axes.set_ylabel(f"across, mm\n({times(exaggeration(axes))})")
        self.steel = {n: view.new_polygon(axes, facecolor=STEEL, alpha=0.45) for n in self.names}
        self.bears = {
            n: [
                view.new_polygon(axes, **{**FILLS[n], "alpha": 0.75, "linewidth": 0, "linestyle": "-"})
                for _ in range(2)
            ]
            for n in self.names
        }
        self.tag = {n: view.new_text(axes, color=LINES[n]["color"], va="center") for n in self.names}
        heel_and_toe(axes)

    def update(self, contacts: Mapping[str, Contact]) -> None:
        """Follow one contact for each name."""
        for name, contact in contacts.items():
            floor, blade = self.floor[name], contact.blade
            width, half = blade.hollow.width_mm, blade.rocker.length_mm / 2
            corners = [(-half, floor), (half, floor), (half, floor + width), (-half, floor + width)]
            self.steel[name].set_xy(corners)
            # Places crowd toward the ends, where the footprint narrows like a square root.
            middle, reach = (contact.heel_end_mm + contact.toe_end_mm) / 2, contact.length_mm / 2
            x = middle - reach * np.cos(np.linspace(0.0, np.pi, 41))
            x = np.clip(x, contact.heel_end_mm, contact.toe_end_mm)
            across = contact.footprint_mm(np.clip(x, -half, half))
            pairs = across.near_outer, across.near_inner, across.far_inner, across.far_outer
            for patch, (low, high) in zip(self.bears[name], (pairs[:2], pairs[2:]), strict=True):
                edge = np.concatenate([low, high[::-1]]) + floor
                patch.set_xy(np.column_stack([np.concatenate([x, x[::-1]]), edge]))
            tag = f"{name}: " if len(self.names) > 1 else "touches along "
            tag += UNITS.say("length", contact.length_mm)
            room = max(95.0, 2 * REACH_MM * 6.3 * len(tag) / self.axes.bbox.width)  # mm that the words take
            right, left = contact.toe_end_mm < REACH_MM - room, contact.heel_end_mm > room - REACH_MM
            end = contact.toe_end_mm + 4 if right else contact.heel_end_mm - 4 if left else REACH_MM - 4
            self.tag[name].set_horizontalalignment("left" if right else "right")
            self.tag[name].set_text(tag)
            self.tag[name].set_position((end, floor + width / 2))


class EndLines:
    """Thin lines through all axes of a figure at both ends of the contact, so that the eye follows them."""

    def __init__(
        self, view: View, axes: Axes, bottom: float, top: float, names: Iterable[str] = BOTH
    ) -> None:
        across = blended_transform_factory(axes.transData, view.figure.transFigure)
        self.lines: dict[str, list[Line2D]] = {}
        for name in names:
            pair = []
            for _ in range(2):
                style = {**LINES[name], "linewidth": 0.9, "alpha": 0.7}
                line = Line2D([0, 0], [bottom, top], transform=across, **style)
                view.figure.add_artist(line)
                pair.append(view.moving(line))
            self.lines[name] = pair

    def update(self, contacts: Mapping[str, Contact]) -> None:
        """Follow one contact for each name."""
        for name, contact in contacts.items():
            for line, end in zip(self.lines[name], (contact.heel_end_mm, contact.toe_end_mm), strict=True):
                line.set_xdata([end, end])


class GroovePart:
    """The blade in cross-section, in the ice: the groove, and the ice line at the bite depth.

    The blade is drawn upright; when it leans, the ice line slopes instead.
    """

    MARGIN_MM = 0.35

    def __init__(self, view: View, axes: Axes, name: str = "present", widest_mm: float = 4.0) -> None:
        self.axes, self.name = axes, name
        axes.set(xlim=(-self.MARGIN_MM, widest_mm + self.MARGIN_MM))
        axes.grid(False)
        colour = LINES[name]["color"]
        self.ice = view.new_polygon(axes, facecolor=ICE, edgecolor="none")
        self.steel = view.new_polygon(axes, facecolor=STEEL, edgecolor=QUIET, linewidth=1.2)
        self.bite = [view.new_polygon(axes, facecolor=colour, edgecolor="none", alpha=0.75) for _ in range(2)]
        self.ice_line = view.new_line(axes, color=ICE_LINE, linewidth=1.6)
        of_axes: Look = {"transform": axes.transAxes, "bbox": None}
        above: Look = {"va": "bottom", "fontweight": "bold", "clip_on": False, **of_axes}
        self.tag, self._narrow = view.new_text(axes, x=0.0, y=1.03, color=colour, **above), view.narrow
        # Leaned or not, the lower left corner is ice.
        view.new_text(axes, "ice", 0.06, 0.05, ha="center", **of_axes)
        view.new_text(axes, "steel", 0.4, 0.84, ha="center", **of_axes)
        self.height = Rising(axes, (0.25, 0.5, 1.0, 2.0, 4.0), spare=1.9, below=0.3, name="height, mm")

    def update(self, contact: Contact) -> None:
        """Follow one contact, cut at its deepest point."""
        self.show(contact.blade.hollow, contact.depth_mm, float(np.asarray(contact.stance.lean_deg)))

    def show(self, hollow: Hollow, depth_mm: float, lean_deg: float, words: str = "") -> None:
        """Draw a groove whose active edge is `depth_mm` below the ice, leaned by `lean_deg`."""
        width, lean = hollow.width_mm, np.radians(lean_deg)
        u, rho = np.linspace(0.0, width, 41), hollow.edge_radius_mm
        if rho:  # places crowd where the edges are round
            u = width / 2 * (1 - np.cos(np.linspace(0.0, np.pi, 61)))
        groove = hollow.height_mm(u)
        top = self.height.reach(max(depth_mm / np.cos(lean), hollow.depth_mm))
        wide = np.array(self.axes.get_xlim())
        # The ice line is `depth_mm` above the lowest point of the leaned edge.
        above = depth_mm + rho * (np.sin(lean) + np.cos(lean) - 1)
        line = (above - wide * np.sin(lean)) / np.cos(lean)
        line_u = (above - u * np.sin(lean)) / np.cos(lean)
        self.ice_line.set_data(wide, line)
        floor = -10.0 * top
        self.ice.set_xy([(wide[0], floor), (wide[0], line[0]), (wide[1], line[1]), (wide[1], floor)])
        self.steel.set_xy([*zip(u, groove, strict=True), (width, 10 * top), (0.0, 10 * top)])
        for patch, side in zip(self.bite, (u <= width / 2, u >= width / 2), strict=True):
            low, high = groove[side], np.maximum(groove[side], line_u[side])
            patch.set_xy(np.column_stack([np.r_[u[side], u[side][::-1]], np.r_[low, high[::-1]]]))
        size, bite = UNITS.say("hollow", hollow.radius_mm), UNITS.say("depth", depth_mm)
        size += f", {say_edges(rho)}" if rho else ""
        said = f"{self.name}: {size}, bite {bite}"
        if self._narrow and len(said) > 38:
            said = said.replace(", bite", "\nbite")
        self.tag.set_text(words or said)


class BarsPart:
    """One number of two things, a level bar for each: the first below, in the colour of the present blade."""

    def __init__(
        self, view: View, axes: Axes, title: str, names: tuple[str, str], steps: Iterable[float]
    ) -> None:
        axes.set(ylim=(-0.6, 1.6), yticks=[0, 1], yticklabels=names)
        axes.grid(False, axis="y")
        axes.set_title(title, fontsize=11, fontweight="normal")
        colours = [LINES[name]["color"] for name in BOTH]
        self.bars = [view.moving(axes.barh(y, 1, 0.6, color=c, alpha=0.6)[0]) for y, c in enumerate(colours)]
        self.far = Rising(axes, steps, across=True)

    def update(self, first: float, second: float, farthest: float = 0.0) -> None:
        """Follow both numbers; the axis also reaches to `farthest`."""
        self.far.reach(max(first, second, farthest))
        for bar, value in zip(self.bars, (first, second), strict=True):
            bar.set_width(value)


class CurvesPart:
    """One number of both blades over something: two curves, a dotted upright at the sliders' place, and a dot
    where it meets each curve."""

    def __init__(self, view: View, axes: Axes, dot: float = 7.0) -> None:
        self.axes = axes
        self.here = view.new_upright(axes, color=INK, linewidth=1.0, linestyle=":")
        self.curve = blade_lines(view, axes)
        self.dot = blade_lines(view, axes, marker="o", linestyle="none", markersize=dot)

    def update(
        self, curves: Mapping[str, tuple[Array, Array]], here: float, now: Mapping[str, float]
    ) -> None:
        """Follow both curves (x, y), the place of the upright, and the value of each there."""
        self.here.set_xdata([here, here])
        for name, curve in curves.items():
            self.curve[name].set_data(*curve)
            self.dot[name].set_data([here], [now[name]])
