"""One radius through a whole trace."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from bladelab._checks import numbers
from bladelab._errors import InputError
from bladelab._types import Numbers, OneOrMany
from bladelab._values import by_value
from bladelab.workshop.trace import checked_error, checked_points


@by_value
@dataclass(frozen=True, eq=False)
class RadiusFit:
    """One radius through a whole trace.

    Attributes
    ----------
    radius_mm, standard_error_mm : float
        The radius and its standard error, mm.
    noise_mm : float
        Scatter of one reading about the arc, given or found, mm.
    lowest_mm : float
        Where the arc is level as measured, mm.
    tilt_deg : float
        Its tilt at mid-trace, degrees.
    offset_mm : float
        Its height there, mm.
    middle_mm : float
        The middle of the trace, mm.

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Rocker, fit_radius
    >>> x = np.linspace(-100.0, 100.0, 81)
    >>> fit = fit_radius(x, Rocker.single(3048.0, 280.0).height_mm(x), error_mm=0.005)
    >>> print(f"{fit.radius_mm:.0f} +- {fit.standard_error_mm:.0f} mm")
    3048 +- 3 mm
    """

    radius_mm: float
    standard_error_mm: float
    noise_mm: float
    lowest_mm: float
    tilt_deg: float
    offset_mm: float
    middle_mm: float

    @property
    def interval_mm(self) -> tuple[float, float]:
        """The radii that 95 in 100 such measurements would name, mm; the upper end may be infinite."""
        bend, error = 1 / self.radius_mm, 1.96 * self.standard_error_mm / self.radius_mm**2
        return 1 / (bend + error), 1 / (bend - error) if bend > error else float("inf")

    def height_mm(self, x_mm: Numbers) -> OneOrMany:
        """Return the arc's height at `x_mm`, in the frame of the trace, mm."""
        x = np.asarray(numbers("x_mm", x_mm, "mm")) - self.middle_mm
        return self.offset_mm + arc_rise(x, np.sin(np.radians(self.tilt_deg)), 1 / self.radius_mm)


def arc_rise(step: Numbers, sine: Numbers, bend: Numbers) -> OneOrMany:
    """Rise of an arc over a step in x, from where the sine of its tilt is `sine`; exact, also for a straight
    line.
    """
    end = sine + bend * step
    cosine, end_cosine = (np.sqrt(np.maximum(1 - s * s, 1e-12)) for s in (sine, end))
    return step * (sine + end) / (cosine + end_cosine)


def fit_radius(x_mm: ArrayLike, y_mm: ArrayLike, error_mm: float | None = None) -> RadiusFit:
    """Fit the single radius that suits the points best; offset and tilt are fitted away.

    Definition
    ----------
    Least squares of the heights over the circle's curvature, tilt and offset (Gauss-Newton on the exact arc;
    errors lie in the heights, the positions are exact). The standard error of the radius is R^2 times that of
    the curvature.

    Parameters
    ----------
    x_mm, y_mm : array, shape (n,)
        Positions, rising, and heights, mm; at least 5.
    error_mm : float, optional
        Standard error of one height, mm, above 0 and at most 10 m; left out, the residuals tell it (n - 3
        degrees of freedom).

    Raises
    ------
    ValueError
        For an error out of range, points that make no trace, or that bend the wrong way (lowest at the ends).

    Notes
    -----
    The points may be uneven. Checked against scikit-image's circle fit and numpy's polynomial covariance. On
    an edge that is no single arc the result is still the best arc, but its standard error then says little:
    see `fit_zones`.

    Examples
    --------
    >>> import numpy as np
    >>> x = np.linspace(-140, 140, 57)
    >>> round(fit_radius(x, 3048 - np.sqrt(3048**2 - x**2) + 0.01 * x).radius_mm, 1)
    3048.5
    """
    x, y = checked_points(x_mm, y_mm)
    error_mm = checked_error(error_mm)
    middle, half = (x[0] + x[-1]) / 2, (x[-1] - x[0]) / 2
    t = (x - middle) / half
    basis = np.stack([np.ones_like(t), t * half, (t * half) ** 2 / 2], axis=1)
    scale = np.array([1.0, half, half**2])
    solver = np.linalg.pinv(basis / scale)
    start = solver @ y / scale
    if start[2] <= 0:
        raise wrong_way(start[2])
    # From curvature in the frame as measured to the arc's own: sine of tilt, then refine on the exact arc.
    values = np.array([start[0], start[1] / np.hypot(1, start[1]), start[2] / (1 + start[1] ** 2) ** 1.5])
    for _ in range(30):
        rest = y - values[0] - arc_rise(x - middle, values[1], values[2])
        # d(rise)/d(sine) and d(rise)/d(bend) carry the factor of the slope at mid-trace; enough for the last
        # digit.
        step = solver @ rest / scale * np.array([1, *[(1 - values[1] ** 2) ** 1.5] * 2])
        values = values + step
        if np.abs(step / np.array([1, 1e-3, 1e-6])).max() < 1e-9:
            break
    if values[2] <= 0 or np.abs(values[1] + values[2] * half) >= 1:
        raise wrong_way(values[2])
    rest = y - values[0] - arc_rise(x - middle, values[1], values[2])
    noise = float(np.sqrt(np.sum(rest**2) / (len(x) - 3))) if error_mm is None else error_mm
    bend_error = noise * np.linalg.norm(solver[2]) / scale[2] * (1 - values[1] ** 2) ** 1.5
    return RadiusFit(
        radius_mm=float(1 / values[2]),
        standard_error_mm=float(bend_error / values[2] ** 2),
        noise_mm=noise,
        lowest_mm=float(middle - values[1] / values[2]),
        tilt_deg=float(np.degrees(np.arcsin(values[1]))),
        offset_mm=float(values[0]),
        middle_mm=float(middle),
    )


def wrong_way(bend: float) -> InputError:
    """The error for points that are lowest at the ends, or lie straight."""
    return InputError(
        f"the points bend the wrong way or not at all (curvature {1000 * bend:.3g} per m, must be above 0): "
        "heights are lowest near the middle of the runner; were they measured upside down?"
    )
