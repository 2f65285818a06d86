"""The season panel: two plans of upkeep side by side, played through many simulated seasons."""

from __future__ import annotations

from datetime import timedelta
from functools import lru_cache
from types import SimpleNamespace
from typing import Any

import numpy as np

from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.style import LINES, QUIET, label
from bladelab.show.canvas.view import View
from bladelab.show.controls.control import Choice, Slider, for_both
from bladelab.show.panel.engine import Answer, Panel
from bladelab.workshop.season import Season, simulate_season
from bladelab.workshop.season_plan import SeasonPlan

_SEASONS = 400
_RULES = (
    ("never", "never"),
    ("at the start", "start"),
    ("start and middle", "middle"),
    ("start, middle, before the end", "usual"),
    ("every 6 weeks", "often"),
)
_MOST_MARKS = 20
_DAY = SeasonPlan().start


def weeks_of(rule: str, weeks: int) -> tuple[float, ...]:
    """The weeks at whose start the blade is re-profiled, for one of the habits on offer."""
    middle, late = float(round(weeks / 2)), float(max(weeks - 4, 0))
    rules = {"never": (), "start": (0.0,), "middle": (0.0, middle), "usual": (0.0, middle, late)}
    rules["often"] = tuple(float(week) for week in range(0, weeks, 6))
    return tuple(sorted(set(rules[rule])))


class SeasonView(View):
    """Drift of the shape against its tolerance, and steel left above the minimum, week by week."""

    height_px = 430

    def draw(self) -> None:
        self.drift = self.figure.add_axes((0.075, 0.53, 0.905, 0.33))
        self.steel = self.figure.add_axes((0.075, 0.11, 0.905, 0.36))
        self.drift.tick_params(labelbottom=False)
        self.drift.set_ylabel("drift of the shape, mm")
        self.steel.set(xlabel="weeks of the season", ylabel="height of the steel, mm")
        self.bands: dict[Any, Any] = {}
        self.lines: dict[Any, Any] = {}
        for axes in (self.drift, self.steel):
            for name in BOTH:
                colour = LINES[name]["color"]
                self.bands[axes, name] = self.moving(
                    axes.fill_between([0, 1], 0, 0, color=colour, alpha=0.18, linewidth=0)
                )
            for name in BOTH:
                self.lines[axes, name] = self.moving(axes.plot([], [], **LINES[name])[0])
        self.tolerance = self.moving(self.drift.axhline(0, color="black", linewidth=1.4))
        self.tolerance_tag = self.moving(label(self.drift, 0, 0, "tolerance", ha="left", va="bottom"))
        self.least = self.moving(self.steel.axhline(0, color="black", linewidth=1.4))
        self.least_tag = self.moving(
            label(self.steel, 0, 0, "maker's minimum: below it, never grind", ha="left", va="bottom")
        )
        self.marks = {
            name: self.moving(
                self.drift.plot(
                    [], [], marker="v", markersize=8, linestyle="none", color=LINES[name]["color"]
                )[0]
            )
            for name in BOTH
        }
        for x, words, colour in (
            (0.0, "present plan", LINES["present"]["color"]),
            (0.115, "trial plan (dashed)", LINES["trial"]["color"]),
            (0.295, "shaded: 8 of 10 seasons", QUIET),
            (0.51, "marks: re-profiled", QUIET),
        ):
            self.moving(
                label(self.drift, x, 1.04, words, color=colour, clip_on=False, transform=self.drift.transAxes)
            )

    def update(self, *, seasons: dict[str, Season], finding: str) -> None:
        """Show both plans."""
        plans = {name: season.plan for name, season in seasons.items()}
        weeks = plans["present"].weeks
        drifts = {name: season.band("drift_mm") for name, season in seasons.items()}
        steels = {name: season.band("steel_left_mm") for name, season in seasons.items()}
        tolerance, least = plans["present"].tolerance_mm, plans["present"].least_height_mm
        top = step_above(
            1.25 * max(tolerance, *(float(band.max()) for band in drifts.values())),
            (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0),
        )
        high = 2 * np.ceil((plans["present"].height_mm + 0.5) / 2)
        low = 2 * np.floor((min(least, *(float(band.min()) for band in steels.values())) - 0.5) / 2)
        reach = step_above(weeks, (20, 30, 40, 52, 104))
        self.drift.set(xlim=(-0.5, reach + 0.5), ylim=(0, top))
        self.steel.set(xlim=(-0.5, reach + 0.5), ylim=(low, high))
        x = np.arange(weeks + 1.0)
        for name in BOTH:
            for axes, band in ((self.drift, drifts[name]), (self.steel, steels[name])):
                self.bands[axes, name].set_data(x, band[0], band[2])
                self.lines[axes, name].set_data(x, band[1])
            places = plans[name].reprofile_weeks[:_MOST_MARKS]
            height = (0.97 if name == "present" else 0.89) * top
            self.marks[name].set_data(places, [height] * len(places))
        self.tolerance.set_ydata([tolerance] * 2)
        self.tolerance_tag.set_position((0, tolerance + 0.01 * top))
        self.least.set_ydata([least] * 2)
        self.least_tag.set_position((0, least + 0.02 * (high - low)))
        self.title(finding)


@lru_cache(maxsize=32)
def _played(plan: SeasonPlan) -> Season:
    return simulate_season(plan, _SEASONS)


def _plan(state: SimpleNamespace, name: str) -> SeasonPlan:
    side = getattr(state, name)
    weeks = round(state.weeks)
    return SeasonPlan(
        weeks=weeks,
        ice_hours_per_week=state.ice_hours,
        hours_per_sharpening=side.hours_per_sharpening,
        steel_per_sharpening_mm=side.steel_mm,
        rounding=side.rounding / 100,
        rounding_habit=side.rounding_habit / 100,
        unevenness=side.unevenness / 100,
        reprofile_weeks=weeks_of(side.reprofile, weeks),
        first_cut_mm=state.first_cut_mm if side.reprofile != "never" else 0.0,
        tolerance_mm=state.tolerance_mm,
        height_mm=state.height_mm,
        least_height_mm=state.least_mm,
        name=name,
    )


def _tell(season: Season) -> str:
    plan = season.plan
    used = plan.height_mm - season.band()[:, -1]
    words = (
        f"The {plan.name} plan takes {used[1]:.1f} mm of steel in a season (8 of 10 seasons: {used[2]:.1f} "
        f"to {used[0]:.1f}), "
        f"{100 * used[1] / plan.usable_mm:.0f} % of what is left above the minimum, in "
        f"{np.median(season.sharpenings.sum(axis=1)):.0f} sharpenings. "
    )
    share = round(100 * season.passing_share)
    if not share:
        words += "The shape stays within the tolerance."
    else:
        beyond = float(season.weeks_beyond.mean())
        words += f"In {share} of 100 seasons the shape passes the tolerance"
        if (day := season.passing_date) is not None:
            week = (day - _DAY) // timedelta(weeks=1)
            words += f", usually by week {week} ({day.day} {day:%B})"
        words += f"; {beyond:.1f} weeks beyond it on average."
    if (end := _stops(season)) is not None:
        words += f" In week {end} the runner is at its minimum: stop, and replace the steel."
    elif season.spent_share > 0:
        share = max(1, round(100 * season.spent_share))
        words += f" In {share} of 100 seasons the runner is at its minimum before the end: stop there."
    return words


def _stops(season: Season) -> int | None:
    """The week by which half of all seasons have stopped at the minimum; None if fewer than half do."""
    week = float(np.median(season.spent_week))
    return int(week) if np.isfinite(week) else None


def season_answer(state: SimpleNamespace) -> Answer:
    """Both plans, in words."""
    seasons = {name: _played(_plan(state, name)) for name in BOTH}
    used = {name: s.plan.height_mm - s.band()[1, -1] for name, s in seasons.items()}
    beyond = {name: float(s.weeks_beyond.mean()) for name, s in seasons.items()}
    steel = used["trial"] - used["present"]
    weeks = beyond["trial"] - beyond["present"]
    first = (
        "as much steel"
        if abs(steel) < 0.05
        else f"{abs(steel):.1f} mm {'more' if steel > 0 else 'less'} steel"
    )
    second = (
        "as long in shape"
        if abs(weeks) < 0.05
        else f"{abs(weeks):.1f} weeks {'more' if weeks > 0 else 'fewer'} out of shape"
    )
    finding = f"The trial plan: {first}, {second}"
    stops = [(name, week) for name, s in seasons.items() if (week := _stops(s)) is not None]
    if stops:
        said = " and ".join(f"the {name} plan in week {week}" for name, week in stops)
        finding = f"The runner is at its minimum under {said}: stop there"
    return Answer("\n".join(map(_tell, seasons.values())), {"seasons": seasons, "finding": finding})


def season_panel() -> Panel:
    """Plan a season of upkeep."""
    base = SeasonPlan()
    both = for_both(
        Slider(
            "hours_per_sharpening",
            "hours per sharpening",
            "rocker",
            low=1,
            high=30,
            default=base.hours_per_sharpening,
        ),
        Slider(
            "steel_mm",
            "steel each time",
            "rocker",
            low=0.01,
            high=0.3,
            default=base.steel_per_sharpening_mm,
            quantity="depth",
            step=0.005,
        ),
        Slider(
            "rounding",
            "ends lose more by",
            "rocker",
            low=-20,
            high=60,
            default=100 * base.rounding,
            quantity="percent",
        ),
        Slider(
            "rounding_habit",
            "that differs by hand",
            "rocker",
            low=0,
            high=30,
            default=100 * base.rounding_habit,
            quantity="percent",
        ),
        Slider(
            "unevenness",
            "uneven each time by",
            "rocker",
            low=0,
            high=60,
            default=100 * base.unevenness,
            quantity="percent",
        ),
        Choice("reprofile", "re-profile", "rocker", options=_RULES, default="usual"),
        trial={"rounding": 2.0, "rounding_habit": 1.0, "unevenness": 5.0, "reprofile": "start"},
    )
    return Panel(
        "season",
        SeasonView(),
        [
            *both,
            Slider("weeks", "weeks in the season", "skater", low=8, high=52, default=base.weeks),
            Slider(
                "ice_hours",
                "hours on ice a week",
                "skater",
                low=1,
                high=25,
                default=base.ice_hours_per_week,
                step=0.5,
            ),
            Slider(
                "tolerance_mm",
                "drift allowed",
                "skater",
                low=0.02,
                high=0.5,
                default=base.tolerance_mm,
                quantity="depth",
                step=0.01,
            ),
            Slider(
                "first_cut_mm",
                "first profiling",
                "skater",
                low=0,
                high=2,
                default=0.2,
                quantity="depth",
                step=0.05,
            ),
            Slider(
                "height_mm",
                "steel height now",
                "skater",
                low=5,
                high=30,
                default=base.height_mm,
                quantity="fine length",
            ),
            Slider(
                "least_mm",
                "maker's minimum",
                "skater",
                low=2,
                high=20,
                default=base.least_height_mm,
                quantity="fine length",
            ),
        ],
        season_answer,
        tabs=False,
        columns_of="plan",
    )
