"""The fitter with one skater over a season: from the measured edges to the trial log.

The skater weighs 181 lb and skates 280 mm runners, 9 ft, 1/2 in. The candidate is 11 ft. Every number on the
page is compared with the library called with these.
"""

import datetime

import numpy as np
import pytest
from playwright.sync_api import expect

from bladelab import (
    MOMENTS,
    Blade,
    Conditions,
    Hollow,
    Ice,
    Rocker,
    SeasonPlan,
    Trace,
    TrialLog,
    deviation,
    feet,
    fit_zones,
    inches,
    left_against_right,
    load_blade,
    match_hollow,
    scorecard,
    simulate_season,
    steel_to_remove,
)
from tests.browser.page import wait_for
from tests.journeys import edges, meant

MASS_KG = 181 * 0.45359237
NINE, ELEVEN = Rocker.single(feet(9), 280), Rocker.single(feet(11), 280)
HALF_INCH = Hollow(inches("1/2"), 2.9)
SPOT_MM = 0.06
LEFT, RIGHT = edges.heights(NINE, 1), edges.heights(NINE, 2, SPOT_MM)
GROUND = edges.heights(ELEVEN, 3)
CODE = "K07"


@pytest.fixture
def fitter(person, own_files):
    """Someone in JupyterLab, with measured edges: the left one from a German spreadsheet, the right one short
    of steel at one spot, and one that was ground to the candidate."""
    one = person("lab")
    measured = own_files / "measured"
    edges.write_german(measured / "k07-left.csv", *LEFT)
    edges.write_plain(measured / "k07-right.csv", *RIGHT)
    edges.write_plain(measured / "k07-ground.csv", *GROUND)
    return one


def test_the_edges_are_measured_and_compared(fitter):
    measure, *_ = fitter.open("11_measure_a_blade.ipynb")
    measure.choose("file", "k07-left.csv")
    measure.choose("count", "1")
    measure.choose("shape", "single")
    measure.set("radius_mm", 9)
    trace = Trace(*LEFT)
    level = trace.level()
    fit = fit_zones(level.x_mm, level.y_mm, count=1)
    (radius,), (error,) = [zone.radius_mm for zone in fit.zones], fit.standard_errors_mm
    assert abs(radius - feet(9)) < 4 * error, "the library finds the edge that was made"
    measure.tells(radius / 304.8, "ft")
    apart = deviation(trace, NINE, 0.03)
    assert apart.verdict == "within"
    measure.tells(abs(apart.largest_mm), "mm", after="at its worst")
    measure.is_true()
    measure.choose("units", meant.METRIC)
    measure.tells(radius / 1000, "m")
    measure.is_true()
    measure.choose("file", "k07-ground.csv")
    ground = Trace(*GROUND)
    assert deviation(ground, NINE, 0.03).verdict == "outside"
    measure.says("beyond the tolerance")
    measure.set("radius_mm", 3.35)
    assert deviation(ground, Rocker.single(3350, 280), 0.03).verdict == "within"
    measure.says("within the tolerance")
    measure.is_true()

    (sides,) = fitter.open("12_left_and_right.ipynb")
    sides.choose("left", "k07-left.csv")
    sides.choose("right", "k07-right.csv")
    seen = left_against_right(Trace(*LEFT), Trace(*RIGHT))
    assert abs(abs(seen.largest_mm) - SPOT_MM) < 0.015 and abs(seen.largest_at_mm - 60) < 8
    sides.tells(abs(seen.largest_mm), "mm", after="right")
    sides.tells(seen.largest_at_mm, "mm", after=f"{abs(seen.largest_mm):.3f} mm")
    sides.is_true()


def test_a_candidate_is_compared_chosen_and_matched(fitter, own_files):
    compare, _ = fitter.open("07_compare_two_blades.ipynb")
    compare.set("present.radius_mm", 9)
    compare.set("trial.radius_mm", 11)
    for side in ("present", "trial"):
        compare.set(f"{side}.hollow_mm", 0.5)
    compare.set("mass_kg", 181)
    present, trial = Blade(NINE, HALF_INCH), Blade(ELEVEN, HALF_INCH)
    card = scorecard(present, trial, Conditions(MASS_KG, Ice(-5), 6.0, (MOMENTS[5],)), n=60)
    numbers = {line.quantity.key: line for line in card.lines}
    compare.tells(numbers["carve"].change, "%", after="turns")
    compare.tells(numbers["carve"].present * 1000 / 304.8, "ft")
    compare.is_true()
    compare.choose("units", meant.METRIC)
    compare.tells(numbers["carve"].trial, "m")
    compare.is_true()
    fitter.page.page.get_by_placeholder("of the blade").fill("K07 next")
    fitter.page.page.get_by_role("button", name="save trial").click()
    (saved,) = wait_for(lambda: list((own_files / "saved").glob("*.json")))
    assert load_blade(saved) == ("K07 next", trial)

    (match,) = fitter.open("08_match_the_hollow.ipynb")
    match.set("present.radius_mm", 9)
    match.set("trial.radius_mm", 11)
    match.set("hollow_mm", 0.5)
    match.set("mass_kg", 181)
    match.choose("keep", "bite")
    push = MOMENTS[2]
    found = match_hollow(present, ELEVEN, push.stance(MASS_KG), Ice(-5), "bite", push.gliding)
    match.is_true()
    match.choose("units", meant.METRIC)
    match.tells(found.radius_mm, "mm", after="hollow")
    match.is_true()


def test_the_cost_in_steel_and_a_season(fitter):
    (cut,) = fitter.open("13_what_a_change_costs.ipynb")
    cut.set("present.radius_mm", 9)
    cut.choose("trial.shape", "single")
    cut.set("trial.radius_mm", 11)
    by_hand = [r - np.sqrt(r**2 - 140**2) for r in (feet(9), feet(11))]
    cut.tells(by_hand[0] - by_hand[1], "mm", after="deepest")
    cut.is_true()
    cut.choose("units", meant.METRIC)
    cut.set("trial.pivot_mm", 10)
    sharp = steel_to_remove(NINE, Rocker.single(feet(11), 280, 10)).largest_mm
    cut.tells(sharp, "mm", after="deepest")
    # The ends are worn a hundredth of a millimetre: that can't spare the blade more than that.
    cut.set("rounding_mm", 0.01)
    cut.is_true()
    (told,) = [w for w in cut.words_of_picture().split(" | ") if w.startswith("most: ")]
    assert abs(meant.number(told.removeprefix("most: ")) - sharp) <= 0.0151
    cut.set("rounding_mm", 0)
    cut.tells(sharp, "mm", after="deepest")
    cut.is_true()

    (season,) = fitter.open("14_plan_a_season.ipynb")
    season.set("ice_hours", 6)
    season.set("present.steel_mm", 0.1)
    season.is_true()
    plan = SeasonPlan(
        ice_hours_per_week=6.0,
        steel_per_sharpening_mm=0.1,
        reprofile_weeks=(0.0, 18.0, 32.0),
        first_cut_mm=0.2,
        name="present",
    )
    band = simulate_season(plan, 400).band()
    season.tells(plan.height_mm - band[1, -1], "mm", after="present plan")


def test_the_trials_are_logged(fitter, own_files):
    (log,) = fitter.open("10_keep_a_trial_log.ipynb")
    log.choose("units", meant.METRIC)
    log.set("radius_mm", 3.35)
    log.choose("units", meant.US)
    log.set("hollow_mm", 0.5)
    add_trial(fitter, {"How far does it glide?": "4", "Do you feel steady?": "5 steady"})
    path = own_files / "saved" / "trials.csv"
    (trial,) = TrialLog(path).read().trials
    assert (trial.skater, trial.date) == (CODE, datetime.date.today())
    assert trial.blade == Blade(Rocker.single(3350, 280), HALF_INCH)
    assert trial.ratings == {"glide": 4, "steadiness": 5}
    menu(fitter.page.page, "log").select_option(index=[1])  # in place of the example
    log.says("Present blade: single 10.99 ft", "1/2 in")


def add_trial(fitter, ratings):
    """Fill in the form under the log and press its button; the trial is in the log when the page says so, and
    not when its file is there."""
    page = fitter.page.page
    page.get_by_placeholder("such as K07; no name").fill(CODE)
    page.get_by_placeholder("such as K07; no name").press("Tab")
    blades = menu(page, "skated on")
    expect(blades.locator("option")).to_have_count(1)  # this skater has no trial yet
    blades.select_option(label="the blade on the sliders")
    for question, rating in ratings.items():
        menu(page, question).select_option(label=rating)
    page.get_by_role("button", name="add this trial").click()
    page.get_by_text("Added to").wait_for()


def menu(page, label):
    """The menu with this label."""
    return page.locator(".widget-dropdown:visible", has_text=label).locator("select").first
