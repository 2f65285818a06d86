"""Every number on a slide is the library's: none is typed, each is named, and each can be computed again by
hand."""

import ast
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone, match_hollow, solve_contact, solve_friction
from bladelab.physics.friction_gap import read_measured
from bladelab.physics.moments import MOMENTS
from bladelab.physics.possible_ices import possible_ices
from bladelab.show.clinic import wording
from bladelab.workshop.season import simulate_season
from bladelab.workshop.season_plan import SeasonPlan
from tests.show.clinic.states import ALL, EXAMPLES, NUMBER, deck

HOME = Path(wording.__file__).parent


def typed_texts(path):
    """The texts of a file that could reach a slide: not docstrings, not format codes."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    skip = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(node):
            skip.add(node.body[0].value)
        if isinstance(node, ast.FormattedValue) and node.format_spec:
            skip |= set(ast.walk(node.format_spec))
    return [
        n.value
        for n in ast.walk(tree)
        if isinstance(n, ast.Constant) and isinstance(n.value, str) and n not in skip
    ]


WORDED = [p.stem for p in sorted(HOME.glob("*.py")) if re.match("wording|topics_|questions|ends", p.stem)]


@pytest.mark.parametrize("name", WORDED)
def test_no_number_is_typed(name):
    texts = typed_texts(HOME / f"{name}.py")
    assert len(texts) > 3
    assert [text for text in texts if re.search(r"\d", text)] == []


def test_the_sentence_uses_the_facts():
    """Coaches get numbers with every finding; young players get hardly any."""
    counts = {a: [len(NUMBER.findall(s.sentence)) for s in deck(a, "metric", "plain").findings] for a in
              ("young players", "coaches")}  # fmt: skip
    assert min(counts["coaches"]) >= 1
    assert sum(counts["young players"]) <= 2 < sum(counts["coaches"]) / 8


def expected(e):
    """Every number of the clinic, from the library's public face and the definitions."""
    ice, moments = Ice(e.temperature_C), {m.name: m for m in MOMENTS}
    radius, hollow = {"A": e.radius_a_mm, "B": e.radius_b_mm}, {"A": e.hollow_a_mm, "B": e.hollow_b_mm}

    def made(rocker, groove):
        return Blade(Rocker.single(radius[rocker], e.length_mm), Hollow(hollow[groove], e.width_mm))

    def contact(rocker, groove, name):
        moment = moments[name]
        stance = Stance(e.mass_kg * 9.81 * moment.load_share, moment.position_mm, moment.lean_deg)
        return solve_contact(made(rocker, groove), stance, ice, gliding=moment.gliding)

    def glide(rocker, groove):
        return contact(rocker, groove, "one-foot glide")

    def pushed(groove, edge):
        m = moments["stride push"]
        blade = Blade(Rocker.single(radius["A"], e.length_mm), Hollow(hollow[groove], e.width_mm, edge))
        return solve_contact(blade, Stance(e.mass_kg * 9.81 * m.load_share, m.position_mm, m.lean_deg), ice)

    short, long = ("A", "B") if radius["A"] < radius["B"] else ("B", "A")
    deep, shallow = ("A", "B") if hollow["A"] < hollow["B"] else ("B", "A")
    half, low, high = e.length_mm / 2, min(radius.values()), max(radius.values())
    zones = (Zone(high, half), Zone(low, half))
    x = np.linspace(-half, half, 4001)
    gap = np.abs(Rocker(zones).height_mm(x) - Rocker(zones, e.blend_mm).height_mm(x)).max()
    shift = 5 * round(e.length_mm / 35)
    load = e.mass_kg * 9.81 / 2

    lean = np.radians(moments["tight turn"].lean_deg)

    def pitch(name, place):
        return solve_contact(made(name, name), Stance(load, place), ice).pitch_deg

    numbers = {
        "blades": {"radius_a": radius["A"], "radius_b": radius["B"],
                   "hollow_a": hollow["A"], "hollow_b": hollow["B"],
                   "length": e.length_mm, "width": e.width_mm,
                   "mass": e.mass_kg, "ice": e.temperature_C},
        # Sagitta of a circle segment: r - sqrt(r^2 - (chord/2)^2) (Machinery's Handbook 31st ed., p. 79).
        "rocker": {"radius_a": radius["A"], "across_a": 2 * radius["A"],
                   "rise_a": radius["A"] - np.sqrt(radius["A"] ** 2 - half**2),
                   "length_a": contact("A", "A", "standing on both skates").length_mm, "mass": e.mass_kg},
        "zones": {"radius_heel": high, "radius_toe": low, "blend": e.blend_mm, "gap": gap},
        "hollow": {"radius_a": radius["A"], "hollow_deep": hollow[deep], "hollow_shallow": hollow[shallow],
                   "bite_deep": glide("A", deep).depth_mm, "bite_shallow": glide("A", shallow).depth_mm,
                   "groove_deep": hollow[deep] - np.sqrt(hollow[deep] ** 2 - e.width_mm**2 / 4),
                   "groove_shallow": hollow[shallow] - np.sqrt(hollow[shallow] ** 2 - e.width_mm**2 / 4),
                   "edge_deep": np.degrees(np.arcsin(e.width_mm / 2 / hollow[deep])),
                   "edge_shallow": np.degrees(np.arcsin(e.width_mm / 2 / hollow[shallow])),
                   "more_bite": 100 * abs(glide("A", deep).depth_mm / glide("A", shallow).depth_mm - 1)},
        "steel": {"hollow_a": hollow["A"], "radius_short": radius[short], "radius_long": radius[long],
                  "length_short": glide(short, "A").length_mm, "length_long": glide(long, "A").length_mm,
                  "bite_short": glide(short, "A").depth_mm, "bite_long": glide(long, "A").depth_mm,
                  "more_length": 100 * abs(glide(long, "A").length_mm / glide(short, "A").length_mm - 1),
                  "less_bite": 100 * abs(glide(long, "A").depth_mm / glide(short, "A").depth_mm - 1)},
        "stand": {"shift": shift, "small_shift": 10.0, "tip_a": pitch("A", shift), "tip_b": pitch("B", shift),
                  "back_a": -pitch("A", -shift), "back_b": -pitch("B", -shift),
                  # The boot that tips furthest is drawn at 12 degrees.
                  "larger": 12 / max(pitch("A", shift), pitch("B", shift)),
                  **{f"rock_{n.lower()}": 10 * (pitch(n, 0.05) - pitch(n, -0.05)) / 0.1 for n in "AB"}},
        "turn": {"lean": moments["tight turn"].lean_deg, "small_shift": 10.0, "small_tip": 1.0,
                 # A single radius turns on R / sin(lean); the circle is twice as wide.
                 **{f"turn_{n.lower()}": 2 * radius[n] / 1000 / np.sin(lean) for n in "AB"},
                 **{f"steady_{n.lower()}": 1 / ((pitch(n, 0.05) - pitch(n, -0.05)) / 0.1) for n in "AB"},
                 **{f"yaw_{n.lower()}": contact(n, n, "tight turn").yaw_hold_Nm for n in "AB"},
                 **{f"rock_{n.lower()}": 10 * (pitch(n, 0.05) - pitch(n, -0.05)) / 0.1 for n in "AB"}},
        "edges": {"edge": 0.02,
                  "bite_left": 100 * pushed("A", 0.02).depth_mm / pushed("A", 0.0).depth_mm,
                  "hold_left": max(100 * pushed("A", 0.02).hold_deg / pushed("A", 0.0).hold_deg, 0.0),
                  **{f"{what}_{word}": value for word, name in (("deep", deep), ("shallow", shallow))
                     for what, value in (("hollow", hollow[name]),
                     ("gone", brentq(lambda edge, n=name: pushed(n, edge).hold_deg, 0.0, 0.6, xtol=1e-9)))}},
        "change": {name: 100 * (glide(*key).depth_mm / glide("A", "A").depth_mm - 1) for name, key in
                   (("only_rocker", "BA"), ("only_hollow", "AB"), ("both", "BB"))},
        "safety": {},
    }  # fmt: skip
    for name, moment, keep in (("same_bite", "one-foot glide", "bite"), ("same_hold", "stride push", "hold")):
        m = moments[moment]
        stance = Stance(e.mass_kg * 9.81 * m.load_share, m.position_mm, m.lean_deg)
        try:
            found = match_hollow(
                made(short, "A"), made(long, "A").rocker, stance, ice, keep=keep, gliding=m.gliding
            )
        except ValueError:
            continue
        numbers["steel"][name] = found.radius_mm
    return numbers


@pytest.mark.parametrize("name", EXAMPLES)
def test_each_fact_is_the_librarys_value(name):
    wanted = expected(EXAMPLES[name])
    for slide in deck("coaches", "metric", name).slides:
        if slide.key in wanted:
            facts = {fact.name: fact.value for fact in slide.lesson.facts}
            assert facts == pytest.approx(wanted[slide.key], rel=2e-4, abs=1e-9), slide.key


def test_the_season_is_the_librarys():
    plan = SeasonPlan()
    kept = simulate_season(plan, 400)
    facts = {
        f.name: f.value
        for s in deck("adults", "metric", "plain").slides
        if s.key == "season"
        for f in s.lesson.facts
    }
    assert facts["sharpenings"] == np.median(kept.sharpenings.sum(axis=1))
    assert facts["used"] == pytest.approx(plan.height_mm - np.median(kept.steel_left_mm[:, -1]))
    assert (facts["tolerance"], facts["weeks"], facts["times"]) == (
        plan.tolerance_mm,
        plan.weeks,
        len(plan.reprofile_weeks),
    )
    assert facts["usable"] == plan.height_mm - plan.least_height_mm


def test_how_we_know_is_what_the_trust_page_says():
    said = {
        f.name: f for s in deck("adults", "metric", "plain").slides if s.key == "know" for f in s.lesson.facts
    }
    for key, case in zip(("speed", "hockey"), read_measured(), strict=True):
        stance = Stance(case.mass_kg * 9.81, 0.0, case.lean_deg)
        mu = solve_friction(case.blade, stance, Ice(case.temperature_C), case.speed_m_s).total
        assert said[f"computed_{key}"].value == pytest.approx(100 * mu, rel=1e-9)
        assert said[f"measured_{key}"].value == pytest.approx(100 * case.mu)
        assert said[f"off_{key}"].value == pytest.approx(100 * abs(mu / case.mu - 1))
        ices = [one.ice for one in possible_ices(case.temperature_C)]
        over = [solve_friction(case.blade, stance, ice, case.speed_m_s).total for ice in ices]
        ends = said[f"least_{key}"].value, said[f"most_{key}"].value
        assert ends == pytest.approx((100 * min(over), 100 * max(over)), rel=1e-9)
        assert (
            case.source in said[f"measured_{key}"].source and "from memory" in said[f"measured_{key}"].source
        )
    (coaches,) = [slide for slide in deck("coaches", "metric", "plain").slides if slide.key == "know"]
    said_there = "by 0.71 % of the weight on it; we compute 0.48 %, or up to 0.81 %"
    assert said_there in coaches.sentence.replace("\u00a0", " ")
    # de Koning et al. 1992 and Federolf et al. 2008 (both from memory).
    measured = said["measured_speed"].value, said["measured_hockey"].value
    assert measured == pytest.approx((0.46, 0.71))


@pytest.mark.parametrize("choice", ALL, ids=" ".join)
def test_what_is_said_is_the_number(choice):
    """Read back with its unit, the text of a fact is its value to half of its last digit."""
    factor = {"ft": 304.8, "in": 25.4, "lb": 0.45359237, "m": 1000.0}
    for slide in deck(*choice).slides:
        for fact in slide.lesson.facts:
            text = slide.exact[fact.name].replace("\u00a0", " ").replace("−", "-")
            number, unit = re.fullmatch(r"([-+]?[\d./ ]*[\d]) ?(\D*)", text).groups()
            whole, _, part = number.rpartition(" ")
            if "/" in part:
                top, bottom = part.split("/")
                value, digit = float(whole or 0) + float(top) / float(bottom), 0.0004
            else:
                value, digit = float(number), 10.0 ** -len(number.partition(".")[2])
            stored = fact.value
            if fact.quantity in ("radius", "hollow", "mass"):
                value, digit = value * factor.get(unit, 1), digit * factor.get(unit, 1)
            elif fact.quantity == "distance" and unit == "ft":
                value, digit = value * 0.3048, digit * 0.3048
            elif unit == "°F":
                stored = stored * 1.8 + 32
            assert value == pytest.approx(stored, abs=0.5001 * digit + 1e-9), f"{fact.name}: {text}"


@pytest.mark.parametrize("choice", ALL[::7], ids=" ".join)
def test_every_number_of_the_notes_has_its_source(choice):
    for slide in deck(*choice).slides:
        by_source = dict(re.findall(r"^Numbers, (.*):\n((?:- .*\n?)+)", slide.notes, re.MULTILINE))
        for fact in slide.lesson.facts:
            assert f"- {fact.meaning}: {slide.exact[fact.name]}" in by_source[fact.source]
            assert len(fact.source) > 10
            if fact.like:
                assert f"{fact.like.words} ({fact.like.source})" in by_source[fact.source]
        if slide.key in ("change", "season", "safety"):
            assert "Safety:" in slide.notes
