"""Reference solutions: contacts that can be worked out by hand, to test a contact solver against.

They need no solver: the blade has no groove, its rocker one radius, and the ice yields at one pressure.
`bladelab.physics.worked_cases` has contacts with a groove, from a solver that shares no code with bladelab.

The tilt along the contact is taken as small: its sine is at most the contact length over the radius of the
rocker, so what is left out is about (length / radius)^2 of the result: 0.01 % for an upright hockey blade,
0.1 % for a leaned one. Arrays broadcast.
"""

from __future__ import annotations

import numpy as np

from bladelab._checks import numbers
from bladelab._types import Array, Numbers, OneOrMany


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


def flat_pressed_length_mm(
    load_N: Numbers,
    drop_hardness_MPa: Numbers,
    drop_time_s: Numbers,
    width_mm: Numbers,
    speed_m_s: Numbers,
    rate_exponent: float,
) -> OneOrMany:
    """Contact length of an upright blade without a groove that glides on pressed ice, mm.

    Definition
    ----------
    The hardness p (t / t_drop)^-m, with t = l / V, times the rectangle w l is the load N, so l^(1 - m) = N /
    (p w (V t_drop)^m).

    Parameters
    ----------
    load_N, width_mm
        As in `flat_contact_length_mm`.
    drop_hardness_MPa, drop_time_s : float or array
        What a dropped ball finds, p in MPa, and how long it presses, s.
    speed_m_s : float or array
        Speed V, m/s.
    rate_exponent : float
        m, at least 0 and below 1; 0 is `flat_contact_length_mm`.

    Returns
    -------
    float or array

    Raises
    ------
    ValueError
        If a number is not finite or out of range.

    Source
    ------
    Balance of forces on ice that softens: derived here.

    Examples
    --------
    >>> round(flat_pressed_length_mm(736.0, 17.7, 3.42e-4, 3.0, 6.0, 0.15), 2)
    19.42
    """
    load, hardness = (
        _positive("load_N", load_N, "N"),
        _positive("drop_hardness_MPa", drop_hardness_MPa, "MPa"),
    )
    width, exponent = _positive("width_mm", width_mm, "mm"), np.asarray(rate_exponent)
    numbers("rate_exponent", rate_exponent, "", 0.0, 1.0, high_open=True)
    way = 1000 * _positive("speed_m_s", speed_m_s, "m/s") * _positive("drop_time_s", drop_time_s, "s")
    return _plain((load / (hardness * width * way**exponent)) ** (1 / (1 - exponent)))
