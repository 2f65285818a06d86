"""How a blade meets the ice: depth, pitch, length, area, hold and turn for a stance."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

import numpy as np

from bladelab._checks import numbers
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.solver import Groove, Line, Problem, Sections, solve
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import groove_height, wetted

_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True)
class Stance:
    """How the skater stands on one blade; numbers or arrays that broadcast together.

    Parameters
    ----------
    load_N : float or array
        Vertical load on the blade, N, above 0.
    position_mm : float or array
        Place of the load along the runner, mm from mid-length, toe positive.
    lean_deg : float or array
        Lean of the blade toward the active edge, degrees, at least 0 and below 90.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, or the shapes do not broadcast.
    """

    load_N: Any
    position_mm: Any = 0.0
    lean_deg: Any = 0.0

    def __post_init__(self) -> None:
        object.__setattr__(self, "load_N", numbers("load_N", self.load_N, "N", 0.0, low_open=True))
        object.__setattr__(self, "position_mm", numbers("position_mm", self.position_mm, "mm"))
        object.__setattr__(self, "lean_deg", numbers("lean_deg", self.lean_deg, "deg", 0.0, 90.0, high_open=True))
        self.shape  # noqa: B018  refuses shapes that do not go together

    @property
    def shape(self) -> tuple[int, ...]:
        """Shape of the broadcast fields; () for one stance."""
        try:
            return np.broadcast_shapes(*(np.shape(v) for v in (self.load_N, self.position_mm, self.lean_deg)))
        except ValueError:
            shapes = [np.shape(v) for v in (self.load_N, self.position_mm, self.lean_deg)]
            raise ValueError(f"load_N, position_mm, lean_deg have shapes {shapes} that do not broadcast") from None


@dataclass(frozen=True)
class Contact:
    """The solved contact of a blade with the ice. Every number has the shape of the stance; NaN where `reason` says why.

    Attributes
    ----------
    gliding : bool
        False: at rest, the whole dipped stretch bears. True: gliding, only the stretch from the deepest point forward bears.
    depth_mm : Greatest vertical depth of the edge below the ice (edge bite depth), mm.
    pitch_deg : Angle at which the blade settles, degrees; positive when the boot tips forward.
    heel_end_mm, toe_end_mm : Ends of the bearing stretch along the runner, mm.
    deepest_mm : Place of the deepest point, mm.
    area_mm2 : Bearing area; area times hardness is load / cos(lean), mm2.
    hold_deg : How far outside the blade's plane a push may point before the edge climbs out of its groove, degrees.
    yaw_hold_Nm : Moment that resists spinning out, N m.
    carve_radius_m : Radius of the trace: 1 / (mean curvature over the contact times sin(lean)); infinite upright, m.
    balanced_speed_m_s : Speed at which that turn and that lean balance, v^2 = g r tan(lean); upright, its limit, m/s.
    reaches_end : True where the bearing stretch ends at an end of the runner; the model knows no steel beyond it.
    reason : "" where solved, else a sentence; a text, or an array of texts.
    """

    blade: Blade = field(repr=False)
    stance: Stance = field(repr=False)
    ice: Ice = field(repr=False)
    gliding: bool
    depth_mm: Any
    pitch_deg: Any
    heel_end_mm: Any
    toe_end_mm: Any
    deepest_mm: Any
    area_mm2: Any
    hold_deg: Any
    yaw_hold_Nm: Any
    carve_radius_m: Any
    balanced_speed_m_s: Any
    reaches_end: Any
    reason: Any
    force_error: Any = field(repr=False)
    moment_error: Any = field(repr=False)

    @property
    def length_mm(self) -> Any:
        """Length of the bearing stretch, mm."""
        return self.toe_end_mm - self.heel_end_mm

    def tip_depth_mm(self, x_mm: Any) -> Any:
        """Return the vertical depth of the active edge below the ice at `x_mm`, mm; negative above the ice.

        For stances of shape S and `x_mm` of shape X the result has shape S + X. Gliding, the stretch behind the deepest point
        runs in ice already cut and bears nothing, whatever the depth.
        """
        x = np.asarray(x_mm, dtype=float)
        rocker = self.blade.rocker

        def wide(value: Any) -> Any:
            return np.asarray(value)[(...,) + (None,) * x.ndim]

        slope = np.tan(np.radians(wide(self.pitch_deg)))
        upright = np.cos(np.radians(wide(self.pitch_deg))) * np.cos(np.radians(wide(self.stance.lean_deg)))
        # From the deepest point down: the depth there is known, and the line falls away from it with the pitch.
        drop = slope * (x - wide(self.deepest_mm)) - rocker.height_mm(x)
        at_deepest = np.where(np.isnan(self.deepest_mm), 0.0, self.deepest_mm)
        return wide(self.depth_mm) + (drop + wide(rocker.height_mm(at_deepest))) * upright

    def footprint_mm(self, x_mm: Any) -> tuple[Any, Any]:
        """Return u1, u2 at `x_mm`: the blade bears across 0..u1 (active edge) and u2..width (far edge), mm.

        Shapes as in `tip_depth_mm`; outside the bearing stretch u1 = 0 and u2 = width.
        """
        x = np.asarray(x_mm, dtype=float)

        def wide(value: Any) -> Any:
            return np.asarray(value)[(...,) + (None,) * x.ndim]

        z = self.tip_depth_mm(x)
        inside = (x >= wide(self.heel_end_mm)) & (x <= wide(self.toe_end_mm))
        hollow = self.blade.hollow
        lean = np.radians(wide(self.stance.lean_deg))
        return wetted(np.where(inside, z, 0.0), lean, wide(hollow.radius_mm), wide(hollow.width_mm))


def solve_contact(blade: Blade, stance: Stance, ice: Ice, gliding: bool = False) -> Contact:
    """Find how the blade settles in the ice under a load.

    Definition
    ----------
    Perfectly plastic ice: where steel presses, the pressure is the hardness p_H. With the load N vertical and the blade pressing along its
    own plane, N / cos(lean) = p_H * integral of the contact width along x, and the contact's centroid lies at the load.

    Parameters
    ----------
    blade : Blade
        Its hollow may hold arrays; they broadcast with the stance.
    stance : Stance
        One stance, or arrays of stances solved in one call.
    ice : Ice
        Its temperature may be an array too.
    gliding : bool
        False: at rest, the whole dipped stretch bears. True: only the stretch from the deepest point forward bears.

    Returns
    -------
    Contact
        Every number with the broadcast shape.

    Raises
    ------
    ValueError
        For one stance that can't be solved: the load off the runner or too near its end, or a lean at which only the side wall would
        bear (lean plus edge angle of 90 degrees or more). Inside an array such a stance gives NaN and a `reason`.

    Notes
    -----
    Force and moment balance to 1e-10 relative. Length and depth agree with an independent solver to 0.2 %. Validity: ice that
    flows at one pressure, no side wall, no friction in the balance, a rigid blade.
    """
    hollow, half = blade.hollow, blade.rocker.length_mm / 2
    given = (stance.load_N, stance.position_mm, stance.lean_deg, hollow.radius_mm, hollow.width_mm, ice.hardness_MPa)
    try:
        shape = np.broadcast_shapes(*(np.shape(v) for v in given))
    except ValueError:
        raise ValueError(
            f"stance, hollow and ice have shapes {[np.shape(v) for v in given]} that do not broadcast"
        ) from None
    load, place, lean_deg, radius, width, hardness = (np.broadcast_to(v, shape).ravel().astype(float) for v in given)
    lean = np.radians(lean_deg)
    area = load / np.cos(lean) / hardness
    problem = Problem(blade.rocker.curve, gliding, radius, width, area, place, lean)
    reason = _refusals(problem, half)
    chosen = np.nonzero(reason == "")[0]
    part = problem.take(chosen)
    d, t, found = solve(part)
    reason[chosen[~found]] = "no balance was found for this stance"
    if shape == () and reason[0]:
        raise ValueError(str(reason[0]))
    results = _measure(part.take(found), d[found], t[found], hardness[chosen][found])
    solved = chosen[found]

    def spread(values: Any) -> Any:
        whole = np.full(len(load), np.nan)
        whole[solved] = values
        return float(whole[0]) if shape == () else whole.reshape(shape)

    numbers_out = {name: spread(values) for name, values in results.items()}
    ends = (numbers_out["heel_end_mm"], numbers_out["toe_end_mm"])
    reaches = (ends[0] <= -half + 1e-9) | (ends[1] >= half - 1e-9)
    return Contact(
        blade=blade,
        stance=stance,
        ice=ice,
        gliding=gliding,
        reaches_end=bool(reaches) if shape == () else reaches,
        reason=str(reason[0]) if shape == () else reason.reshape(shape),
        **numbers_out,
    )


def _refusals(problem: Problem, half: float) -> Any:
    """Say, stance by stance, why it can't be solved; "" where nothing speaks against it."""
    reason = np.full(len(problem.place), "", dtype=object)
    edge = np.arcsin(problem.width / (2 * problem.radius))
    for i in np.nonzero(problem.lean + edge >= np.pi / 2 - 1e-9)[0]:
        reason[i] = (
            f"lean_deg is {np.degrees(problem.lean[i]):g} deg; with this hollow's edge angle only the side wall would "
            f"bear: it must be below {90 - np.degrees(edge[i]):.4g} deg"
        )
    # Even with the whole width bearing, the contact's centroid must fit between the load and the nearer end.
    need = problem.area / problem.width / 2
    for i in np.nonzero((need >= half - np.abs(problem.place)) & (reason == ""))[0]:
        reach = half - need[i]
        reason[i] = (
            f"position_mm is {problem.place[i]:g} mm; to carry this load it must be within {reach:.4g} mm of mid-length"
            if reach > 0
            else f"the load is too great: it would sink the whole runner of {2 * half:g} mm"
        )
    return reason


def _measure(problem: Problem, d: Any, t: Any, hardness: Any) -> dict[str, Any]:
    """Compute every number of the contact from the solved ice line; arrays (n,)."""
    if len(d) == 0:
        names = "depth_mm pitch_deg heel_end_mm toe_end_mm deepest_mm area_mm2 hold_deg yaw_hold_Nm carve_radius_m"
        return {n: d for n in [*names.split(), "balanced_speed_m_s", "force_error", "moment_error"]}
    groove = Groove(problem)
    line = Line(problem, groove, d, t)
    s = Sections(problem, groove, line)
    curve, width = problem.curve, problem.width
    roof = line.crossings[:, 2]
    toeward = line.sides[:, None]
    flood = ((roof - line.deepest) * toeward).sum(axis=0)
    flood_moment = ((roof - line.deepest) * toeward * ((roof + line.deepest) / 2 - problem.place)).sum(axis=0)
    flood_turn = ((curve.sine_at(roof) - curve.sine_at(line.deepest)) * toeward).sum(axis=0)

    bearing = s.active + s.far
    area = s.sum(bearing) + width * flood
    moment = s.sum(bearing * s.arm) + width * flood_moment
    r, w = problem.radius[s.i][:, None], width[s.i][:, None]
    sideways = s.sum(groove_height(s.active, r, w) - np.where(s.both[:, None], groove_height(w - s.far, r, w), 0.0))
    along = s.x - curve.x[s.k][:, None]
    kappa = curve.kappa[s.k][:, None] + curve.growth[s.k][:, None] * along
    mean_kappa = (s.sum(bearing * kappa) + width * flood_turn) / area

    toe = line.crossings[0, 0]
    heel = line.deepest if problem.gliding else line.crossings[1, 0]
    yaw = np.zeros_like(d)
    for end in (heel, toe):
        x = problem.place[:, None] + (end - problem.place)[:, None] * (_POINTS + 1) / 2
        i = np.broadcast_to(np.arange(len(d))[:, None], x.shape)
        depth = np.maximum(line.gap(i, x), 0.0) * line.upright[:, None]
        yaw += ((depth * np.abs(x - problem.place[:, None])) @ _WEIGHTS) * np.abs(end - problem.place) / 2
    lean_sin, lean_cos = np.sin(problem.lean), np.cos(problem.lean)
    with np.errstate(divide="ignore"):
        carve = 1 / (mean_kappa * lean_sin) / 1000
    return {
        "depth_mm": line.gap_there * line.upright,
        "pitch_deg": np.degrees(np.arctan(t)),
        "heel_end_mm": heel,
        "toe_end_mm": toe,
        "deepest_mm": line.deepest,
        "area_mm2": area,
        "hold_deg": np.degrees(np.arctan(sideways / area)),
        "yaw_hold_Nm": hardness * yaw / 1000,
        "carve_radius_m": carve,
        "balanced_speed_m_s": np.sqrt(GRAVITY_M_S2 / (1000 * mean_kappa * lean_cos)),
        "force_error": area / problem.area - 1,
        "moment_error": moment / (area * (toe - heel)),
    }
