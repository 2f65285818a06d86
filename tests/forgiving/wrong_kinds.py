"""Arguments as they should be for every public function, so that one at a time can be of the wrong kind."""

from __future__ import annotations

import datetime
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np

import bladelab as b
from bladelab.physics.film_terms import FilmTerms

#: In place of an argument: what a slip of the pen, another function or another library would hand over.
WRONG: dict[str, Any] = {
    "None": None,
    "no": "no",
    "3048": "3048",
    "bytes": b"3048",
    "number": 3.5,
    "minus one": -1,
    "NaN": float("nan"),
    "truth": True,
    "complex": 2j,
    "empty list": [],
    "list of None": [None],
    "list of lists": [[1.0], [1.0, 2.0]],
    "texts": np.array(["a", "b"]),
    "objects": np.array([None, 1.0], dtype=object),
    "dict": {"a": 1},
    "type": b.Blade,
    "rocker": b.Rocker.single(3048.0, 280.0),
    "stance": b.Stance(700.0),
    "function": len,
}

#: Made by bladelab itself; nobody calls these.
RESULTS = {
    "Contact",
    "Friction",
    "RadiusFit",
    "ZoneFit",
    "EdgeFit",
    "Cut",
    "Season",
    "Scorecard",
    "DropTest",
    "PressTest",
    "GlideFit",
    "PairedResult",
    "InputError",
}


def arguments(folder: Path) -> dict[str, dict[str, Any]]:
    """Return for each public function arguments that it takes, by parameter."""
    blade, trial = (b.Blade(b.Rocker.single(r, 280.0), b.Hollow(12.7, 2.9)) for r in (3048.0, 3352.8))
    stance, ice, rocker = b.Stance(700.0, 5.0, 20.0), b.Ice(-5.0), blade.rocker
    solve: Callable[..., Any] = lambda s, i: b.solve_contact(blade, s, i).depth_mm  # noqa: E731
    named: Callable[..., Any] = lambda s, i: {"bite": b.solve_contact(blade, s, i).depth_mm}  # noqa: E731
    case = {"blade": blade, "stance": stance, "ice": ice}
    glide = b.MOMENTS[1]
    conditions = b.Conditions(75.0, ice, 6.0, (glide,))
    draws = {"stance": stance, "ice": ice, "spread": b.Spread(), "n": 8, "seed": 1}
    x = np.linspace(-100.0, 100.0, 80)
    y = x**2 / 6000.0 + 0.002 * np.random.default_rng(1).normal(size=80)
    points, trace = {"x_mm": x, "y_mm": y}, b.Trace(x, y, error_mm=0.005)
    plan, past = (
        b.SeasonPlan(weeks=6, reprofile_weeks=(0.0, 3.0)),
        b.Trial(datetime.date(2026, 10, 5), "K07", blade, {"glide": 3}),
    )
    picture = np.random.default_rng(2).random((40, 60)) * 25
    picture[20:, :] += 200
    doubts = {"depth_error_mm": 0.005, "width_error_mm": 0.02}
    ruler = {"start_px": (0.0, 300.0), "end_px": (900.0, 300.0), "length_mm": 300.0, "picking_error_px": 1.0}
    b.save_trace(trace, folder / "trace.csv")
    b.save_blade(folder / "blade.json", blade, "mine")
    family = b.Family(blade, 0, 0, 1)
    season = {"seasons": 3, "seed": 1}
    return {
        "feet": {"value": 10.0},
        "inches": {"value": "5/8"},
        "as_feet": {"mm": 3048.0},
        "as_fraction": {"mm": 15.875, "denominator": 64},
        "Zone": {"radius_mm": 3048.0, "length_mm": 280.0},
        "Rocker": {"zones": rocker.zones, "blend_mm": 0.0, "pivot_mm": 0.0},
        "Hollow": {"radius_mm": 12.7, "width_mm": 2.9, "edge_radius_mm": 0.0},
        "Blade": {"rocker": rocker, "hollow": blade.hollow},
        "Ice": {
            **{"temperature_C": -5.0, "hardness_factor": 1.0, "viscosity_factor": 1.0},
            **{"rate_exponent": 0.0, "ball_radius_mm": 12.7},
        },
        "Stance": {
            **{"load_N": 700.0, "position_mm": 0.0, "lean_deg": 0.0},
            **{"speed_m_s": 6.0, "standing_s": 2.0},
        },
        "solve_contact": {**case, "gliding": True},
        "solve_friction": {**case, "speed_m_s": 5.0, "terms": FilmTerms()},
        "glide_out": {**case, "speed_m_s": 5.0, "until_m_s": 1.0, "drag_area_m2": 0.3},
        "rock_deg": {**case, "gliding": True},
        "boot_tip": {
            **{"present": blade, "trial": trial, "stance": stance, "ice": ice},
            **{"boot_length_mm": 290.0, "gliding": False},
        },
        "zone_reach": {**case, "gliding": False},
        "Stride": {
            n: getattr(b.read_stride(), n) for n in ("time_s", "load_share", "position_mm", "lean_deg")
        },
        "read_stride": {"path": folder / "absent.csv"},
        "Spread": {"temperature_C": 1.0, "load": 0.05, "position_mm": 5.0, "hardness": 0.1},
        "sample": draws,
        "band": {"fn": solve, **draws},
        "difference": {"present": solve, "trial": solve, **draws, "smallest": 0.01},
        "differences": {"present": named, "trial": named, **draws, "smallest": {"bite": 0.01}},
        "Moment": {
            f: getattr(glide, f)
            for f in ("name", "load_share", "position_mm", "lean_deg", "gliding", "why", "pressed_s")
        },
        "Trace": {**points, "error_mm": 0.005, "level_error_deg": 0.1},
        "local_curve": {"trace": trace, "x_mm": [0.0, 10.0], "window_mm": 40.0},
        "fit_radius": {**points, "error_mm": 0.005},
        "fit_zones": {**points, "error_mm": 0.005, "count": 1, "most": 1, "least_length_mm": 20.0},
        "fit_edge": {**points, "error_mm": 0.005, "count": 1, "most": 1, "most_spots": 0},
        "GaugeReadings": {
            **{"position_mm": [0.0, 20.0], "versine_mm": [0.1, 0.1]},
            **{"chord_mm": 60.0, "error_mm": 0.01},
        },
        "versine": {"chord_mm": 60.0, "radius_mm": 3048.0},
        "radius_from_versine": {"chord_mm": 60.0, "versine_mm": 0.15},
        "GaugePlan": {"error_mm": 0.01, "chord_mm": 60.0, "readings": 3, "kind": "versine"},
        "EdgeLevel": {"reading_mm": 0.1, "arm_mm": 100.0, "error_mm": 0.0},
        "read_trace": {
            **{"path": folder / "trace.csv", "unit": None, "chord_mm": None},
            **{"error_mm": 0.005, "longest_gap_mm": 25.0},
        },
        "save_trace": {"trace": trace, "path": folder / "saved.csv", "note": "invented"},
        "deviation": {"trace": trace, "target": rocker, "tolerance_mm": 0.05, "window_mm": 20.0},
        "left_against_right": {"left": trace, "right": trace, "window_mm": 30.0, "step_mm": 2.0},
        "groove_from_depth": {
            "depth_mm": 0.09,
            "width_mm": 2.9,
            "depth_error_mm": 0.005,
            "width_error_mm": 0.02,
        },
        "groove_from_edges": {
            **{"depth_a_mm": 0.09, "depth_b_mm": 0.1, "width_mm": 2.9},
            **doubts,
        },
        "groove_from_arc": {
            "fits_mm": 12.7,
            "next_smaller_mm": 11.0,
            "next_larger_mm": 14.0,
            "width_mm": 2.9,
        },
        "hollow_difference": {
            **{"reading": b.groove_from_depth(0.09, 2.9), "asked_mm": 12.7},
            **{"rocker": rocker, "stance": stance, "ice": ice, "gliding": True},
        },
        "read_photo": {"source": folder / "absent.png", "name": "the picture"},
        "Ruler": ruler,
        "find_mark": {"photo": picture, "column_px": 30.0, "row_px": 20.0, "reach_px": 5.0},
        "find_edge": {"photo": picture, "columns": (5, 55), "rows": (5, 35), "blur_px": 1.5},
        "photo_trace": {
            **{
                "column_px": x * 3 + 450,
                "row_px": 300 - y * 3,
                "ruler": b.Ruler(**ruler),
                "width_px": 1000.0,
            },
            **{"steel": "above", "askew_deg": 3.0, "bow_px": 0.0, "lens_share": 0.0015},
        },
        "line_bow_px": {"column_px": x * 3, "row_px": y, "length_px": None},
        "bow_left_share": {"bow_px": 1.0, "apart_px": 500.0, "width_px": 1000.0},
        "WornRocker": {"rocker": rocker, "ends_worn_mm": 0.01},
        "steel_to_remove": {"present": rocker, "target": trial.rocker, "tilt_limit_deg": 0.1},
        "SeasonPlan": {"weeks": 6, "ice_hours_per_week": 6.0, "reprofile_weeks": (0.0, 3.0)},
        "simulate_season": {"plan": plan, **season},
        "compare_plans": {"plans": [plan], **season},
        "hardness_from_drop": {
            **{"ball_radius_mm": 12.7, "height_m": 1.0, "crater_mm": [9.7, 9.9], "mass_kg": 5.0},
            **{"rebound_m": 0.02, "height_error_m": 0.005},
        },
        "hardness_from_press": {
            **{"ball_radius_mm": 12.7, "load_N": 750.0, "seconds": 10.0, "crater_mm": [14.2, 14.0]},
            "load_error_N": 5.0,
        },
        "exponent_between": {
            "one": b.hardness_from_drop(12.7, 1.0, 9.7),
            "other": b.hardness_from_press(12.7, 750.0, 10.0, 14.2),
        },
        "fit_glide_out": {
            **{"distance_m": [0.0, 5.0, 10.0, 15.0, 20.0], "time_s": [[0.0, 1.71, 3.53, 5.5, 7.66]]},
            **{"mass_kg": 80.0, "direction": [1], "air_density_kg_m3": 1.29},
        },
        "pairs_needed": {"difference_percent": 1.0, "cv_percent": 1.4, "power": 0.8, "alpha": 0.05},
        "paired_result": {"a": [4.0, 4.1, 4.2], "b": [4.1, 4.1, 4.3]},
        "Conditions": {"mass_kg": 75.0, "ice": ice, "speed_m_s": 6.0, "moments": (glide,)},
        "evaluate": {"blade": blade, "conditions": conditions, "want": ("bite",)},
        "scorecard": {"present": blade, "trial": trial, "conditions": conditions, "keys": ("bite",), "n": 8},
        "match_hollow": {**case, "rocker": trial.rocker, "keep": "bite", "gliding": True},
        "match_everywhere": {
            **{"blade": blade, "rocker": trial.rocker, "mass_kg": 75.0, "ice": ice, "moments": (glide,)},
            "speed_m_s": 6.0,
        },
        "match_table": {"matches": b.match_everywhere(blade, trial.rocker, 75.0, ice, (glide,))},
        "nearest_usual": {"hollow": blade.hollow, "of": (11.1, 12.7)},
        "single_changes": {"blade": blade},
        "single_change_map": {"blade": blade, "conditions": conditions, "keys": ("bite",)},
        "Family": {"present": blade, "feet": 1, "pivots": 1, "hollows": 1},
        "score_family": {"family": family, "conditions": b.Conditions(), "workers": 1},
        "frontier": {"scores": b.score_family(family, b.Conditions()), "words": ["glide"]},
        "plan_steps": {
            **{"present": blade, "goal": trial, "conditions": conditions},
            "wishes": list(b.WISHES.values())[:1],
        },
        "Trial": {
            **{"date": datetime.date(2026, 10, 5), "skater": "K07", "blade": blade, "ratings": {"glide": 3}},
            **{"name": "", "changed": "", "note": ""},
        },
        "TrialLog": {"path": folder / "log.csv"},
        "propose_next": {"trials": [past], "conditions": conditions, "measured": []},
        "against_model": {"trials": [past], "conditions": conditions},
        "Facts": {
            **{"days_since_sharpened": 1.0, "hours_since_sharpened": 2.0, "days_since_ground": 3.0},
            **{
                "days_since_new_steel": 30.0,
                "hollows_mm": (12.7, 12.7),
                "new_boots": False,
                "other_ice": True,
            },
        },
        "next_check": {"complaint": "no bite", "side": "left", "found": {"dull": "no"}, "facts": b.Facts()},
        "save_blade": {"path": folder / "other.json", "blade": blade, "name": "mine", "replace": True},
        "load_blade": {"path": folder / "blade.json"},
    }
