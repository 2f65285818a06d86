"""Pictures and tables for the page on trust: computed against published, from the data the tests use."""

from __future__ import annotations

import html
from collections.abc import Sequence
from typing import ClassVar

import numpy as np

from bladelab.physics.friction_gap import (
    DEFAULT,
    EXPLANATIONS,
    Explanation,
    judge,
    judge_all,
    read_measured,
)
from bladelab.physics.friction_gap import DIRECTION_HOLLOWS_MM as HOLLOWS
from bladelab.show.canvas.drawing import Drawing
from bladelab.show.canvas.style import INK, PRESENT, TRIAL
from bladelab.show.wording.words import decimal, minus
from bladelab.trust.published import published_checks
from bladelab.units import as_fraction

_YES, _NO = "agrees", "differs"


class PageTable:
    """A table for a notebook page: HTML in a browser, plain lines of text elsewhere."""

    def __init__(self, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> None:
        self.heads, self.rows = heads, rows

    def _repr_mimebundle_(self, **kwargs: object) -> dict[str, str]:
        def line(cells: Sequence[str], kind: str) -> str:
            style = ' style="text-align:left;vertical-align:top"'
            return "<tr>" + "".join(f"<{kind}{style}>{html.escape(c)}</{kind}>" for c in cells) + "</tr>"

        body = "".join(line(row, "td") for row in self.rows)
        # On a phone it scrolls sideways, with the keyboard too.
        box = f'<div role="group" tabindex="0" aria-label="{html.escape(", ".join(self.heads))}"'
        table = f"<table><thead>{line(self.heads, 'th')}</thead><tbody>{body}</tbody></table>"
        lines = [" | ".join(row) for row in [self.heads, *self.rows]]
        return {"text/html": f'{box} style="overflow-x:auto">{table}</div>', "text/plain": "\n".join(lines)}


def _number(value: float) -> str:
    return minus(f"{value:.4g}")


def checks_table() -> PageTable:
    """Every check against a published fact: what, source, tag, expected, computed, verdict."""
    rows = []
    for check in published_checks():
        value = check.computed()
        bound = {"within": f" ± {_number(check.tolerance)}", "outside": f" ± {_number(check.tolerance)}"}
        sign = {"above": "more than ", "below": "less than "}.get(check.comparison.removeprefix("not "), "")
        # For a fact that the model is known to miss, the check is that it still misses: that is no agreement.
        verdict = "differs, as known" if check.contradicted else _YES
        if not check.agrees(value):
            verdict = "CHANGED" if check.contradicted else _NO
        if check.conflicts_with:
            verdict += f"; sources conflict: {check.conflicts_with} says otherwise"
        rows.append(
            (
                f"{check.fact}{f' ({check.note})' if check.note else ''}",
                check.source,
                check.tag,
                f"{sign}{_number(check.expected)}{bound.get(check.comparison, '')} {check.unit}".strip(),
                f"{_number(value)} {check.unit}".strip(),
                verdict,
            )
        )
    return PageTable(("published fact", "source", "tag", "published", "computed", "verdict"), rows)


def explanations_table() -> PageTable:
    """Each change tried to explain the missing friction, and what the model agrees with then."""
    facts = list(judge(DEFAULT).agrees)
    rows = []
    for explanation in EXPLANATIONS:
        found = judge(explanation)
        rows.append(
            (
                explanation.name,
                explanation.range_words,
                *(f"{mu:.4f}" for mu in found.mu),
                f"{decimal(found.least_C, 0)} °C",
                "yes" if found.agrees[facts[-1]] else "no",
                f"{sum(found.agrees.values())} of {len(facts)}",
            )
        )
    heads = (
        "what was changed",
        "what is known about it",
        *(f"{m.case} ({m.mu:.4f} measured)" for m in read_measured()),
        "least friction at (−7 °C measured)",
        "rises as the hollow radius falls",
        "agrees with",
    )
    return PageTable(heads, rows)


class FrictionDrawing(Drawing):
    """Computed against published friction, and the trend with the hollow."""

    height_px = 400
    words = (
        "Left: friction measured and computed, for a speed skate and a hockey blade on a sled. On ice as "
        "hard as under a dropped ball the model gives about 70 % of both; on ice that is softer the longer "
        "it is pressed, both; with meltwater three times as viscous the speed skate's but not the hockey "
        "blade's. Right: computed friction rises as the hollow radius falls, but not quite on pressed ice."
    )
    _SHOWN: ClassVar = (
        ("nothing changed", PRESENT, "o", "-"),
        ("viscous meltwater, 3 times", TRIAL, "s", (0, (5, 2))),
        ("pressed ice", INK, "^", ":"),
    )
    #: The label of each curve, at which hollow it goes, and how far above the curve.
    _NAMES: ClassVar = {
        "nothing changed": ("drop test", 1, -0.0003),
        "viscous meltwater, 3 times": ("viscous meltwater", 2, 0.0003),
        "pressed ice": ("pressed ice", 3, 0.0003),
    }

    def draw(self) -> None:
        left = self.figure.add_axes((0.085, 0.13, 0.38, 0.71))
        right = self.figure.add_axes((0.585, 0.13, 0.4, 0.71))
        measured = read_measured()
        left.plot([0, 0.009], [0, 0.009], color=INK, linewidth=1.0)
        left.text(
            0.00305,
            0.0033,
            "computed = measured",
            rotation=43,
            ha="left",
            va="bottom",
            color=INK,
            fontsize=10,
        )
        by_name = {e.name: judge(e) for e in EXPLANATIONS}
        for k, (name, colour, marker, dash) in enumerate(self._SHOWN):
            found = by_name[name]
            for case, mu in zip(measured, found.mu, strict=True):
                reach = case.half_range or 0.0
                at = case.mu + (k - 1) * 4e-5
                left.plot([at - reach, at + reach], [mu, mu], color=colour, linewidth=1.2)
                left.plot([at], [mu], marker, markersize=9, color=colour)
            right.plot(
                range(len(HOLLOWS)), found.by_hollow, marker, linestyle=dash, color=colour, linewidth=2
            )
            words, at, lift = self._NAMES[name]
            side = "left" if lift > 0 else "right"
            right.text(at, found.by_hollow[at] + lift, words, color=colour, ha=side, va="center")
        for case in measured:
            words = "speed\nskate" if case.case.startswith("speed") else "hockey blade\non a sled"
            left.text(case.mu, 0.0021, words, ha="center", va="top", fontsize=10)
        left.set(
            xlim=(0.003, 0.0085),
            ylim=(0.0012, 0.0085),
            xlabel="measured friction",
            ylabel="computed friction",
        )
        right.set(xlim=(-0.2, len(HOLLOWS) - 0.8), xticks=range(len(HOLLOWS)), xlabel="radius of hollow")
        right.set_xticklabels([as_fraction(h) for h in HOLLOWS])
        right.set_ylabel("computed, hockey blade")
        self.title("The drop test's ice gives about 70 % of the measured friction, pressed ice all of it")


class ExplanationsMap(Drawing):
    """Which published facts the model matches, by hardness and viscosity of the meltwater."""

    height_px = 400
    words = (
        "A map with hardness across and viscosity of the meltwater up. It shows the band that matches each "
        "measured coefficient, and the region where friction rises as the hollow radius falls. Nowhere do "
        "all three overlap."
    )

    def draw(self) -> None:
        axes = self.figure.add_axes((0.085, 0.13, 0.6, 0.71))
        hardness, viscosity = np.linspace(0.5, 1.1, 13), np.linspace(1.0, 6.0, 11)
        found = iter(judge_all([Explanation("", "", h, v) for v in viscosity for h in hardness]))
        grid = [[next(found) for _ in hardness] for _ in viscosity]
        rises = np.array([[all(np.diff(j.by_hollow) < 0) for j in row] for row in grid], dtype=float)
        axes.contourf(hardness, viscosity, rises, levels=[0.5, 1.5], colors=["#E6E6E6"])
        for i, (case, colour, dash) in enumerate(
            zip(read_measured(), (PRESENT, TRIAL), ("-", "--"), strict=True)
        ):
            mu = np.array([[j.mu[i] for j in row] for row in grid])
            reach = case.half_range or 0.1 * case.mu
            span = [case.mu - reach, case.mu + reach]
            axes.contourf(hardness, viscosity, mu, levels=span, colors=[colour], alpha=0.3)
            axes.contour(
                hardness, viscosity, mu, levels=[case.mu], colors=[colour], linestyles=[dash], linewidths=2
            )
        axes.plot([1], [1], "o", color=INK, markersize=9)
        axes.plot([1], [3], "s", color=INK, markersize=9)
        axes.text(1.01, 1.12, "unchanged", ha="left", va="bottom")
        axes.text(1.01, 3.1, "the option", ha="left", va="bottom")
        axes.set(
            xlabel="hardness, as a multiple of a dropped ball's",
            ylabel="viscosity of meltwater, as a multiple of water's",
        )
        notes = (
            (0.82, "blue: speed skate as measured", PRESENT),
            (0.72, "orange: hockey blade as\nmeasured", TRIAL),
            (0.56, "grey: friction rises as the\nhollow radius falls,\nas published", INK),
            (0.36, "Nowhere do all three overlap:\nsomething else is missing.", INK),
        )
        for y, words, colour in notes:
            self.figure.text(0.71, y, words, color=colour, va="top", fontsize=11)
        self.title("No hardness or viscosity explains all of the missing friction")
