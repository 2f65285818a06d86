"""Computed against measured in one picture, and what the ice leaves open, for the page on trust."""

from __future__ import annotations

import math

from matplotlib.axes import Axes

from bladelab.advice.quantities import Conditions
from bladelab.advice.scorecard import Scorecard, scorecard
from bladelab.physics.contact import solve_contacts
from bladelab.physics.moments import MOMENTS
from bladelab.physics.possible_ices import Span, all_possible, possible_ices
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL
from bladelab.show.drawings.trust import PageTable
from bladelab.show.wording.words import signed
from bladelab.trust.attempts import attempts
from bladelab.trust.comparisons import Comparison, comparisons

_MASS_KG, _ICE_C, _SPEED_M_S = 75.0, -5.0, 6.0
_PRESENT = Blade(Rocker.single(3048.0, 280.0), Hollow(15.875, 2.9))
_TRIAL = Blade(Rocker.single(3352.8, 280.0), Hollow(12.7, 2.9))


class ComputedAgainstMeasured(Drawing):
    """One row to each published fact: its range, and what comes out on the ices held possible."""

    height_px = 520
    words = (
        "One row for each published fact about friction. A grey bar is the published range. A circle is what "
        "comes out on ice as hard as under a dropped ball, a square on ice that is softer the longer it is "
        "pressed, and a line over all the ices that are held possible."
    )
    _MOST = 2.2

    def draw(self) -> None:
        rows = comparisons()
        axes = self.figure.add_axes((0.27, 0.125, 0.36, 0.745))
        axes.set(xlim=(0.1, self._MOST), ylim=(len(rows), 0), yticks=[])
        axes.set_xlabel("as a multiple of what was published")
        axes.axvline(1.0, color=INK, linewidth=1.0)
        for x, words in ((0.012, "measured"), (0.64, "published"), (0.735, "computed"), (0.855, "source")):
            self.figure.text(x, 0.9, words, va="center", fontweight="bold")
        for i, row in enumerate(rows):
            self._bars(axes, i + 0.5, row)
            self._cells(0.87 - 0.745 * (i + 0.5) / len(rows), row)
        for x, y, words, colour in (
            (0.012, 0.055, "grey: published range", QUIET),
            (0.012, 0.02, "line: all ices held possible", INK),
            (0.64, 0.055, "● drop test", PRESENT),
            (0.64, 0.02, "■ pressed ice", TRIAL),
        ):
            self.figure.text(x, y, words, color=colour, fontsize=10)
        drop, pressed = (sum(row.agrees[k] for row in rows) for k in (0, 1))
        of = f"of {len(rows)} published facts"
        self.title(f"Pressed ice agrees with {pressed} {of}, the drop test's ice with {drop}")

    def _bars(self, axes: Axes, y: float, row: Comparison) -> None:
        base, span = row.published, row.span
        left, right = row.low / base, min(row.high / base, self._MOST)
        axes.fill_between([left, right], y - 0.3, y + 0.3, color="#DDDDDD", linewidth=0)
        axes.plot([span.low / base, span.high / base], [y, y], color=INK, linewidth=1.6)
        axes.plot([span.drop_test / base], [y - 0.09], "o", markersize=8, color=PRESENT)
        axes.plot([span.pressed / base], [y + 0.09], "s", markersize=7.5, color=TRIAL)

    def _cells(self, y: float, row: Comparison) -> None:
        form, text = f"{{:.{row.digits}f}}".format, self.figure.text
        published = form(row.published)
        text(0.012, y, row.fact, va="center", fontsize=10.5)
        over = f"over {published}" if math.isinf(row.high) else published
        text(0.64, y, over, va="center", fontsize=10.5)
        values = (row.span.drop_test, row.span.pressed)
        for value, ok, colour, lift in zip(
            values, row.agrees, (PRESENT, TRIAL), (0.017, -0.021), strict=True
        ):
            mark = "✓" if ok else "✗"
            text(0.735, y + lift, f"{form(value)} {mark}", color=colour, va="center", fontsize=10)
        text(0.855, y, row.source.replace(" (", "\n("), va="center", fontsize=9)


def attempts_table() -> PageTable:
    """What was tried to break pressed ice, and whether it broke."""
    verdicts = {True: "survives", False: "breaks", None: "open"}
    rows = [(a.varied, a.published, a.drop_test, a.pressed, verdicts[a.holds]) for a in attempts()]
    heads = ("what was varied", "published", "on the drop test's ice", "on pressed ice", "pressed ice")
    return PageTable(heads, rows)


def moments_table() -> PageTable:
    """Bite and length of every moment on both ices, with the range over all held possible."""
    ices = all_possible(_ICE_C)
    stances = [moment.stance(_MASS_KG, _SPEED_M_S) for moment in MOMENTS]
    contacts = solve_contacts(
        [(_PRESENT, stance, ices, moment.gliding) for moment, stance in zip(MOMENTS, stances, strict=True)]
    )
    rows = []
    for moment, contact in zip(MOMENTS, contacts, strict=True):
        seconds = contact.length_mm[1] / 1000 / _SPEED_M_S if moment.gliding else moment.pressed_s
        said = f"{seconds:g} s" if seconds >= 0.1 else f"{1000 * seconds:.0f} ms"
        rows.append(
            (
                moment.name,
                said,
                *_cells(Span.of(contact.hardness_MPa), 1),
                *_cells(Span.of(contact.depth_mm), 3),
                *_cells(Span.of(contact.length_mm), 0),
            )
        )
    heads = ["moment", "presses for"]
    for what in ("hardness, MPa", "bite, mm", "length, mm"):
        heads += [f"{what}: drop test", "pressed", "all possible"]
    return PageTable(heads, rows)


def _cells(span: Span, digits: int) -> tuple[str, str, str]:
    low, high, drop, pressed = (
        f"{v:.{digits}f}" for v in (span.low, span.high, span.drop_test, span.pressed)
    )
    return drop, pressed, f"{low} to {high}"


def verdicts_table() -> PageTable:
    """Which verdicts of a scorecard change with the ice: 10 ft and 5/8 in against 11 ft and 1/2 in."""
    ices = possible_ices(_ICE_C)
    cards = [scorecard(_PRESENT, _TRIAL, Conditions(_MASS_KG, one.ice, _SPEED_M_S), n=60) for one in ices]
    drop, pressed = cards[:2]
    rows, same = [], 0
    for k, line in enumerate(drop.lines):
        verdicts = [card.lines[k].verdict_here for card in cards]
        if len(set(verdicts)) == 1:
            same += 1
            continue
        others = (f"{v} on {verdicts.count(v)}" for v in dict.fromkeys(verdicts))
        moment = (line.moment.name, line.quantity.said)
        rows.append((*moment, _change(drop, k), _change(pressed, k), ", ".join(others)))
    rows.append((f"all other {same} of {len(drop.lines)}", "", "", "", f"the same on all {len(ices)} ices"))
    heads = ("moment", "number", "change, drop test", "change, pressed", "verdicts")
    return PageTable(heads, rows)


def _change(card: Scorecard, k: int) -> str:
    line = card.lines[k]
    return f"{signed(line.change, 1)} %" if line.quantity.percent else f"{signed(line.change, 2)}°"
