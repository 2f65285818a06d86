"""A trace from a photograph: the edge found along the picture's columns, scaled by a ruler in view.

Pillow opens the picture; the rest is a search for the steepest change of brightness in each column, to a
fraction of a pixel. What a camera does to the shape (scale, a bowed lens, standing askew) is counted into the
error.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bladelab._checks import number, numbers
from bladelab._errors import InputError
from bladelab.workshop.radius import RadiusFit, fit_radius
from bladelab.workshop.trace import Array, Trace

SIZE_LIMIT_BYTES = 40_000_000
PIXEL_LIMIT = 60_000_000
_LEAST_CONTRAST = 12.0  # of 255, across the edge


def read_photo(path: str | os.PathLike[str]) -> Array:
    """Return a photograph as grey values 0 to 255, shape (rows, columns), turned as the camera noted.

    Raises
    ------
    ValueError
        If there is no such file, it is over 40 MB or 60 megapixels, or Pillow cannot read it as a picture.
    """
    from PIL import Image, ImageOps

    file = Path(path)
    if not file.is_file():
        raise InputError(f"{file.name}: there is no such file; check the name and the folder")
    if (size := file.stat().st_size) > SIZE_LIMIT_BYTES:
        raise InputError(
            f"{file.name}: the file has {size / 1e6:.0f} MB; it must have at most "
            f"{SIZE_LIMIT_BYTES / 1e6:.0f} MB"
        )
    try:
        with Image.open(file) as picture:
            if picture.width * picture.height > PIXEL_LIMIT:
                raise InputError(
                    f"{file.name}: the picture has {picture.width * picture.height / 1e6:.0f} megapixels; it "
                    "must have at most "
                    f"{PIXEL_LIMIT / 1e6:.0f}: make it smaller"
                )
            return np.asarray(ImageOps.exif_transpose(picture).convert("L"), dtype=float)
    except (OSError, SyntaxError, Image.DecompressionBombError):
        raise InputError(
            f"{file.name}: this is no picture that can be read; save it as PNG or JPEG"
        ) from None


@dataclass(frozen=True)
class Ruler:
    """Two marks of a ruler in the picture and the length between them.

    Parameters
    ----------
    start_px, end_px : (float, float)
        Column and row of the two marks, px; the first nearer the heel.
    length_mm : float
        Length between the marks, mm.
    picking_error_px : float
        Standard error with which one mark was picked, px.
    """

    start_px: tuple[float, float]
    end_px: tuple[float, float]
    length_mm: float
    picking_error_px: float = 1.0

    def __post_init__(self) -> None:
        number("length_mm", self.length_mm, "mm", 0.0, low_open=True)
        number("picking_error_px", self.picking_error_px, "px", 0.0)
        for mark, which in ((self.start_px, "first"), (self.end_px, "second")):
            if np.shape(np.atleast_1d(np.asarray(mark, dtype=object))) != (2,):
                raise InputError(f"the {which} mark is {mark!r}; it must be a column and a row, px")
            for value, part in zip(mark, ("column", "row"), strict=True):
                number(f"{part} of the {which} mark", value, "px", -1e6, 1e6)
        if self.length_px < 20:
            raise InputError(
                f"the ruler's marks lie {self.length_px:.3g} px apart; they must be at least 20 px apart"
            )

    @property
    def length_px(self) -> float:
        """Distance of the marks in the picture, px."""
        return float(np.hypot(self.end_px[0] - self.start_px[0], self.end_px[1] - self.start_px[1]))

    @property
    def mm_per_px(self) -> float:
        """Scale of the picture."""
        return self.length_mm / self.length_px

    @property
    def scale_error(self) -> float:
        """Standard error of the scale, as a share."""
        return float(np.sqrt(2) * self.picking_error_px / self.length_px)


def find_edge(
    photo: Array, columns: tuple[int, int], rows: tuple[int, int], blur_px: float = 1.5
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
    """
    from scipy.ndimage import gaussian_filter

    height, width = photo.shape
    left, right = columns
    top, bottom = rows
    number("first column", left, "px", 0, width - 1)
    number("last column", right, "px", left + 30, width - 1)
    number("first row", top, "px", 0, height - 1)
    number("last row", bottom, "px", top + 8, height - 1)
    blur = number("blur_px", blur_px, "px", 0.5, 10.0)
    part = photo[int(top) : int(bottom) + 1, int(left) : int(right) + 1]
    rise = np.diff(gaussian_filter(part, blur, mode="nearest"), axis=0)
    # The steel may be darker or lighter than what lies behind it: take whichever is stronger over the
    # stretch.
    strength = rise if np.median(rise.max(axis=0)) >= np.median(-rise.min(axis=0)) else -rise
    best = np.argmax(strength, axis=0)
    inside = (best > 0) & (best < strength.shape[0] - 1)
    every = np.arange(strength.shape[1])
    middle = np.clip(best, 1, strength.shape[0] - 2)
    before, peak, after = (strength[middle + i, every] for i in (-1, 0, 1))
    bow = before - 2 * peak + after
    shift = np.where(bow < 0, (before - after) / (2 * np.where(bow < 0, bow, -1.0)), 0.0)
    column, row = every + float(left), middle + 0.5 + np.clip(shift, -0.5, 0.5) + float(top)
    good = inside & (peak * blur * np.sqrt(2 * np.pi) > _LEAST_CONTRAST)
    for _ in range(5):
        if good.sum() < 0.5 * len(good):
            raise InputError(
                f"an edge is found in {good.sum()} of {len(good)} columns; it must be in at least half: set "
                "the limits closer around the "
                "edge, or take the picture before a plain ground"
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


@dataclass(frozen=True, eq=False)
class PhotoTrace:
    """A trace from a photograph, with all that is known against it.

    `trace`: heights in mm. `fit`: the single radius. The shares of the standard error of that radius, mm:
    `reading_mm` (the scatter of the edge), `scale_mm` (the ruler's marks), `askew_mm` (the camera not square
    to the blade), `lens_mm` (straight lines that come out bowed).
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

    def can_tell(self, radius_a_mm: float, radius_b_mm: float) -> bool:
        """Whether no more than 1 photograph in 40 would take a blade of one radius for the other."""
        a, b = (number("radius_mm", r, "mm", 0.0, low_open=True) for r in (radius_a_mm, radius_b_mm))
        bend_error = self.standard_error_mm / self.fit.radius_mm**2
        return abs(1 / a - 1 / b) / 2 > 1.96 * bend_error


def photo_trace(
    column_px: Array,
    row_px: Array,
    ruler: Ruler,
    steel: str = "above",
    askew_deg: float = 3.0,
    bow_px: float = 0.0,
    bow_error_px: float = 1.0,
) -> PhotoTrace:
    """Turn an edge found in a photograph into a trace with an honest error.

    Parameters
    ----------
    column_px, row_px : array, shape (n,)
        The edge, from `find_edge` or picked by hand.
    ruler : Ruler
        Must lie in the plane of the blade: a ruler 10 mm nearer at 1 m makes everything 1 % too small.
    steel : {"above", "below"}
        On which side of the edge the steel lies in the picture; "above" for a blade held as it stands.
    askew_deg : float
        How far from square to the blade the camera may have stood (standard error, degrees, 0 to 20). Its
        heights shrink by the cosine where it looked down; the radius grows as much.
    bow_px, bow_error_px : float
        How far the middle of a straight line as long as the blade comes out lower in the picture than its
        ends, because of the lens, and its standard error, px, -50 to 50 and 0 to 50. It is taken off. Measure
        it on the edge of the ruler: see `line_bow_px`.

    Raises
    ------
    ValueError
        For too few points, points that bend the wrong way, or numbers out of range.
    """
    if steel not in ("above", "below"):
        raise InputError(f"steel is {steel!r}; it must be 'above' or 'below'")
    askew = np.radians(number("askew_deg", askew_deg, "deg", 0.0, 20.0))
    bow = number("bow_px", bow_px, "px", -50.0, 50.0)
    bow_error = number("bow_error_px", bow_error_px, "px", 0.0, 50.0)
    along = np.array(ruler.end_px) - np.array(ruler.start_px)
    along = along / np.linalg.norm(along)
    if along[0] <= 0:
        raise InputError(
            "the ruler's second mark lies left of the first; the first must be nearer the heel, on the left"
        )
    column, row, half = _along_blade(column_px, row_px)
    row = row - bow * (1 - ((column - column.min()) / half - 1) ** 2)
    # Rows count downward. Held as it stands (steel above) the lowest place of the edge has the greatest row.
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
    column = np.atleast_1d(numbers("column_px", column_px, "px", -1e6, 1e6))
    row = np.atleast_1d(numbers("row_px", row_px, "px", -1e6, 1e6))
    if column.ndim != 1 or column.shape != row.shape:
        raise InputError(
            f"column_px has shape {column.shape} and row_px {row.shape}; both must be the same plain list"
        )
    half = float(np.ptp(column)) / 2 if len(column) else 0.0
    if not half > 0:
        raise InputError("all points lie in one column of pixels; they must run along the blade")
    return column, row, half


def line_bow_px(column_px: Array, row_px: Array, length_px: float | None = None) -> float:
    """Measure the bow of the lens on a line that is straight in truth, such as the edge of the ruler.

    Parameters
    ----------
    column_px, row_px : array, shape (n,)
        The line, from `find_edge`; at least 5 points.
    length_px : float, optional
        Length of the blade in the picture, px, for which the bow is wanted; left out, that of the line.

    Returns
    -------
    float
        How far the middle comes out lower in the picture than the ends, px: from the parabola through all
        points, scaled by the square of the length.
    """
    column, row, half = _along_blade(column_px, row_px)
    if len(column) < 5:
        raise InputError(f"the line has {len(column)} columns; it must have at least 5")
    bend = np.polynomial.polynomial.polyfit((column - column.min()) / half - 1, row, 2)[2]
    wanted = 2 * half if length_px is None else number("length_px", length_px, "px", 0.0, low_open=True)
    return float(-bend * (wanted / 2 / half) ** 2)
