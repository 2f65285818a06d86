"""A trace from a photograph: the edge found along the picture's columns, scaled by a ruler in view.

A search for the steepest change of brightness in each column, to a fraction of a pixel. What a camera does to
the shape (scale, a bowed lens, a crooked view) is included in the error.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from bladelab._checks import number, numbers, shown, takes
from bladelab._errors import InputError
from bladelab._files import quoted
from bladelab._types import Array
from bladelab._values import by_value
from bladelab.workshop.picture_points import picked_points, steepest_change
from bladelab.workshop.radius import RadiusFit, fit_radius
from bladelab.workshop.ruler import Ruler, picture_shape
from bladelab.workshop.trace import Trace, local_curve

#: How far a straight line as long as the blade may come out bowed, as a share of the picture's width
#: (standard error). Our own estimate for a picture taken with the zoom from a few metres; no source. It is a
#: share because more pixels don't make a lens straighter.
LENS_SHARE = 0.0015
#: How far the edge of a steel ruler may be from straight, as a share of the width of a picture that it fills:
#: 0.05 mm in 330 mm. Our own estimate; no source.
_RULER_SHARE = 0.00015
#: So many heights are left of an edge in a photograph: it shows one radius, no zones.
_HEIGHTS = 13
_LEAST_CONTRAST = 12.0  # of 255, across the edge


def find_edge(
    photo: Array | NDArray[np.uint8], columns: tuple[int, int], rows: tuple[int, int], blur_px: float = 1.5
) -> tuple[Array, Array]:
    """Find the edge in each column between limits set by the user, to a fraction of a pixel.

    Definition
    ----------
    In each column the place of the steepest change of brightness, from the parabola through the three
    steepest differences of the blurred column. Columns far from a smooth curve through all (4 times the usual
    scatter), or without contrast, are left out.

    Parameters
    ----------
    photo : array, shape (rows, columns)
        Grey values 0 to 255.
    columns, rows : (int, int)
        Limits, px: first and last column, first (upper) and last (lower) row; the edge must be the strongest
        line between them.
    blur_px : float
        Width of the blur, px, 0.5 to 10.

    Returns
    -------
    column_px, row_px : array, shape (n,)

    Raises
    ------
    ValueError
        For limits outside the picture or too close, or if an edge is found in less than half of the columns.

    Examples
    --------
    >>> import numpy as np
    >>> row, column = np.mgrid[0:100, 0:400]
    >>> photo = np.where(row < 40 + (column - 200.0) ** 2 / 4000, 60.0, 200.0)  # steel over a bright ground
    >>> columns, rows = find_edge(photo, (20, 380), (10, 90))
    >>> print(f"{float(rows.min()):.0f} px")
    40 px
    """
    from scipy.ndimage import gaussian_filter

    height, width = picture_shape(photo)
    left, right = _pair("columns", columns)
    top, bottom = _pair("rows", rows)
    number("first column", left, "px", 0, width - 1)
    number("last column", right, "px", left + 30, width - 1)
    number("first row", top, "px", 0, height - 1)
    number("last row", bottom, "px", top + 8, height - 1)
    blur = number("blur_px", blur_px, "px", 0.5, 10.0)
    part = np.asarray(photo[int(top) : int(bottom) + 1, int(left) : int(right) + 1], dtype=float)
    rise = np.diff(gaussian_filter(part, blur, mode="nearest"), axis=0)
    place, peak, inside = steepest_change(rise)
    column, row = np.arange(len(place)) + float(left), place + float(top)
    good = inside & (peak * blur * np.sqrt(2 * np.pi) > _LEAST_CONTRAST)
    for _ in range(5):
        if good.sum() < 0.5 * len(good):
            raise InputError(
                f"an edge is found in {good.sum()} of {len(good)} columns; it must be in at least half: set "
                "the limits closer around the edge, or take the picture in front of a plain background"
            )
        t = (column - column[good].mean()) / max(np.ptp(column), 1)
        smooth = np.polynomial.polynomial.polyfit(t[good], row[good], 4)
        rest = row - np.polynomial.polynomial.polyval(t, smooth)
        spread = 1.4826 * np.median(np.abs(rest[good])) + 0.02
        kept = good & (np.abs(rest) < 4 * spread)
        if (kept == good).all():
            break
        good = kept
    return column[good], row[good]


def _pair(name: str, value: object) -> tuple[float, float]:
    pair = np.atleast_1d(numbers(name, value, "px"))
    if pair.shape != (2,):
        raise InputError(f"{name} is {shown(value)}; it must be two numbers, the first and the last")
    return float(pair[0]), float(pair[1])


@by_value
@dataclass(frozen=True, eq=False)
class PhotoTrace:
    """A trace from a photograph, with every known source of error.

    Attributes
    ----------
    trace : Trace
        Heights, mm.
    fit : RadiusFit
        The single radius.
    reading_mm : float
        Part of the standard error of that radius, mm, that comes from the scatter of the edge.
    scale_mm : float
        The part from picking the ruler's marks, mm.
    askew_mm : float
        The part from a camera that was not square to the blade, mm.
    lens_mm : float
        The part from straight lines that come out bowed, mm.
    """

    trace: Trace
    fit: RadiusFit
    reading_mm: float
    scale_mm: float
    askew_mm: float
    lens_mm: float

    @property
    def standard_error_mm(self) -> float:
        """Standard error of the radius from all causes, mm."""
        return float(np.sqrt(self.reading_mm**2 + self.scale_mm**2 + self.askew_mm**2 + self.lens_mm**2))

    def limits_mm(self, widths: float = 1.96) -> tuple[float, float]:
        """Limits of the true radius, mm: 1.96 standard errors to each side hold 19 of 20, 1 holds 2 of 3.

        The error is even in curvature, so the upper limit lies further off; infinite if the edge may be
        straight.
        """
        bend, error = 1 / self.fit.radius_mm, widths * self.standard_error_mm / self.fit.radius_mm**2
        return 1 / (bend + error), 1 / (bend - error) if bend > error else float("inf")

    @property
    def heights(self) -> Trace:
        """What a photograph is worth as heights: a few places along the edge, each with so large an error
        that the radius through them is as uncertain as that of the photograph, from all causes.

        The many points of the picture itself would say that the edge is known to a few µm, and a bent lens or
        a crooked camera would pass for the shape of the blade.
        """
        half = self.trace.length_mm / 2
        place = np.linspace(-half, half, _HEIGHTS)
        smooth = local_curve(self.trace, place, self.trace.length_mm / (_HEIGHTS - 1)).height_mm
        # The errors of radius and heights go together in proportion.
        error = self.standard_error_mm / fit_radius(place, smooth, 1.0).standard_error_mm
        return Trace(place, smooth - smooth.min(), error)

    def can_tell(self, radius_a_mm: float, radius_b_mm: float) -> bool:
        """Whether no more than 1 photograph in 40 would take a blade of one radius for the other."""
        a, b = (number("radius_mm", r, "mm", 0.0, low_open=True) for r in (radius_a_mm, radius_b_mm))
        bend_error = self.standard_error_mm / self.fit.radius_mm**2
        return abs(1 / a - 1 / b) / 2 > 1.96 * bend_error


@takes(steel=str)
def photo_trace(
    column_px: Array,
    row_px: Array,
    ruler: Ruler,
    width_px: float,
    steel: str = "above",
    askew_deg: float = 3.0,
    bow_px: float = 0.0,
    lens_share: float = LENS_SHARE,
) -> PhotoTrace:
    """Turn an edge found in a photograph into a trace with an honest error.

    Parameters
    ----------
    column_px, row_px : array, shape (n,)
        The edge, from `find_edge` or picked by hand.
    ruler : Ruler
        Must lie in the plane of the blade: a ruler 10 mm nearer at 1 m makes everything 1 % too small.
    width_px : float
        Width of the whole picture, px, up to 1,000,000; the edge lies within it.
    steel : {"above", "below"}
        On which side of the edge the steel lies in the picture; "above" for a blade held upright.
    askew_deg : float
        How far from square to the blade the camera may have been (standard error, degrees, 0 to 20). Its
        heights shrink by the cosine where it looked down; the radius grows as much.
    bow_px : float
        How far the middle of a straight line as long as the blade comes out lower in the picture than its
        ends, because of the lens, px, at most 5 % of the width. It is taken off. Measure it on the edge of
        the ruler: see `line_bow_px`.
    lens_share : float
        Standard error of that bow as a share of the picture's width, 0 to 0.05: what the lens may do, or what
        straightening leaves of it (`bow_left_share`).

    Raises
    ------
    InputError
        For too few points, points that bend the wrong way, or numbers out of range.

    Examples
    --------
    >>> import numpy as np
    >>> from bladelab import Ruler
    >>> column = np.linspace(100.0, 1100.0, 201)
    >>> row = 300 - (column - 600) ** 2 / 24384
    >>> found = photo_trace(column, row, Ruler((100.0, 500.0), (1100.0, 500.0), 250.0), width_px=1200)
    >>> found.trace.length_mm
    250.0
    """
    if not isinstance(ruler, Ruler):
        raise InputError(f"the ruler is {quoted(ruler)}; it must be a Ruler")
    if steel not in ("above", "below"):
        raise InputError(f"steel is {quoted(steel)}; it must be 'above' or 'below'")
    column, row, half = _along_blade(column_px, row_px)
    width = number("width_px", width_px, "px", 2 * half, 1e6)
    askew = np.radians(number("askew_deg", askew_deg, "deg", 0.0, 20.0))
    bow = number("bow_px", bow_px, "px", -0.05 * width, 0.05 * width)
    bow_error = width * number("lens_share", lens_share, "", 0.0, 0.05)
    along = np.array(ruler.end_px) - np.array(ruler.start_px)
    along = along / np.linalg.norm(along)
    if along[0] <= 0:
        raise InputError(
            "the ruler's second mark lies left of the first; the first must be nearer the heel, on the left"
        )
    row = row - bow * (1 - ((column - column.min()) / half - 1) ** 2)
    # Rows count downward. Held upright (steel above) the lowest place of the edge has the greatest row.
    up = -1.0 if steel == "above" else 1.0
    x = (column * along[0] + row * along[1]) * ruler.mm_per_px
    y = up * (row * along[0] - column * along[1]) * ruler.mm_per_px
    order = np.argsort(x)
    x, y = x[order], y[order]
    x = x - (x[0] + x[-1]) / 2
    trace = Trace(x, y - y.min())
    fit = fit_radius(trace.x_mm, trace.y_mm)
    rest = trace.y_mm - fit.height_mm(trace.x_mm)
    # Neighbouring columns share pixels and blur: their errors go together.
    together = float(np.clip(float(rest[1:] @ rest[:-1]) / max(float(rest @ rest), 1e-300), 0.0, 0.95))
    radius = fit.radius_mm
    bow_bend = 8 * bow_error * ruler.mm_per_px / trace.length_mm**2
    return PhotoTrace(
        trace=trace,
        fit=fit,
        reading_mm=fit.standard_error_mm * float(np.sqrt((1 + together) / (1 - together))),
        scale_mm=radius * ruler.scale_error,
        askew_mm=radius * float(1 / np.cos(askew) - 1),
        lens_mm=radius**2 * bow_bend,
    )


def _along_blade(column_px: Array, row_px: Array) -> tuple[Array, Array, float]:
    """Return columns, rows and half the width they span, if they can be the points of an edge."""
    column, row = picked_points(column_px, row_px)
    half = float(np.ptp(column)) / 2 if len(column) else 0.0
    if not half > 0:
        raise InputError("all points lie in one column of pixels; they must run along the blade")
    return column, row, half
