"""The diameter of a crater from a photograph of the ice, straight from above, with a ruler in view."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from bladelab._checks import kind, number
from bladelab._errors import InputError
from bladelab._types import Array
from bladelab.workshop.photo import LENS_SHARE
from bladelab.workshop.picture_points import picked_points, steepest_change
from bladelab.workshop.ruler import Ruler, picture_shape

#: How far from straight above the ice the camera may have been (standard error, degrees). Our own estimate.
ASKEW_DEG = 5.0
_RAYS = 72
#: The rim is looked for this far to each side of the circle that the user set, as a share of its radius.
REACH = 0.2
_LEAST_CONTRAST = 12.0  # of 255, across the rim
_LEAST_ARC_DEG = 180.0


@dataclass(frozen=True)
class CraterOnPhoto:
    """A crater measured on a photograph, with every known source of error.

    Attributes
    ----------
    centre_px : (float, float)
        Column and row of the middle of the rim, px.
    radius_px : float
        Radius of the rim, px.
    diameter_mm : float
        From rim to rim, mm.
    reading_mm : float
        Part of its standard error, mm, that comes from the scatter of the rim.
    scale_mm : float
        The part from picking the ruler's marks, mm.
    askew_mm : float
        The part from a camera that did not look straight down, mm.
    lens_mm : float
        The part from a lens that draws the crater to another scale than the ruler, mm.
    """

    centre_px: tuple[float, float]
    radius_px: float
    diameter_mm: float
    reading_mm: float
    scale_mm: float
    askew_mm: float
    lens_mm: float

    @property
    def standard_error_mm(self) -> float:
        """Standard error of the diameter from all causes, mm."""
        return float(np.linalg.norm([self.reading_mm, self.scale_mm, self.askew_mm, self.lens_mm]))


def find_rim(
    photo: Array | NDArray[np.uint8], centre_px: tuple[float, float], radius_px: float, blur_px: float = 1.5
) -> tuple[Array, Array]:
    """Find the rim of a crater near a circle set by the user, to a fraction of a pixel.

    Definition
    ----------
    On each of 72 rays from the middle of the circle, the place of the steepest change of brightness within a
    fifth of the radius to each side of the circle. Rays without contrast, and those where the rim is further
    from the median than 4 times the usual scatter, are left out.

    Parameters
    ----------
    photo : array, shape (rows, columns)
        Grey values 0 to 255.
    centre_px : (float, float)
        Column and row of the middle of the circle, px.
    radius_px : float
        Its radius, px, at least 10.
    blur_px : float
        Width of the blur along a ray, px, 0.5 to 10.

    Returns
    -------
    column_px, row_px : array, shape (n,)

    Raises
    ------
    InputError
        If the circle reaches beyond the picture, or no rim is found on half of the rays.
    """
    from scipy.ndimage import gaussian_filter1d, map_coordinates

    height, width = picture_shape(photo)
    radius, blur = number("radius_px", radius_px, "px", 10.0), number("blur_px", blur_px, "px", 0.5, 10.0)
    far = (1 + REACH) * radius
    column = number("column of the crater", centre_px[0], "px", 0, width - 1)
    row = number("row of the crater", centre_px[1], "px", 0, height - 1)
    if min(column, width - 1 - column, row, height - 1 - row) < far:
        raise InputError(
            f"the circle is {2 * radius:.0f} px across at column {column:.0f} and row {row:.0f}; it must lie "
            f"inside the picture, at least {REACH * radius:.0f} px from its border"
        )
    step = 0.5
    away = np.arange((1 - REACH) * radius, far, step)
    turn = np.linspace(0, 2 * np.pi, _RAYS, endpoint=False)[:, None]
    across, down = column + away * np.cos(turn), row + away * np.sin(turn)
    top, left = int(down.min()), int(across.min())
    part = np.asarray(photo[top : int(down.max()) + 2, left : int(across.max()) + 2], dtype=float)
    shades = map_coordinates(part, [down - top, across - left], order=1, mode="nearest")
    rise = np.diff(gaussian_filter1d(shades, blur / step, axis=1, mode="nearest"), axis=1)
    place, peak, inside = steepest_change(rise.T)
    rim = away[0] + step * place
    good = inside & (peak * blur / step * np.sqrt(2 * np.pi) > _LEAST_CONTRAST)
    if good.any():
        # The circle may be set beside the crater: its rim then swings once around, which is no scatter.
        swing = np.hstack([np.ones_like(turn), np.cos(turn), np.sin(turn)])
        for _ in range(3):
            rest = rim - swing @ np.linalg.lstsq(swing[good], rim[good], rcond=None)[0]
            good &= np.abs(rest) < 4 * (1.4826 * np.median(np.abs(rest[good])) + 0.05)
    if good.sum() < _RAYS / 2:
        raise InputError(
            f"the rim is found on {good.sum()} of {_RAYS} rays; it must be on at least half: set the circle "
            "closer to the rim, or take the picture with light from the side"
        )
    angle = turn[good, 0]
    return column + rim[good] * np.cos(angle), row + rim[good] * np.sin(angle)


def crater_on_photo(
    column_px: ArrayLike,
    row_px: ArrayLike,
    ruler: Ruler,
    ball_radius_mm: float | None = None,
    askew_deg: float = ASKEW_DEG,
    lens_share: float = LENS_SHARE,
) -> CraterOnPhoto:
    """Turn points of a crater's rim into its diameter, with an honest error.

    Definition
    ----------
    The circle with the least squares of the distances of the points from it, scaled by the ruler's marks.

    Parameters
    ----------
    column_px, row_px : array, shape (n,)
        The rim, from `find_rim` or picked by hand: at least three points, over half of the way around.
    ruler : Ruler
        Must lie on the ice.
    ball_radius_mm : float, optional
        Of the ball that was dropped, mm: a crater can't be as wide as the ball.
    askew_deg : float
        How far from straight above the camera may have been (standard error, degrees, 0 to 20).
    lens_share : float
        Standard error of the bow of a straight line across the picture, as a share of the picture's width, 0
        to 0.05, as in `photo_trace`.

    Raises
    ------
    InputError
        For too few points, points in a line or on a short arc, a crater as wide as the ball, or numbers out
        of range.

    Notes
    -----
    To third order a lens moves a point at the distance r from the middle by k r^3. A line a quarter of the
    width W off the middle then comes out bowed by k W^3 / 16, and the scale there is off by 3 k (W / 4)^2:
    three times the bow's share of the width. Third-order distortion, in every textbook of optics: from
    memory. With exactly three points nothing is left to tell their scatter: it is taken as the ruler's
    `picking_error_px`.
    """
    kind("ruler", ruler, Ruler)
    column, row = picked_points(column_px, row_px)
    if len(column) < 3:
        raise InputError(f"the rim has {len(column)} points; it must have at least 3")
    askew = np.radians(number("askew_deg", askew_deg, "deg", 0.0, 20.0))
    lens = number("lens_share", lens_share, "", 0.0, 0.05)
    centre, radius, error_px = _circle(column, row, ruler.picking_error_px)
    diameter = 2 * radius * ruler.mm_per_px
    if ball_radius_mm is not None:
        ball = 2 * number("ball_radius_mm", ball_radius_mm, "mm", 2.0, 50.0)
        if diameter >= ball:
            raise InputError(
                f"the crater is {diameter:.1f} mm across; it must be below the ball's diameter, {ball:g} mm: "
                "check the ruler's marks and the ball"
            )
    return CraterOnPhoto(
        centre_px=centre,
        radius_px=radius,
        diameter_mm=diameter,
        reading_mm=2 * error_px * ruler.mm_per_px,
        scale_mm=diameter * ruler.scale_error,
        askew_mm=diameter * float(1 / np.cos(askew) - 1),
        lens_mm=diameter * 3 * lens,
    )


def _circle(column: Array, row: Array, picking_px: float) -> tuple[tuple[float, float], float, float]:
    """Centre, radius and standard error of the radius, px."""
    from scipy.optimize import least_squares

    middle = np.array([column.mean(), row.mean()])
    x, y = column - middle[0], row - middle[1]
    size = float(np.hypot(x, y).max())
    # As an equation that is linear in what is sought: x^2 + y^2 = 2 a x + 2 b y + c. It starts the search.
    design = np.column_stack([2 * x, 2 * y, np.full_like(x, size)])
    if size == 0 or np.linalg.svd(design / size, compute_uv=False)[-1] < 1e-3:
        raise InputError(
            f"the {len(column)} points of the rim lie in a line or on one spot; they must lie all around the "
            "crater"
        )
    a, b, c = np.linalg.lstsq(design, x * x + y * y, rcond=None)[0]
    start = [a, b, np.sqrt(max(size * c + a * a + b * b, 0.0))]

    def apart(sought: Array) -> Array:
        off: Array = np.hypot(x - sought[0], y - sought[1]) - sought[2]
        return off

    fit = least_squares(apart, start, x_scale=size)
    across, down, radius = fit.x
    angles = np.sort(np.arctan2(y - down, x - across))
    gap = np.degrees(np.diff(np.append(angles, angles[0] + 2 * np.pi)).max())
    if 360 - gap < _LEAST_ARC_DEG:
        raise InputError(
            f"the points cover {360 - gap:.0f}° of the rim; they must cover at least {_LEAST_ARC_DEG:.0f}°"
        )
    spare = len(x) - 3
    scatter = float(np.sqrt(2 * fit.cost / spare)) if spare else picking_px
    slope = np.asarray(fit.jac, dtype=float)
    spread = np.linalg.inv(slope.T @ slope)
    return (
        (float(middle[0] + across), float(middle[1] + down)),
        float(radius),
        scatter * float(np.sqrt(spread[2, 2])),
    )
