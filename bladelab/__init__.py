"""bladelab: the shape of a hockey blade, how it meets the ice, and what to try next.

This page is the public face: every name that notebooks and readers need. Names load when first used, so
importing bladelab costs little.
"""

from __future__ import annotations

import importlib
from typing import Any

_HOME = {
    "InputError": "_errors",
    "feet": "units",
    "inches": "units",
    "as_feet": "units",
    "as_fraction": "units",
    "Zone": "shape.rocker",
    "Rocker": "shape.rocker",
    "Hollow": "shape.hollow",
    "Blade": "shape.blade",
    "Ice": "physics.ice",
    "Stance": "physics.stance",
    "Contact": "physics.contact",
    "solve_contact": "physics.contact",
    "Friction": "physics.glide",
    "solve_friction": "physics.glide",
    "glide_out": "physics.glide_out",
    "rock_deg": "physics.balance",
    "boot_tip": "physics.balance",
    "zone_reach": "physics.balance",
    "Stride": "physics.stride",
    "read_stride": "physics.stride",
    "Spread": "physics.uncertainty",
    "sample": "physics.uncertainty",
    "band": "physics.uncertainty",
    "difference": "physics.days",
    "differences": "physics.days",
    "Moment": "physics.moments",
    "MOMENTS": "physics.moments",
    "Trace": "workshop.trace",
    "local_curve": "workshop.trace",
    "RadiusFit": "workshop.radius",
    "fit_radius": "workshop.radius",
    "ZoneFit": "workshop.zones",
    "fit_zones": "workshop.zones",
    "EdgeFit": "workshop.spots",
    "fit_edge": "workshop.spots",
    "GaugeReadings": "workshop.gauge",
    "versine": "workshop.gauge",
    "radius_from_versine": "workshop.gauge",
    "GaugePlan": "workshop.gauge_plan",
    "EdgeLevel": "workshop.edge_level",
    "read_trace": "workshop.reading",
    "save_trace": "workshop.reading",
    "deviation": "workshop.compare",
    "left_against_right": "workshop.compare",
    "groove_from_depth": "workshop.groove",
    "groove_from_edges": "workshop.groove",
    "groove_from_arc": "workshop.groove",
    "hollow_difference": "workshop.groove",
    "read_photo": "workshop.picture_file",
    "Ruler": "workshop.ruler",
    "find_mark": "workshop.ruler",
    "find_edge": "workshop.photo",
    "photo_trace": "workshop.photo",
    "line_bow_px": "workshop.lens",
    "bow_left_share": "workshop.lens",
    "Cut": "workshop.cut",
    "WornRocker": "workshop.cut",
    "steel_to_remove": "workshop.cut",
    "SeasonPlan": "workshop.season_plan",
    "Season": "workshop.season",
    "simulate_season": "workshop.season",
    "compare_plans": "workshop.season",
    "DropTest": "rink.drop_test",
    "hardness_from_drop": "rink.drop_test",
    "PressTest": "rink.press_test",
    "hardness_from_press": "rink.press_test",
    "exponent_between": "rink.press_test",
    "GlideFit": "rink.glide_fit",
    "fit_glide_out": "rink.glide_fit",
    "PairedResult": "rink.paired",
    "pairs_needed": "rink.how_many_pairs",
    "paired_result": "rink.paired",
    "QUANTITIES": "advice.quantities",
    "Conditions": "advice.quantities",
    "evaluate": "advice.evaluate",
    "Scorecard": "advice.scorecard",
    "scorecard": "advice.scorecard",
    "match_hollow": "advice.match",
    "match_everywhere": "advice.match",
    "match_table": "advice.match",
    "nearest_usual": "advice.match",
    "single_changes": "advice.single_change",
    "single_change_map": "advice.change_map",
    "Family": "advice.family",
    "score_family": "advice.family_scores",
    "WISHES": "advice.wishes",
    "frontier": "advice.starting",
    "plan_steps": "advice.plan",
    "RATINGS": "advice.trial",
    "Trial": "advice.trial",
    "TrialLog": "advice.trial_log",
    "propose_next": "advice.propose",
    "against_model": "advice.agreement",
    "COMPLAINTS": "advice.complaint",
    "CAUSES": "advice.causes",
    "Facts": "advice.next_check",
    "next_check": "advice.next_check",
    "save_blade": "advice.blade_file",
    "load_blade": "advice.blade_file",
}

__all__ = list(_HOME)


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(f"bladelab.{_HOME[name]}"), name)
    raise AttributeError(f"module 'bladelab' has no name {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOME])
