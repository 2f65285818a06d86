"""Reference solutions: contacts that can be worked out by hand, to test a contact solver against.

They need no solver: the blade has no groove, its rocker one radius, and the ice yields at one pressure. What
they say has the names that it has in a `Contact`. `bladelab.physics.worked_cases` has contacts with a groove,
from a solver that shares no code with bladelab.

The tilt along the contact is taken as small: its sine is at most the contact length over the radius of the
rocker, so what is left out is about (length / radius)^2 of the result: 0.01 % for an upright hockey blade,
0.1 % for a leaned one. Arrays broadcast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from bladelab._checks import keep_numbers, numbers, shared_shape
from bladelab._types import Numbers, OneOrMany
from bladelab._values import by_value

#: Above 0, and no number that matters is larger.
_POSITIVE = (0.0, 1e12, True)


@by_value
@dataclass(frozen=True, eq=False)
class FlatContact:
    """An upright blade without a groove on ice, loaded at mid-length, where its level point is.

    Parameters
    ----------
    load_N : float or array
        Vertical load N, N.
    hardness_MPa : float or array
        Hardness of the ice p_H, MPa.
    width_mm : float or array
        Width of the runner w, mm.
    rocker_radius_mm : float or array
        Radius of the rocker R, mm.
    gliding : bool
        As in `solve_contact`.

    Raises
    ------
    ValueError
        If a number is not finite or not above 0, or the shapes do not broadcast.

    Source
    ------
    Balance of forces and of moments on perfectly plastic ice: derived here. Height of a circular arc over its
    chord, to the second order: any handbook.

    Examples
    --------
    >>> contact = FlatContact(736.0, 17.7, 3.0, 3048.0)
    >>> print(f"{contact.length_mm:.3f} mm long, {contact.depth_mm:.5f} mm deep")
    13.861 mm long, 0.00788 mm deep
    >>> gliding = FlatContact(736.0, 17.7, 3.0, 3048.0, gliding=True)
    >>> print(f"{gliding.pitch_deg:.4f} deg, {gliding.plough_coefficient:.6f}")
    -0.1303 deg, 0.002274
    """

    load_N: OneOrMany
    hardness_MPa: OneOrMany
    width_mm: OneOrMany
    rocker_radius_mm: OneOrMany
    gliding: bool = False

    def __post_init__(self) -> None:
        keep_numbers(
            self,
            load_N=("N", *_POSITIVE),
            hardness_MPa=("MPa", *_POSITIVE),
            width_mm=("mm", *_POSITIVE),
            rocker_radius_mm=("mm", *_POSITIVE),
        )
        shared_shape(_numbers_of(self))

    @classmethod
    def on_pressed_ice(
        cls,
        load_N: Numbers,
        drop_hardness_MPa: Numbers,
        drop_time_s: Numbers,
        width_mm: Numbers,
        rocker_radius_mm: Numbers,
        speed_m_s: Numbers,
        rate_exponent: float,
    ) -> FlatContact:
        """Return the contact of a blade that glides on ice which is softer the longer it is pressed.

        Definition
        ----------
        The hardness p (t / t_drop)^-m, with t = l / V, times the rectangle w l is the load N, so l^(1 - m) =
        N / (p w (V t_drop)^m); the hardness is N / (w l).

        Parameters
        ----------
        load_N, width_mm, rocker_radius_mm
            As in `FlatContact`.
        drop_hardness_MPa, drop_time_s : float or array
            What a dropped ball finds, p in MPa, and how long it presses, s.
        speed_m_s : float or array
            Speed V, m/s.
        rate_exponent : float
            m, at least 0 and below 1; with 0 the hardness is what the ball finds.

        Examples
        --------
        >>> contact = FlatContact.on_pressed_ice(736.0, 17.7, 3.42e-4, 3.0, 3048.0, 6.0, 0.15)
        >>> print(f"{contact.length_mm:.2f} mm")
        19.42 mm
        """
        m = numbers("rate_exponent", rate_exponent, "", 0.0, 1.0, high_open=True)
        load, width = _positive("load_N", load_N, "N"), _positive("width_mm", width_mm, "mm")
        drop = _positive("drop_hardness_MPa", drop_hardness_MPa, "MPa")
        way = 1000 * _positive("speed_m_s", speed_m_s, "m/s") * _positive("drop_time_s", drop_time_s, "s")
        length = (load / (drop * width * way**m)) ** (1 / (1 - m))
        return cls(load_N, load / (width * length), width_mm, rocker_radius_mm, gliding=True)

    @property
    def length_mm(self) -> OneOrMany:
        """Contact length, mm, at rest and gliding: l = N / (p_H w)."""
        return self.load_N / (self.hardness_MPa * self.width_mm)

    @property
    def depth_mm(self) -> OneOrMany:
        """Greatest depth, mm. At rest the deepest point is in the middle of the contact: d = l^2 / (8 R).
        Gliding, all of the contact lies ahead of it: d = l^2 / (2 R), four times as deep."""
        return self.length_mm**2 / ((2 if self.gliding else 8) * self.rocker_radius_mm)

    @property
    def pitch_deg(self) -> OneOrMany:
        """Pitch, degrees: 0 at rest. Gliding, the load is over the middle of the contact, so the deepest
        point is half a contact length behind it, where the tangent of the rocker is -l / (2 R): the boot tips
        back."""
        half = self.length_mm / 2 if self.gliding else 0 * self.length_mm
        return -np.degrees(half / self.rocker_radius_mm)

    @property
    def plough_coefficient(self) -> OneOrMany:
        """Friction coefficient of ploughing, gliding: the track is a rectangle of the width and the depth
        d = l^2 / (2 R); pressing it takes p_H w d, and the load is p_H w l, so the coefficient is l / (2 R).
        """
        return self.length_mm / (2 * self.rocker_radius_mm)


@by_value
@dataclass(frozen=True, eq=False)
class LeanedEdge:
    """The edge of a leaned blade without a groove.

    Definition
    ----------
    The edge is a wedge: at depth z it is z / sin(lean) wide. Along the contact z = d (1 - x^2 / a^2), with
    a^2 = 2 R d / cos(lean), over 2 a at rest and a gliding. Area times hardness is N / cos(lean).

    Parameters
    ----------
    load_N, hardness_MPa, rocker_radius_mm, gliding
        As in `FlatContact`.
    lean_deg : float or array
        Above 0 and below 90 degrees.

    Raises
    ------
    ValueError
        If a number is not finite or out of range, or the shapes do not broadcast.

    Notes
    -----
    It holds while the depth is below width * sin(lean), so that the far edge stays out of the ice.

    Source
    ------
    Derived here.

    Examples
    --------
    >>> edge = LeanedEdge(736.0, 17.7, 3048.0, lean_deg=30.0)
    >>> print(f"{edge.depth_mm:.4f} mm deep, {edge.length_mm:.2f} mm long")
    0.3585 mm deep, 100.46 mm long
    """

    load_N: OneOrMany
    hardness_MPa: OneOrMany
    rocker_radius_mm: OneOrMany
    lean_deg: OneOrMany
    gliding: bool = False

    def __post_init__(self) -> None:
        keep_numbers(
            self,
            load_N=("N", *_POSITIVE),
            hardness_MPa=("MPa", *_POSITIVE),
            rocker_radius_mm=("mm", *_POSITIVE),
            lean_deg=("deg", 0.0, 90.0, True, True),
        )
        shared_shape(_numbers_of(self))

    @property
    def depth_mm(self) -> OneOrMany:
        """Greatest vertical depth, mm: d^(3/2) = N tan(lean) sqrt(cos(lean) / (2 R)) / (p_H s), with s = 4/3
        at rest and 2/3 gliding."""
        lean, share = np.radians(self.lean_deg), (2 if self.gliding else 4) / 3
        arc = np.sqrt(np.cos(lean) / (2 * self.rocker_radius_mm))
        return (self.load_N * np.tan(lean) * arc / (self.hardness_MPa * share)) ** (2 / 3)

    @property
    def length_mm(self) -> OneOrMany:
        """Contact length, mm: a gliding, 2 a at rest."""
        lean = np.radians(self.lean_deg)
        half = np.sqrt(2 * self.rocker_radius_mm * self.depth_mm / np.cos(lean))
        return half if self.gliding else 2 * half


def _positive(name: str, value: Numbers, unit: str) -> OneOrMany:
    return numbers(name, value, unit, *_POSITIVE)


def _numbers_of(case: FlatContact | LeanedEdge) -> dict[str, OneOrMany]:
    return {name: value for name, value in vars(case).items() if name != "gliding"}
