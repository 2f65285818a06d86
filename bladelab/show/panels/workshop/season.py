"""How often should you re-profile? Two plans of upkeep, each played through many simulated seasons."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache, partial
from types import SimpleNamespace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.collections import FillBetweenPolyCollection
from matplotlib.lines import Line2D

from bladelab.book.card import Card
from bladelab.book.plan_happenings import SeasonPlanned
from bladelab.show.canvas.limits import Rising, step_above
from bladelab.show.canvas.parts import BOTH
from bladelab.show.canvas.result import Result
from bladelab.show.canvas.style import LINES, PRESENT, QUIET, TRIAL, Look
from bladelab.show.canvas.view import View
from bladelab.show.controls.blade import steel_controls
from bladelab.show.controls.control import Choice, Slider, for_both
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
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
_DRIFTS_MM = (0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0)
_USUAL = SeasonPlan()
_STEEL_MM = _USUAL.steel_per_sharpening_mm


@dataclass(frozen=True, kw_only=True)
class Seasons(Result):
    """The seasons played under each plan, by name."""

    seasons: dict[str, Season]


def weeks_of(rule: str, weeks: int) -> tuple[float, ...]:
    """The weeks at whose start the blade is re-profiled, for one of the habits on offer."""
    middle, late = float(round(weeks / 2)), float(max(weeks - 4, 0))
    rules = {"never": (), "start": (0.0,), "middle": (0.0, middle), "usual": (0.0, middle, late)}
    rules["often"] = tuple(float(week) for week in range(0, weeks, 6))
    return tuple(sorted(set(rules[rule])))


def season_answer(state: SimpleNamespace) -> Seasons:
    """Both plans, in words."""
    seasons = {name: _played(_plan(state, name)) for name in BOTH}
    used = {name: s.plan.height_mm - s.band()[1, -1] for name, s in seasons.items()}
    steel = used["trial"] - used["present"]
    weeks = float(seasons["trial"].weeks_beyond.mean()) - float(seasons["present"].weeks_beyond.mean())
    first, second = "as much steel", "as long in shape"
    if abs(steel) >= 0.05:
        first = f"{abs(steel):.1f} mm {'more' if steel > 0 else 'less'} steel"
    if abs(weeks) >= 0.05:
        second = f"{abs(weeks):.1f} {'more' if weeks > 0 else 'fewer'} weeks out of shape"
    finding = f"The trial plan: {first}, {second}"
    stops = [(name, week) for name, s in seasons.items() if (week := _stops(s)) is not None]
    if stops:
        said = " and ".join(f"the {name} plan in week {week}" for name, week in stops)
        finding = f"The runner reaches its minimum under {said}: stop there"
    return Seasons(seasons=seasons, finding=finding, sentence="\n".join(map(_tell, seasons.values())))


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
        # A skater's plan begins with the steel as it is now.
        start=_USUAL.start if SKATER.card is None else date.today(),
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
        words += "The shape stays within tolerance."
    else:
        beyond = float(season.weeks_beyond.mean())
        words += f"In {share} of 100 seasons the shape goes out of tolerance"
        if (day := season.passing_date) is not None:
            week = (day - plan.start) // timedelta(weeks=1)
            words += f", usually by week {week} ({day.day} {day:%B})"
        words += f"; {beyond:.1f} weeks out of tolerance on average."
    if (end := _stops(season)) is not None:
        words += f" In week {end} the runner reaches its minimum: stop, and replace the steel."
    elif season.spent_share > 0:
        share = max(1, round(100 * season.spent_share))
        words += f" In {share} of 100 seasons the runner reaches its minimum before the end: stop there."
    return words


def _stops(season: Season) -> int | None:
    """The week by which half of all seasons have stopped at the minimum; None if fewer than half do."""
    week = float(np.median(season.spent_week))
    return int(week) if np.isfinite(week) else None


class SeasonView(View[Seasons]):
    """Drift of the shape against its tolerance, and steel left above the minimum, week by week."""

    height_px = 430

    def draw(self) -> None:
        self.drift = self.figure.add_axes((0.075, 0.53, 0.905, 0.33))
        self.steel = self.figure.add_axes((0.075, 0.11, 0.905, 0.36))
        self.drift.tick_params(labelbottom=False)
        self.drift.set_ylabel("drift of the shape, mm")
        self.steel.set(xlabel="weeks of the season", ylabel="height of the steel, mm")
        self.top = Rising(self.drift, _DRIFTS_MM, spare=1.25)
        self.bands: dict[tuple[Axes, str], FillBetweenPolyCollection] = {}
        self.lines: dict[tuple[Axes, str], Line2D] = {}
        for axes in (self.drift, self.steel):
            for name in BOTH:
                self.bands[axes, name] = self.new_area(axes, color=LINES[name]["color"], alpha=0.18)
            for name in BOTH:
                self.lines[axes, name] = self.new_line(axes, **LINES[name])
        self.tolerance = self.new_level(self.drift, color="black", linewidth=1.4)
        self.tolerance_tag = self.new_text(self.drift, "tolerance", va="bottom")
        self.least = self.new_level(self.steel, color="black", linewidth=1.4)
        self.least_tag = self.new_text(self.steel, "maker's minimum: never grind below it", va="bottom")
        look = {"marker": "v", "markersize": 8, "linestyle": "none"}
        self.marks = {name: self.new_line(self.drift, color=LINES[name]["color"], **look) for name in BOTH}
        over: Look = {"transform": self.drift.transAxes, "clip_on": False}
        self.key = [
            self.new_text(self.drift, words, x, 1.04, color=colour, **over)
            for x, words, colour in (
                (0.0, "present plan", PRESENT),
                (0.115, "trial plan (dashed)", TRIAL),
                (0.295, "shaded: 8 of 10 seasons", QUIET),
                (0.51, "marks: re-profiled", QUIET),
            )
        ]

    def stack_up(self) -> None:
        super().stack_up()
        for text, place in zip(self.key, ((0, 1.14), (0.4, 1.14), (0, 1.03), (0.6, 1.03)), strict=True):
            text.set_position(place)

    def update(self, played: Seasons) -> None:
        plans = {name: season.plan for name, season in played.seasons.items()}
        drifts = {name: season.band("drift_mm") for name, season in played.seasons.items()}
        steels = {name: season.band("steel_left_mm") for name, season in played.seasons.items()}
        plan = plans["present"]
        weeks, tolerance, least = plan.weeks, plan.tolerance_mm, plan.least_height_mm
        top = self.top.reach(max(tolerance, *(float(band.max()) for band in drifts.values())))
        high = 2 * np.ceil((plan.height_mm + 0.5) / 2)
        low = 2 * np.floor((min(least, *(float(band.min()) for band in steels.values())) - 0.5) / 2)
        reach = step_above(weeks, (20, 30, 40, 52, 104))
        self.drift.set_xlim(-0.5, reach + 0.5)
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


def _share(key: str, label: str, low: float, high: float, usual: float) -> Slider:
    return Slider(key, label, "rocker", low, high, 100 * usual, "percent")


def season_planned(season: Season, steel_known: bool) -> SeasonPlanned:
    """A plan as a card keeps it, in days.

    Parameters
    ----------
    season : Season
    steel_known : bool
        Whether height and minimum are those of the skater's steel; otherwise the plan does not say when it
        ends.
    """
    plan = season.plan
    end = plan.start + timedelta(weeks=plan.weeks)
    stops = _stops(season)
    until = end if stops is None else plan.start + timedelta(weeks=stops)
    return SeasonPlanned(
        plan.start,
        end,
        tuple(plan.start + timedelta(days=round(7 * week)) for week in plan.reprofile_weeks),
        plan.hours_per_sharpening,
        min(until, end) if steel_known else None,
    )


def _plan_buttons(panel: Panel, card: Card) -> list[CardButton]:
    """Keep one of the plans on the card, which then says when something is due."""
    if not isinstance(panel.result, Seasons):
        return []
    sets = card.sets_on
    known = bool(sets) and all(s.height_mm is not None and s.least_mm is not None for s in sets)
    buttons = []
    for name, season in panel.result.seasons.items():
        planned = season_planned(season, known)
        if planned != card.season:
            text = f"keep the {name} plan on the card"
            buttons.append(CardButton(f"plan_{name}", text, partial(SKATER.write, planned)))
    return buttons


season_panel = panel(
    "season",
    SeasonView,
    season_answer,
    for_both(
        Slider("hours_per_sharpening", "hours per sharpening", "rocker", 1, 30, _USUAL.hours_per_sharpening),
        Slider("steel_mm", "steel per sharpening", "rocker", 0.01, 0.3, _STEEL_MM, "depth", step=0.005),
        _share("rounding", "ends lose more by", -20, 60, _USUAL.rounding),
        _share("rounding_habit", "varies between sharpeners", 0, 30, _USUAL.rounding_habit),
        _share("unevenness", "varies each time by", 0, 60, _USUAL.unevenness),
        Choice("reprofile", "re-profile", "rocker", _RULES, "usual"),
        trial={"rounding": 2.0, "rounding_habit": 1.0, "unevenness": 5.0, "reprofile": "start"},
    ),
    Slider("weeks", "weeks in the season", "skater", 8, 52, _USUAL.weeks),
    Slider("ice_hours", "hours on ice a week", "skater", 1, 25, _USUAL.ice_hours_per_week, step=0.5),
    Slider("tolerance_mm", "drift allowed", "skater", 0.02, 0.5, _USUAL.tolerance_mm, "depth", step=0.01),
    Slider("first_cut_mm", "first profiling takes", "skater", 0, 2, 0.2, "depth", step=0.05),
    steel_controls("skater"),
    tabs=False,
    columns_of="plan",
    more=_plan_buttons,
)
