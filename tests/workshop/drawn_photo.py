"""Drawn photographs of a blade of known radius beside a ruler, through a lens of known bow."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

BLADE_MM, RULER_MM, MARKS_MM = 280.0, 300.0, 250.0


@dataclass(frozen=True, eq=False)
class DrawnPhoto:
    """`grey`: uint8. Where things are, px: the ends of the edge, the two marks, the ruler's far edge."""

    grey: np.ndarray
    ends: tuple[tuple[float, float], tuple[float, float]]
    lowest_row: float
    marks: tuple[tuple[float, float], tuple[float, float]]
    far_edge_row: float

    @property
    def width(self) -> int:
        return self.grey.shape[1]

    def frame(self) -> tuple[tuple[int, int], tuple[int, int]]:
        """Columns and rows around the edge."""
        (left, a), (right, b) = self.ends
        edge = 0.006 * self.width
        top, bottom = min(a, b) - 2 * edge, self.lowest_row + 2 * edge
        return (int(left + edge), int(right - edge)), (int(top), int(bottom))

    def dials(self) -> dict[str, float]:
        """The same for the panel's dials, rounded as its sliders step."""
        (left, right), (top, bottom) = self.frame()
        rows, columns = self.grey.shape

        def percent(px: float, of: int, step: float) -> float:
            return round(100 * px / (of - 1) / step) * step

        (x1, y1), (x2, y2) = self.marks
        return {
            "top": percent(top, rows, 0.5),
            "bottom": percent(bottom, rows, 0.5),
            "left": percent(left, columns, 0.5) + 0.5,
            "right": percent(right, columns, 0.5) - 0.5,
            "mark_1_across": percent(x1, columns, 0.05),
            "mark_1_down": percent(y1, rows, 0.1),
            "mark_2_across": percent(x2, columns, 0.05),
            "mark_2_down": percent(y2, rows, 0.1),
            "ruler_mm": MARKS_MM,
        }


def drawn_photo(
    radius_mm: float,
    width: int = 1600,
    bow_share: float = 0.0,
    turn_deg: float = 0.0,
    seed: int = 0,
    share_of_width: float = 0.9,
    tall: float = 0.4,
) -> DrawnPhoto:
    """Draw one. `bow_share`: how far the middle of a line as long as the blade comes out lower than its ends,
    as a share of the picture's width. Each pixel holds the share of it that an edge covers.
    """
    height, scale = round(tall * width), share_of_width * width / RULER_MM  # px per mm
    turn = np.radians(turn_deg)
    row = np.arange(height, dtype=np.float32)[:, None]
    column = np.arange(width, dtype=np.float32)[None, :]
    middle, level = (width - 1) / 2, 0.45 * height
    half = BLADE_MM / 2 * scale

    def bowed(across):  # how far down the lens moves what is so far from the middle, px
        return bow_share * width * (1 - (across / half) ** 2)

    across = column - middle
    down = row - level - bowed(across)
    x = (across * np.cos(turn) + down * np.sin(turn)) / scale  # mm
    y = -(down * np.cos(turn) - across * np.sin(turn)) / scale

    def inside(distance_mm):  # the share of a pixel this far inside an edge
        return np.clip(distance_mm * scale + 0.5, 0, 1)

    edge = radius_mm - np.sqrt(radius_mm**2 - x**2)
    grey = np.full((height, width), 212.0, dtype=np.float32)
    steel = inside(y - edge) * inside(26.0 - y) * inside(BLADE_MM / 2 - np.abs(x))
    grey += steel * (96.0 - grey)
    ruler = inside(-12.0 - y) * inside(y + 32.0) * inside(RULER_MM / 2 - np.abs(x))
    grey += ruler * (236.0 - grey)
    from_mark = np.abs(x - 10 * np.round(x / 10))
    mark = inside(0.3 - from_mark) * inside(-12.0 - y) * inside(y + 20.0) * inside(146.0 - np.abs(x))
    grey += mark * (25.0 - grey)
    grey += 3 * np.random.default_rng(seed).standard_normal(grey.shape, dtype=np.float32)

    def place(x_mm, y_mm):
        a = (x_mm * np.cos(turn) + y_mm * np.sin(turn)) * scale
        d = (-y_mm * np.cos(turn) + x_mm * np.sin(turn)) * scale
        return float(middle + a), float(level + d + bowed(a))

    end = radius_mm - np.sqrt(radius_mm**2 - (BLADE_MM / 2) ** 2)
    return DrawnPhoto(
        grey=np.clip(np.round(grey), 0, 255).astype(np.uint8),
        ends=(place(-BLADE_MM / 2, end), place(BLADE_MM / 2, end)),
        lowest_row=max(place(t, radius_mm - np.sqrt(radius_mm**2 - t**2))[1] for t in range(-140, 141, 5)),
        marks=(place(-MARKS_MM / 2 - 5, -16.0), place(MARKS_MM / 2 - 5, -16.0)),
        far_edge_row=place(0, -32.0)[1],
    )
