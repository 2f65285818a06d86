"""Invented cards to print from."""

from __future__ import annotations

import datetime

import numpy as np

from bladelab import Blade, Hollow, Rocker, Trace, Zone
from bladelab._data import data_file
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.fold import card_of
from bladelab.book.rink_happenings import IceTested, Timed
from bladelab.rink.reading import read_glide_times, read_session

DAY = datetime.date(2026, 11, 3)


TEN, NINE = (Blade(Rocker.single(304.8 * feet, 280.0), Hollow(12.7, 3.0)) for feet in (10, 9))
SHAPED = Blade(
    Rocker((Zone(2590.8, 90), Zone(3352.8, 110), Zone(1828.8, 80)), 20.0, 5.0), Hollow(15.875, 3.0)
)


RUNS = read_glide_times(data_file("demo/glide_outs.csv"))


SESSION = read_session(data_file("demo/timed_session.csv"))


TIMED = Timed.of(SESSION, TEN, SHAPED)


ICE = IceTested("R1", 12.7, 1.0, (9.8, 10.1, 9.9, 10.0, 10.2), temperature_C=-5.0)


#: Points: A4 is 210 x 297 mm (ISO 216), Letter 8.5 x 11 in (ANSI/ASME Y14.1, size A).
POINTS = {"A4": (210 / 25.4 * 72, 297 / 25.4 * 72), "Letter": (612.0, 792.0)}


def card(*happenings: object, skater: str = "K07") -> Card:
    entries = [Entry(skater, DAY, what, number=i) for i, what in enumerate(happenings, 1)]  # type: ignore[arg-type]
    return card_of(skater, entries)


def edge_of(radius_mm: float, level_mm: float) -> Trace:
    x = np.linspace(-125.0, 125.0, 126)
    scatter = 0.003 * np.cos(1e4 * np.arange(126.0) ** 2)
    return Trace(x, Rocker.single(radius_mm, 280.0, level_mm).height_mm(x) + scatter, error_mm=0.003)
