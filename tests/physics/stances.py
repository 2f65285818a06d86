"""Blades and stances over the range of the sliders, for the tests of what happens on ice."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from bladelab import Blade, Hollow, Ice, Rocker, Stance, Zone
from tests.reference.standing import Case

#: The numbers of a result that an independent solution can be compared with.
COMPARED = (
    "depth_mm",
    "pitch_deg",
    "heel_end_mm",
    "toe_end_mm",
    "length_mm",
    "area_mm2",
    "hold_deg",
    "yaw_hold_Nm",
    "carve_radius_m",
    "balanced_speed_m_s",
)


def as_blade(case: Case) -> Blade:
    rocker = Rocker(tuple(Zone(*zone) for zone in case.zones), case.blend, case.pivot)
    return Blade(rocker, Hollow(case.hollow_radius, case.width, case.edge_radius))


def as_ice(case: Case) -> Ice:
    """Ice as hard as the case asks for, by the definition 14.7 - 0.6 T MPa."""
    return Ice((14.7 - case.hardness) / 0.6)


def as_stance(case: Case) -> Stance:
    return Stance(case.load, case.position, case.lean)


def sample(count: int, seed: int, dull: bool = False) -> list[Case]:
    """Stances over the whole range, the same on every run; half of them with big jumps between zones."""
    rng = np.random.default_rng(seed)
    cases = []
    while len(cases) < count:
        zones = int(rng.choice([1, 1, 2, 3, 4, 6]))
        length = rng.uniform(200.0, 320.0)
        parts = rng.dirichlet(np.full(zones, 5.0)) * length
        if rng.random() < 0.5:
            radii = rng.choice([1220.0, 12190.0], zones)
        else:
            radii = np.exp(rng.uniform(np.log(1220.0), np.log(12190.0), zones))
        blend = float(rng.choice([0.0, rng.uniform(0.1, 1.0) * parts.min()])) if zones > 1 else 0.0
        flat = rng.random() < 0.1
        case = Case(
            zones=tuple((float(r), float(n)) for r, n in zip(radii, parts, strict=True)),
            hollow_radius=2000.0 if flat else float(np.exp(rng.uniform(np.log(6.0), np.log(40.0)))),
            width=float(rng.uniform(2.4, 4.2)),
            load=float(rng.uniform(15.0, 140.0) * 9.81 * rng.choice([0.5, 1.0, 1.4])),
            position=float(rng.choice([0.0, rng.uniform(-0.45, 0.45) * length])),
            lean=float(rng.choice([0.0, rng.uniform(0.0, 12.0), rng.uniform(0.0, 60.0)])),
            hardness=float(rng.uniform(14.7, 26.7)),
            gliding=bool(rng.integers(2)),
            blend=blend,
            pivot=float(rng.choice([0.0, rng.uniform(-0.2, 0.2) * length])),
            edge_radius=float(np.exp(rng.uniform(np.log(1e-3), np.log(0.2)))) if dull else 0.0,
        )
        # Half the fully bearing stretch must fit between the load and the end of the runner.
        stretch = case.load / np.cos(np.radians(case.lean)) / case.hardness / case.width
        if stretch / 2 < length / 2 - abs(case.position):
            cases.append(case)
    return cases


@st.composite
def rockers(draw: st.DrawFn, most: int = 4) -> Rocker:
    count = draw(st.integers(1, most))
    length = draw(st.floats(200.0, 320.0))
    shares = [draw(st.floats(0.5, 1.5)) for _ in range(count)]
    zones = tuple(Zone(draw(st.floats(1220.0, 12190.0)), share / sum(shares) * length) for share in shares)
    shortest = min(zone.length_mm for zone in zones)
    blend = draw(st.sampled_from([0.0, 0.3, 1.0])) * shortest * (1 - 1e-12) if count > 1 else 0.0
    return Rocker(zones, blend, draw(st.floats(-0.2, 0.2)) * length)


hollows = st.builds(Hollow, st.floats(6.0, 40.0), st.floats(2.4, 4.2))
single_rockers = st.builds(Rocker.single, st.floats(1220.0, 12190.0), st.floats(200.0, 320.0))
ices = st.builds(Ice, st.floats(-20.0, 0.0))
leans = st.just(0.0) | st.floats(0.0, 60.0)
loads = st.floats(150.0, 1900.0)
places = st.just(0.0) | st.floats(-50.0, 50.0)
stances = st.builds(Stance, loads, places, leans)
