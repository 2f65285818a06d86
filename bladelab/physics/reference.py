"""Reference solutions: contacts that can be worked out by hand, and cases from another solver.

They are for testing a contact solver, this one or another. The closed forms need no solver: a blade without a
groove, on a rocker of one radius, on ice that flows at one pressure. The worked cases have a groove, and come
from a solver that shares no code with bladelab: it slices the blade and adds the slices up.

The closed forms take the tilt along the contact as small: its sine is half the contact length over the radius
of the rocker, so what they leave out is about (length / radius)^2 of the result, 0.01 % for a hockey blade.
Arrays broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import numbers
from bladelab._types import Array, Numbers, OneOrMany
from bladelab.physics.ice import GRAVITY_M_S2, Ice
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker


def _positive(name: str, value: Numbers, unit: str) -> Array:
    return np.asarray(numbers(name, value, unit, 0.0, 1e12, low_open=True))


def _plain(value: Array) -> OneOrMany:
    return float(value) if np.ndim(value) == 0 else value


def flat_contact_length_mm(load_N: Numbers, hardness_MPa: Numbers, width_mm: Numbers) -> OneOrMany:
    """Contact length of an upright blade without a groove, mm; at rest and gliding.

    Definition
    ----------
    l = N / (p_H w): the hardness times the rectangle that bears is the load.

    Parameters
    ----------
    load_N : float or array
        Vertical load, N.
    hardness_MPa : float or array
        Hardness of the ice, MPa.
    width_mm : float or array
        Width of the runner, mm.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or not above 0.

    Source
    ------
    Balance of forces on perfectly plastic ice: derived here.

    Examples
    --------
    >>> round(flat_contact_length_mm(736.0, 17.7, 3.0), 3)
    13.861
    """
    load = _positive("load_N", load_N, "N")
    return _plain(
        load / (_positive("hardness_MPa", hardness_MPa, "MPa") * _positive("width_mm", width_mm, "mm"))
    )


def flat_depth_mm(length_mm: Numbers, rocker_radius_mm: Numbers, gliding: bool = False) -> OneOrMany:
    """Greatest depth of an upright blade without a groove, mm, from its contact length.

    Definition
    ----------
    At rest the deepest point is in the middle of the contact: d = l^2 / (8 R). Gliding, all of the contact
    lies ahead of it: d = l^2 / (2 R), four times as deep.

    Parameters
    ----------
    length_mm : float or array
        Contact length l, mm.
    rocker_radius_mm : float or array
        Radius of the rocker R, mm.
    gliding : bool
        As in `solve_contact`.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or not above 0.

    Source
    ------
    Height of a circular arc over its chord, to the second order: any handbook.

    Examples
    --------
    >>> round(flat_depth_mm(13.861, 3048.0), 5)
    0.00788
    """
    length = _positive("length_mm", length_mm, "mm")
    return _plain(length**2 / ((2 if gliding else 8) * _positive("rocker_radius_mm", rocker_radius_mm, "mm")))


def flat_gliding_pitch_deg(length_mm: Numbers, rocker_radius_mm: Numbers) -> OneOrMany:
    """Pitch of a gliding upright blade without a groove, degrees; load and level point at mid-length.

    Definition
    ----------
    The load is over the middle of the contact, so the deepest point is half a contact length behind it, where
    the tangent of the rocker is -l / (2 R). The boot tips back.

    Parameters
    ----------
    length_mm, rocker_radius_mm
        As in `flat_depth_mm`.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or not above 0.

    Source
    ------
    Balance of moments: derived here.

    Examples
    --------
    >>> round(flat_gliding_pitch_deg(13.861, 3048.0), 4)
    -0.1303
    """
    slope = _positive("length_mm", length_mm, "mm") / (
        2 * _positive("rocker_radius_mm", rocker_radius_mm, "mm")
    )
    return _plain(-np.degrees(slope))


def flat_plough_coefficient(length_mm: Numbers, rocker_radius_mm: Numbers) -> OneOrMany:
    """Friction coefficient of ploughing of a gliding upright blade without a groove.

    Definition
    ----------
    The track is a rectangle of the width and the depth d = l^2 / (2 R); pressing it takes p_H w d, and the
    load is p_H w l: their ratio is l / (2 R).

    Parameters
    ----------
    length_mm, rocker_radius_mm
        As in `flat_depth_mm`.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or not above 0.

    Source
    ------
    Derived here.

    Examples
    --------
    >>> round(flat_plough_coefficient(13.861, 3048.0), 6)
    0.002274
    """
    length = _positive("length_mm", length_mm, "mm")
    return _plain(length / (2 * _positive("rocker_radius_mm", rocker_radius_mm, "mm")))


def leaned_edge_depth_mm(
    load_N: Numbers,
    hardness_MPa: Numbers,
    rocker_radius_mm: Numbers,
    lean_deg: Numbers,
    gliding: bool = False,
) -> OneOrMany:
    """Greatest vertical depth of the edge of a leaned blade without a groove, mm.

    Definition
    ----------
    The edge is a wedge: at depth z it is z / sin(lean) wide. Along the contact z = d (1 - x^2 / a^2), with
    a^2 = 2 R d / cos(lean), over 2 a at rest and a gliding. Area times hardness is N / cos(lean), so
    d^(3/2) = N tan(lean) sqrt(cos(lean) / (2 R)) / (p_H s), with s = 4/3 at rest and 2/3 gliding.

    Parameters
    ----------
    load_N, hardness_MPa, rocker_radius_mm
        As above; N, MPa, mm.
    lean_deg : float or array
        Above 0 and below 90 degrees.
    gliding : bool
        As in `solve_contact`.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or out of range.

    Notes
    -----
    It holds while the depth is below width * sin(lean), so that the far edge stays out of the ice.

    Source
    ------
    Derived here.

    Examples
    --------
    >>> round(leaned_edge_depth_mm(736.0, 17.7, 3048.0, 30.0), 4)
    0.3585
    """
    load = _positive("load_N", load_N, "N")
    hardness = _positive("hardness_MPa", hardness_MPa, "MPa")
    radius = _positive("rocker_radius_mm", rocker_radius_mm, "mm")
    lean = np.radians(numbers("lean_deg", lean_deg, "deg", 0.0, 90.0, low_open=True, high_open=True))
    share = (2 if gliding else 4) / 3
    return _plain(
        (load * np.tan(lean) * np.sqrt(np.cos(lean) / (2 * radius)) / (hardness * share)) ** (2 / 3)
    )


def leaned_edge_length_mm(
    depth_mm: Numbers, rocker_radius_mm: Numbers, lean_deg: Numbers, gliding: bool = False
) -> OneOrMany:
    """Contact length of a leaned blade without a groove, mm, from its depth.

    Definition
    ----------
    a = sqrt(2 R d / cos(lean)) gliding, 2 a at rest.

    Parameters
    ----------
    depth_mm, rocker_radius_mm, lean_deg, gliding
        As in `leaned_edge_depth_mm`; an upright blade, at a lean of 0, too.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or out of range.

    Source
    ------
    Derived here.

    Examples
    --------
    >>> round(leaned_edge_length_mm(0.3585, 3048.0, 30.0), 2)
    100.47
    """
    depth, radius = (
        _positive("depth_mm", depth_mm, "mm"),
        _positive("rocker_radius_mm", rocker_radius_mm, "mm"),
    )
    lean = np.radians(numbers("lean_deg", lean_deg, "deg", 0.0, 90.0, high_open=True))
    return _plain((1 if gliding else 2) * np.sqrt(2 * radius * depth / np.cos(lean)))


@dataclass(frozen=True)
class WorkedCase:
    """One contact worked out by a solver that shares no code with bladelab.

    Attributes
    ----------
    blade : Blade
        On a rocker of one radius, 280 mm long.
    stance : Stance
    ice : Ice
    gliding : bool
        As in `solve_contact`.
    depth_mm, length_mm : float
        Greatest depth of the edge and length of the contact, mm.
    tolerance : float
        How closely the digits and the method of the source hold, relative.
    source : str
        Where the numbers come from.
    """

    blade: Blade
    stance: Stance
    ice: Ice
    gliding: bool
    depth_mm: float
    length_mm: float
    tolerance: float = 0.002
    source: str = "brute-force solver by slices, written apart from bladelab; computed for this project"


def _case(
    rocker_radius_mm: float,
    hollow_radius_mm: float,
    lean_deg: float,
    depth_mm: float,
    length_mm: float,
    gliding: bool = False,
    temperature_C: float = -53 / 6,
) -> WorkedCase:
    """Return a case of 75 kg over mid-length, on a runner 3 mm wide."""
    blade = Blade(Rocker.single(rocker_radius_mm, 280.0), Hollow(hollow_radius_mm, 3.0))
    stance = Stance(75 * GRAVITY_M_S2, 0.0, lean_deg)
    return WorkedCase(blade, stance, Ice(temperature_C), gliding, depth_mm, length_mm)


#: A load of 75 kg; at rest on ice of 20 MPa (-53/6 °C), and gliding at -5 °C.
WORKED_CASES: tuple[WorkedCase, ...] = (
    _case(3048.0, 12.7, 0.0, 0.0661, 40.13),
    _case(3048.0, 25.4, 0.0, 0.0394, 30.98),
    _case(3657.6, 12.7, 0.0, 0.0628, 42.87),
    _case(3048.0, 12.7, 30.0, 0.367, 101.65),
    _case(3657.6, 15.875, 30.0, 0.3389, 106.99),
    _case(3048.0, 12.7, 0.0, 0.0957, 24.16, gliding=True, temperature_C=-5.0),
)
