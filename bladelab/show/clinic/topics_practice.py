"""Topics on what to do: one change at a time, a season of care, how we know, and safety."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
from matplotlib.figure import Figure, SubFigure

from bladelab.physics.contact import solve_contacts
from bladelab.physics.friction_gap import MeasuredFriction, read_measured
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.physics.possible_ices import Span, friction_span
from bladelab.physics.stance import Stance
from bladelab.show.canvas.style import ICE, INK, PRESENT, QUIET, STEEL
from bladelab.show.clinic import pictures as pen
from bladelab.show.clinic.everyday import Like, pucks_weigh
from bladelab.show.clinic.lesson import Examples, Fact, Lesson, Said, moment, percent_apart
from bladelab.show.clinic.pictures import DASH, SMALL_LETTERS
from bladelab.show.clinic.stage import stage
from bladelab.workshop.season import Season, simulate_season
from bladelab.workshop.season_plan import SeasonPlan

_ASSUMED = "our own assumption"
#: Per cent: a change that small is called a little (our own choice).
_A_LITTLE = 10.0
_SIMULATED = "simulated by bladelab from a plan that is our own assumption"


def one_change(examples: Examples) -> Lesson:
    """Show what the new rocker, the new hollow and both together do to the bite."""
    glide = moment("one-foot glide")
    stance = glide.stance(examples.mass_kg)
    pairs = [(rocker, hollow) for rocker in "AB" for hollow in "AB"]
    solved = solve_contacts([(examples.blade(*pair), stance, examples.ice, glide.gliding) for pair in pairs])
    bite = {pair: contact.depth_mm for pair, contact in zip(pairs, solved, strict=True)}
    change = {
        name: 100 * (bite[key] / bite["A", "A"] - 1)
        for name, key in (("only_rocker", ("B", "A")), ("only_hollow", ("A", "B")), ("both", ("B", "B")))
    }
    meaning = {
        "only_rocker": "change of bite in a one-foot glide: blade A with blade B's rocker alone",
        "only_hollow": "the same with blade B's hollow alone",
        "both": "the same with both",
    }
    facts = tuple(
        Fact(name, "signed percent", value, meaning[name], like=_in_words(value))
        for name, value in change.items()
    )

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        low, high = min(0.0, *change.values()), max(0.0, *change.values())
        span = high - low
        # Leave space for the words at the end of the longest bar, on each side that has bars.
        left, right = (low - 0.55 * span if low < 0 else 0.0), (high + 0.55 * span if high > 0 else 0.0)
        limits = {"xlim": (left - 0.03 * span, right + 0.03 * span), "ylim": (-0.7, 3.1)}
        axes = stage(figure, 0.32, 0.0, 0.68, 1.0, **limits)
        names = stage(figure, 0.0, 0.0, 0.32, 1.0, xlim=(0, 1), ylim=(-0.7, 3.1))
        pen.line(axes, [0, 0], [-0.5, 2.5], color=INK, linewidth=3)
        pen.write(axes, (left + right) / 2, 2.8, "edges sink in, compared with blade A")
        for y, name, words in (
            (2, "only_rocker", "new curve alone"),
            (1, "only_hollow", "new groove alone"),
            (0, "both", "both at once"),
        ):
            value = change[name]
            mixed = name == "both"
            pen.bar(axes, y, value, 0.56, color=STEEL if mixed else PRESENT, alpha=1.0 if mixed else 0.45)
            pen.bar(axes, y, value, 0.56, facecolor="none", edgecolor=INK if mixed else PRESENT, linewidth=3)
            side = "left" if value >= 0 else "right"
            pen.write(
                axes, value + np.copysign(0.02 * span, value), y, said[name], ha=side, fontweight="bold"
            )
            pen.write(names, 0.0, y, words, ha="left")

    return Lesson(facts, draw, cautions=("first", "health"))


def _in_words(percent: float) -> Like:
    """A change of the bite, for young players."""
    size = "the same" if abs(percent) < 0.5 else "a little" if abs(percent) < _A_LITTLE else "a lot"
    way = "" if size == "the same" else " deeper" if percent > 0 else " less"
    return Like(size + way, "our own words for it")


@cache
def _seasons() -> tuple[Season, Season]:
    """The example season with its re-profiles, and without them after the first."""
    plan = SeasonPlan()
    alone = replace(plan, reprofile_weeks=plan.reprofile_weeks[:1])
    return simulate_season(plan, 400), simulate_season(alone, 400)


def a_season_of_care(examples: Examples) -> Lesson:
    """Show how the curve drifts between re-profiles, and how much steel the season takes."""
    kept, never = _seasons()
    kept_plan = kept.plan
    weeks = np.arange(kept_plan.weeks + 1)
    passing = float(np.median(never.passing_week))
    used = float(kept_plan.height_mm - kept.band()[1, -1])
    sharpenings = float(np.median(kept.sharpenings.sum(axis=1)))
    usable = kept_plan.height_mm - kept_plan.least_height_mm
    times = float(len(kept_plan.reprofile_weeks))
    facts: tuple[Fact, ...] = (
        Fact(
            "sharpenings",
            "count",
            sharpenings,
            "sharpenings in the season (half of all seasons have more)",
            _SIMULATED,
        ),
        Fact("weeks", "weeks", float(kept_plan.weeks), "length of the season", _ASSUMED),
        Fact("used", "fine length", used, "steel the season takes, with re-profiles (median)", _SIMULATED),
        Fact("usable", "fine length", usable, "steel above the maker's minimum at the start", _ASSUMED),
        Fact(
            "tolerance",
            "fine depth",
            kept_plan.tolerance_mm,
            "how far the edge may be off its shape",
            _ASSUMED,
        ),
        Fact(
            "times",
            "count",
            times,
            "re-profiles: start, middle, before the end",
            "common practice; no source",
        ),
    )
    if np.isfinite(passing):
        meaning = "week in which a blade that is never brought back goes out of tolerance (median)"
        facts += (Fact("passing", "count", passing, meaning, _SIMULATED),)

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        drift = {"never": never.band("drift_mm")[1], "kept": kept.band("drift_mm")[1]}
        top = max(drift["never"].max(), kept_plan.tolerance_mm) * 1.35
        axes = stage(figure, 0.0, 0.0, 1.0, 1.0, xlim=(-0.5, weeks[-1] * 1.42), ylim=(-0.32 * top, top))
        pen.line(axes, [0, weeks[-1]], [0, 0], color=QUIET, linewidth=2)
        pen.fill(axes, [0, weeks[-1]], 0, kept_plan.tolerance_mm, facecolor=ICE, edgecolor="none")
        pen.line(axes, [0, weeks[-1]], [kept_plan.tolerance_mm] * 2, color=INK, linewidth=2, linestyle=":")
        pen.line(axes, weeks, drift["never"], color=QUIET, linestyle=DASH["B"], linewidth=5)
        pen.line(axes, weeks, drift["kept"], color=INK, linewidth=5)
        pen.write(
            axes, 0.2, 0.88 * top, "how far the edge is off its curve", ha="left", fontsize=SMALL_LETTERS
        )
        end = weeks[-1] * 1.02
        pen.write(axes, end, drift["never"][-1], "left alone", ha="left", color=QUIET, fontweight="bold")
        pen.write(
            axes,
            end,
            max(drift["kept"][-1], 0.1 * top),
            "brought back",
            ha="left",
            color=INK,
            fontweight="bold",
        )
        pen.write(axes, 0.4, 0.82 * kept_plan.tolerance_mm, "allowed", ha="left", fontsize=SMALL_LETTERS)
        pen.write(axes, 0.2, -0.17 * top, "season starts", ha="left", fontsize=SMALL_LETTERS)
        pen.write(axes, weeks[-1], -0.17 * top, f"after {said['weeks']}", ha="right", fontsize=SMALL_LETTERS)

    words = {
        "never_off": "drifts off by more than {tolerance}"
        if np.isfinite(passing)
        else "stays within {tolerance}",
        "kept_off": "stays within that" if np.isinf(np.median(kept.passing_week)) else "does too",
    }
    return Lesson(facts, draw, words, cautions=("grind", "minimum", "first"))


def how_we_know(examples: Examples) -> Lesson:
    """Show computed next to measured friction."""
    cases, computed = _friction()
    facts: list[Fact] = []
    for name, case in cases.items():
        span, where, cited = computed[name], case.case, _cited(case)
        mu = span.drop_test
        facts += [
            Fact(
                f"measured_{name}",
                "share",
                100 * case.mu,
                f"measured friction, share of the weight, {where}",
                cited,
                pucks_weigh(case.mu * examples.mass_kg),
            ),
            Fact(
                f"computed_{name}",
                "share",
                100 * mu,
                f"computed friction, share of the weight, {where}; assumed: {case.assumed}",
                like=pucks_weigh(mu * examples.mass_kg),
            ),
            Fact(f"least_{name}", "share", 100 * span.low, f"the least on the ices held possible, {where}"),
            Fact(f"most_{name}", "share", 100 * span.high, f"the most on the ices held possible, {where}"),
            Fact(
                f"off_{name}",
                "percent",
                percent_apart(mu, case.mu),
                f"how far computed is from measured, {where}",
            ),
        ]
    low = computed["hockey"].drop_test < cases["hockey"].mu

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        top = max(*(span.drop_test for span in computed.values()), *(case.mu for case in cases.values()))
        axes = stage(figure, 0.27, 0.0, 0.73, 1.0, xlim=(0, top * 2.0), ylim=(-0.55, 4.3))
        names = stage(figure, 0.0, 0.0, 0.27, 1.0, xlim=(0, 1), ylim=(-0.55, 4.3))
        pen.write(axes, 0, 4.0, said["header"], ha="left")
        for y, name, words in ((2.6, "hockey", "hockey blade"), (0.45, "speed", "speed skate")):
            pen.write(names, 0.0, y, words, ha="left")
            for shift, kind, value in (
                (0.45, "measured", cases[name].mu),
                (-0.45, "computed", computed[name].drop_test),
            ):
                colour = QUIET if kind == "measured" else ICE
                pen.bar(axes, y + shift, value, 0.66, facecolor=colour, edgecolor=INK, linewidth=2)
                text = f"{kind}: {said[f'{kind}_{name}']}"
                pen.write(axes, value + 0.015 * top, y + shift, text, ha="left", fontsize=SMALL_LETTERS)

    words: dict[str, str | tuple[str, str]] = {
        "low_or_high": "too low" if low else "too high",
        "header": (
            "slowed by the ice: share of the weight",
            "the ice pulls you back like the weight of",
        ),
    }
    return Lesson(tuple(facts), draw, words)


@cache
def _friction() -> tuple[dict[str, MeasuredFriction], dict[str, Span]]:
    """The measured cases, the same for all examples, and what is computed for each over the possible ices."""
    cases = {("hockey" if case.case.startswith("hockey") else "speed"): case for case in read_measured()}
    spans = {
        name: friction_span(
            case.blade, Stance(case.mass_kg * GRAVITY_M_S2), case.temperature_C, case.speed_m_s
        )
        for name, case in cases.items()
    }
    return cases, spans


def _cited(case: MeasuredFriction) -> str:
    return case.source + (" (from memory)" if case.tag == "MEMORY" else "")


def safety(examples: Examples) -> Lesson:
    """Show the maker's minimum height, and close with the cautions."""

    def draw(figure: Figure | SubFigure, said: Said) -> None:
        axes = stage(figure, 0.0, 0.0, 1.0, 1.0, xlim=(0, 12.1), ylim=(-0.45, 3.85))
        for x, height, words in ((1.2, 2.6, "new"), (4.0, 1.75, "used"), (6.8, 0.75, "worn out")):
            pen.fill(axes, [x, x + 1.6], 3.2 - height, 3.2, facecolor=STEEL, edgecolor=INK, linewidth=3)
            pen.write(axes, x + 0.8, 3.55, words)
            if words == "worn out":
                pen.line(axes, [x + 0.1, x + 1.5], [2.4, 3.1], color=INK, linewidth=8)
                pen.line(axes, [x + 0.1, x + 1.5], [3.1, 2.4], color=INK, linewidth=8)
        pen.line(axes, [0.4, 9.0], [3.2 - 1.1] * 2, color=INK, linewidth=4, linestyle=(0, (4, 2)))
        pen.write(axes, 9.15, 3.2 - 1.1, "maker's\nminimum", ha="left", color=INK, fontweight="bold")
        pen.write(axes, 4.8, 0.05, "height of the steel, seen from the end", fontsize=SMALL_LETTERS)

    return Lesson((), draw, cautions=("grind", "minimum", "first", "rules", "health"))
