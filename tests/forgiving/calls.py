"""Calls of the public functions with random arguments.

Each function of `CALLS` draws its arguments, calls the library, and returns the numbers that must be finite.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

import bladelab as b
from bladelab.advice.single_change import single_changes
from bladelab.show.wording.changes import next_to_try
from tests.forgiving.arguments import Chance


def flat(found: Any) -> Any:
    """All numbers of a number, an array, or a list of them."""
    parts = found if isinstance(found, list) else [found]
    return np.concatenate([np.ravel(np.asarray(part, dtype=float)) for part in [*parts, []]])


def _numbers(found: dict[str, Any]) -> Any:
    """All of a dictionary of numbers and arrays, NaN left out: it has a meaning there."""
    values = flat(list(found.values()))
    return values[~np.isnan(values)]


def _contact(c: Chance) -> Any:
    found = b.solve_contact(c.blade(), c.stance(), c.ice(), c.random() < 0.5)
    if np.ndim(found.depth_mm) == 0:
        assert abs(found.force_error) < 1e-9, found
        assert abs(found.moment_error) < 1e-9, found
        return [found.depth_mm, found.length_mm, found.pitch_deg, found.hold_deg, found.rock_deg]
    return found.depth_mm[found.reason == ""]


def _rocker(c: Chance) -> Any:
    rocker, x = c.rocker(), c.near(-100, 100)
    return [rocker.height_mm(x), rocker.tilt_deg(x), rocker.radius_mm(x)]


def _match(c: Chance) -> Any:
    blade = c.blade()
    other = b.Rocker.single(c.near(1500, 9000), blade.rocker.length_mm)
    keep = c.choice(("bite", "hold", "yaw_hold", c.choice(("", "speed", None))))
    return b.match_hollow(blade, other, c.stance(), c.ice(), keep, c.random() < 0.5).radius_mm


def _match_everywhere(c: Chance) -> Any:
    found = b.match_everywhere(c.blade(), c.rocker(), c.near(25, 130), c.ice())
    assert len(b.match_table(found)) == len(found)
    return [match.target for match in found]


def _zone_reach(c: Chance) -> Any:
    found = b.zone_reach(c.blade(), c.stance(), c.ice(), c.random() < 0.5)
    return _numbers({"low": found.low_mm, "high": found.high_mm})


def _difference(c: Chance) -> Any:
    blades, stance, ice = (c.blade(), c.blade()), c.stance(), c.ice()
    spread = b.Spread(c.near(0, 3), c.near(0, 0.2), c.near(0, 20), c.near(0, 0.2))
    functions = [lambda s, i, blade=blade: b.solve_contact(blade, s, i).depth_mm for blade in blades]
    found = b.difference(*functions, stance, ice, spread, n=c.whole(8, 30), seed=1)
    assert len(found.sentence) > 10
    return [found.same_day.low, found.same_day.high, found.other_day.low]


def _stride(c: Chance) -> Any:
    n = c.randint(1, 8)
    columns = [[c.near(*ends) for _ in range(n)] for ends in ((0, 1.5), (0, 2), (-60, 60), (0, 50))]
    stride = b.Stride(sorted(columns[0], key=str), *columns[1:])
    return stride.at_times(c.whole(2, 20)).load_share


def _fit_zones(c: Chance) -> Any:
    found = b.fit_zones(*c.points(8, 150), count=c.choice((None, c.whole(1, 4))), most=c.whole(1, 4))
    return [*(zone.radius_mm for zone in found.zones), found.pivot_mm]


def _trace(c: Chance) -> Any:
    trace = c.trace()
    found = b.local_curve(trace, window_mm=c.near(10, 80))
    b.save_trace(trace, c.folder / f"{c.randrange(10**9)}.csv", note="invented")
    return _numbers({"height": found.height_mm, "error": found.height_error_mm})


def _deviation(c: Chance) -> Any:
    found = b.deviation(c.trace(), c.rocker(), c.near(0.01, 0.3), c.near(5, 60))
    return _numbers({"deviation": found.deviation_mm})


def _sides(c: Chance) -> Any:
    found = b.left_against_right(c.trace(), c.trace(), c.near(10, 60), c.near(1, 5))
    return _numbers({"difference": found.difference_mm})


def _gauge(c: Chance) -> Any:
    chord, radius = c.near(20, 120), c.near(900, 12000)
    found = b.radius_from_versine(chord, b.versine(chord, radius))
    plan = b.GaugePlan(c.near(0.001, 0.05), chord, c.whole(1, 20), c.choice(("versine", "trace", "")))
    return [found, plan.radius_error_mm(radius), plan.wrong_share(radius, c.near(900, 12000))]


def _readings(c: Chance) -> Any:
    n = c.randint(1, 12)
    x = np.linspace(-90, 90, n)
    chord = c.near(20, 120)
    versines = [c.near(0.05, 2.0) for _ in x]
    readings = b.GaugeReadings(x, versines, chord, c.choice((None, c.near(0.001, 0.05))))
    return b.deviation(readings, c.rocker()).deviation_mm


def _edge_level(c: Chance) -> Any:
    level = b.EdgeLevel(c.near(-2, 2), c.near(20, 150), c.near(0, 0.5))
    return [level.tilt_deg, level.proud_mm(c.near(2, 4)), *level.hold_deg(c.blade(), c.stance(), c.ice())]


def _hollow(c: Chance) -> Any:
    reading = c.reading()
    found = b.hollow_difference(reading, c.near(5, 40), c.rocker(), c.stance(), c.ice(), c.random() < 0.5)
    return [reading.radius_mm, *(one["bite_mm"] for one in found.values())]


def _photo(c: Chance) -> Any:
    x, y = c.points(8, 80)
    ruler = b.Ruler(
        (c.near(0, 500), c.near(0, 500)), (c.near(500, 1000), c.near(0, 500)), c.near(50, 400), c.near(0, 5)
    )
    steel = c.choice(("above", "below", c.choice(("left", ""))))
    found = b.photo_trace(
        x * 3 + 500, 300 - y * 3, ruler, c.near(900, 4000), steel, c.near(0, 10), c.near(-10, 10)
    )
    return [found.fit.radius_mm, b.line_bow_px(x * 3, y)]


def _edge(c: Chance) -> Any:
    picture = np.random.default_rng(c.randrange(2**32)).random((40, 60)) * 25
    picture[c.randrange(15, 25) :, :] += 200
    columns, rows = (c.whole(0, 20), c.whole(40, 59)), (c.whole(0, 10), c.whole(25, 39))
    x, y = b.find_edge(picture, columns, rows, c.near(0.5, 4))
    return _numbers({"x": x, "y": y})


def _cut(c: Chance) -> Any:
    present = c.trace() if c.random() < 0.5 else c.rocker()
    found = b.steel_to_remove(present, c.rocker(), c.near(0, 1))
    return [found.offset_mm, found.tilt_deg]


def _craters(c: Chance) -> Any:
    craters = [c.near(5, 12) for _ in range(c.randint(1, 8))]
    drop = b.hardness_from_drop(12.7, c.near(0.3, 2), craters, c.choice((None, c.near(0.06, 6))))
    press = b.hardness_from_press(12.7, c.near(100, 2000), c.near(1, 60), craters)
    found = b.exponent_between(drop, press)
    return [drop.hardness_MPa, *drop.interval_MPa, press.brinell, press.standard_error_MPa, *found]


def _glide_out(c: Chance) -> Any:
    marks, start = np.arange(6) * c.uniform(2, 6), c.uniform(1, 4)
    times = marks / start + 0.01 * marks**2 / start**2 + [c.uniform(0, 0.1) for _ in marks]
    times[c.randrange(6)] = np.nan
    found = b.fit_glide_out(marks, [times, 1.1 * times], c.near(40, 120), c.choice((None, [1, -1])))
    return [found.mu, *found.mu_interval, *found.cda_interval_m2]


def _pairs(c: Chance) -> Any:
    n = c.randint(2, 18)
    one, other = ([c.near(3, 5) for _ in range(n)] for _ in "AB")
    found = b.paired_result(one, other)
    pairs = b.pairs_needed(c.near(0.5, 5), c.near(0.5, 3), c.near(0.5, 0.95))
    return [found.low, found.high, found.p, found.p_permutation, found.cv_percent, *found.percent, pairs]


def _season(c: Chance) -> Any:
    plans = [c.plan() for _ in range(c.randint(1, 2))]
    if len(plans) == 1:
        return b.simulate_season(plans[0], c.whole(1, 30)).steel_left_mm
    return _numbers(b.compare_plans(plans, c.whole(1, 20)).select_dtypes("number").to_dict("list"))


def _scorecard(c: Chance) -> Any:
    card = b.scorecard(c.blade(), c.blade(), c.conditions(), n=c.whole(8, 20))
    return [line.present for line in card.lines]


def _change_map(c: Chance) -> Any:
    found = b.single_change_map(c.blade(), c.conditions())
    return _numbers({"values": found.values})


def _plan_steps(c: Chance) -> Any:
    present = c.blade()
    goal = c.blade() if c.random() < 0.3 else c.choice(single_changes(present) or (None,)).blade
    words = c.sample(sorted(b.WISHES), 2)
    steps = b.plan_steps(present, goal, b.Conditions(c.near(25, 130)), [b.WISHES[word] for word in words])
    return _numbers({str(i): step.gains for i, step in enumerate(steps)} | {"none": []})


def _trials(c: Chance) -> Any:
    trials, conditions = c.trials(), b.Conditions(c.near(25, 130), c.ice())
    assert len(next_to_try(b.propose_next(trials, conditions))) > 10
    log = b.TrialLog(c.folder / f"{c.randrange(10**9)}.csv")
    for trial in trials:
        log.append(trial)
    if trials:
        assert log.read().of("K07") == tuple(trials)
    return [one.agree for one in b.against_model(trials, conditions)]


def _blade_file(c: Chance) -> Any:
    blade, name = c.blade(), c.choice(("mine", "", "a/b", "x" * 300, "été"))
    path = b.save_blade(c.folder / f"{c.randrange(10**9)}.json", blade, name)
    assert b.load_blade(path) == (name, blade)
    return blade.rocker.length_mm


def _units(c: Chance) -> Any:
    found = b.feet(c.choice((c.near(1, 40), "10", "9.5 ft", "ten feet", "-3")))
    return [found, b.as_feet(found), b.inches(c.choice((c.near(0.1, 2), "5/8", "1 1/8", "3/0")))]


def _fraction(c: Chance) -> Any:
    assert b.as_fraction(c.near(3, 60), c.choice((16, 64, c.whole(1, 128))))
    return b.nearest_usual(c.hollow()).radius_mm


#: Each public function by what is called, and how often among the rest: the heavy ones seldom.
CALLS: dict[Callable[[Chance], Any], int] = {
    _contact: 60,
    lambda c: b.solve_friction(c.blade(), c.stance(), c.ice(), c.near(0.3, 12)).total: 40,
    lambda c: b.glide_out(c.blade(), c.stance(), c.ice(), c.near(2, 12), c.near(0.5, 2), c.near(0, 0.9)): 20,
    lambda c: b.rock_deg(c.blade(), c.stance(), c.ice(), c.random() < 0.5): 20,
    lambda c: b.boot_tip(c.blade(), c.blade(), c.stance(), c.ice(), c.near(150, 350)).heel_lift_mm: 20,
    lambda c: _numbers(b.evaluate(c.blade(), c.conditions())): 10,
    lambda c: b.fit_radius(*c.points()).radius_mm: 40,
    _rocker: 60,
    _match: 10,
    _match_everywhere: 1,
    _zone_reach: 10,
    _difference: 6,
    _stride: 20,
    _fit_zones: 3,
    _trace: 10,
    _deviation: 10,
    _sides: 10,
    _gauge: 40,
    _readings: 10,
    _edge_level: 10,
    _hollow: 20,
    _photo: 10,
    _edge: 20,
    _cut: 10,
    _craters: 20,
    _glide_out: 5,
    _pairs: 10,
    _season: 10,
    _scorecard: 1,
    _change_map: 1,
    _plan_steps: 2,
    _trials: 1,
    _blade_file: 10,
    _units: 60,
    _fraction: 40,
}
