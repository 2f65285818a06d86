"""Make the invented book of a team of 18 over one season, by a fixed seed: `python tools/make_demo_book.py`.

Nobody in it is real. Each skater shows something that a page has to show: two sets of steel in turn, a runner
replaced, a skater who grows, a pair measured with a low spot, an order that is open and one that is checked,
trials with ratings, a set near its minimum, a season's plan, a date to come back, complaints, an entry
struck out.
"""

from __future__ import annotations

import datetime
from pathlib import Path

import numpy as np

from bladelab import Blade, Hollow, Rocker, Trace, Zone
from bladelab.book import happenings as happened
from bladelab.book.entry import Entry
from bladelab.book.invented import as_document
from bladelab.book.plan_happenings import NextDate, SeasonPlanned

FILE = Path(__file__).resolve().parents[1] / "data" / "demo" / "book.json"
FIRST, LAST = datetime.date(2025, 9, 1), datetime.date(2026, 3, 29)
TEAM = "U15"
CODES = [f"N{number:02d}" for number in range(1, 19)]
WIDTH_MM = 2.9
SWAPPED = "digits swapped"
#: The heights are read every 4 mm and rounded as a dial gauge shows them.
PLACES_MM = np.arange(-124.0, 124.1, 4.0)
TEN, NINE, ELEVEN = (Rocker.single(feet * 304.8, 280.0) for feet in (10, 9, 11))
ZONED = Rocker((Zone(2743.2, 80.0), Zone(3352.8, 120.0), Zone(2438.4, 80.0)))
HOLLOWS_MM = (12.7, 14.2875, 15.875, 19.05)


class Season:
    """The entries of one team, day by day."""

    def __init__(self) -> None:
        self.chance = np.random.default_rng(20250901)
        self.entries: list[Entry] = []

    def add(
        self, skater: str, day: datetime.date, *what: happened.Happening, note: str = "", by: str = ""
    ) -> None:
        """Write what happened on a day."""
        self.entries += [Entry(skater, day, one, note, by) for one in what]

    def day(self, week: float) -> datetime.date:
        """A day of the season."""
        return min(FIRST + datetime.timedelta(days=round(7 * week)), LAST)

    def trace(self, rocker: Rocker, spot: tuple[float, float] = (0.0, 0.0)) -> Trace:
        """An edge as read from a rail that is not quite parallel; a low spot of some mm at a place."""
        height, place = spot
        y = np.asarray(rocker.height_mm(PLACES_MM)) + height * np.exp(-(((PLACES_MM - place) / 12.0) ** 2))
        y = y + self.chance.normal(0.0, 0.004, len(y)) + self.chance.normal(0.0, 0.0008) * PLACES_MM
        return Trace(PLACES_MM, np.round(y - y.min(), 3), error_mm=0.004)


def book() -> list[Entry]:
    """All entries, numbered."""
    season = Season()
    for place, skater in enumerate(CODES):
        begin(season, skater, place)
    special(season)
    ordered = sorted(season.entries, key=lambda entry: entry.on)
    entries = [Entry(e.skater, e.on, e.what, e.note, e.by, n) for n, e in enumerate(ordered, 1)]
    wrong = next(entry for entry in entries if entry.note == SWAPPED)
    strike = happened.Struck(wrong.number, SWAPPED)
    return [*entries, Entry(wrong.skater, LAST, strike, number=len(entries) + 1)]


def main() -> None:
    """Write the book."""
    entries = book()
    FILE.write_text(as_document(entries), encoding="utf-8")
    print(f"{len(entries)} entries of {len(CODES)} invented skaters, {FILE.stat().st_size / 1000:.0f} kB")


def begin(season: Season, skater: str, place: int) -> None:
    """What every skater has: weight, steel, a shape, and a sharpening every so often."""
    chance = season.chance
    mass = float(np.round(chance.uniform(44, 78), 1))
    hours = float(chance.choice([4.0, 5.0, 6.0, 7.5]))
    hollow = float(chance.choice(HOLLOWS_MM))
    rocker = [TEN, NINE, TEN, ELEVEN, ZONED][place % 5]
    season.add(
        skater,
        season.day(0),
        happened.Joined(TEAM),
        happened.Circumstances(mass_kg=mass, temperature_C=-5.5, speed_m_s=6.0, hours_per_week=hours),
        happened.SteelMeasured("S1", height_mm=float(np.round(chance.uniform(12.5, 14.5), 1)), least_mm=9.0),
        happened.Fitted("S1"),
        happened.Stated("S1", Blade(rocker, Hollow(hollow, WIDTH_MM))),
    )
    week = float(chance.uniform(0.5, 2.0))
    every = 6.0 / hours * (1.0 if place % 4 else 2.4)  # some come too seldom
    while week < 29.5:
        taken = float(np.round(chance.normal(0.05, 0.012), 3))
        steel = "S2" if skater == "N03" and int(week / 2) % 2 else "S1"
        if not (skater in ("N05", "N07") and week > 14):
            season.add(
                skater,
                season.day(week),
                happened.Sharpened(steel, hollow, taken_mm=max(taken, 0.02)),
                by="rink",
            )
        week += every * float(chance.uniform(0.8, 1.3))
    if place % 6 == 5:
        season.add(skater, season.day(15), happened.Ground("S1", rocker, taken_mm=0.21), by="shop")


def special(season: Season) -> None:
    """What only one or two of them have."""
    add, day = season.add, season.day
    add("N01", day(3), happened.Complained("no bite", "left", {"dull": "yes"}))
    add("N02", day(20), happened.Measured("S1", "left", season.trace(NINE)))
    add("N02", day(20), happened.Measured("S1", "right", season.trace(NINE, (0.05, 58.0))))
    add("N03", day(0.5), happened.SteelMeasured("S2", height_mm=13.8, least_mm=9.0))
    add("N03", day(0.5), happened.Stated("S2", Blade(TEN, Hollow(15.875, WIDTH_MM))))
    for week in range(2, 30, 2):
        add("N03", day(week), happened.Fitted("S2" if week % 4 else "S1"))
    target = Blade(ZONED, Hollow(15.875, WIDTH_MM))
    add("N04", day(28.0), happened.Measured("S1", "left", season.trace(ELEVEN)))
    add("N04", day(28.0), happened.Measured("S1", "right", season.trace(ELEVEN)))
    add("N04", day(28.5), happened.Decided(target, "quicker at the toe"), happened.Ordered("S1", target))
    add("N05", day(14), happened.Retired("S1"), happened.SteelMeasured("S2", 15.0, 9.0), note="runner bent")
    add("N05", day(14), happened.Fitted("S2"), happened.Stated("S2", Blade(ZONED, Hollow(12.7, WIDTH_MM))))
    add("N05", day(20), happened.Sharpened("S2", 12.7, taken_mm=0.05), by="rink")
    add("N06", day(29.9), happened.Complained("wobbles", "", {}))
    for week, mass in ((8, 47.5), (16, 50.0), (24, 53.5)):
        add("N07", day(week), happened.Circumstances(mass_kg=mass), note="on the scales")
    add("N07", day(14), happened.Retired("S1"), happened.SteelMeasured("S2", 14.2, 9.0), note="outgrown")
    longer = Blade(Rocker.single(3048.0, 288.0), Hollow(15.875, WIDTH_MM))
    add("N07", day(14), happened.Fitted("S2"), happened.Stated("S2", longer))
    add("N07", day(22), happened.Sharpened("S2", 15.875, taken_mm=0.06), by="rink")
    order = Blade(TEN, Hollow(12.7, WIDTH_MM))
    for side in ("left", "right"):
        add("N09", day(10), happened.Measured("S1", side, season.trace(ELEVEN)))
    add("N09", day(10.5), happened.Ordered("S1", order, tolerance_mm=0.04))
    add("N09", day(11), happened.Ground("S1", TEN, taken_mm=0.34), by="shop")
    add("N09", day(11.2), happened.Measured("S1", "left", season.trace(TEN)))
    add("N09", day(11.2), happened.Measured("S1", "right", season.trace(TEN, (0.07, -70.0))))
    trials(season)
    add("N12", day(29), happened.SteelMeasured("S1", height_mm=9.6), note="near the minimum")
    add("N13", day(29), happened.Decided(Blade(ELEVEN, Hollow(15.875, WIDTH_MM)), "steadier when gliding"))
    add("N16", day(6), happened.Circumstances(mass_kg=96.0), note=SWAPPED)
    plan = SeasonPlanned(day(12), LAST, (day(29.5),), hours_per_sharpening=8.0, steel_until=LAST)
    add("N08", day(12), plan)
    add("N10", day(25), NextDate(day(29.8)), note="new boots by then")


def trials(season: Season) -> None:
    """Three blades in turn, one thing changed at a time."""
    steps = (
        (TEN, 12.7, "first trial", (3, 4, 3, 3, 0)),
        (ELEVEN, 12.7, "radius of the rocker", (4, 4, 3, 4, 0)),
        (ELEVEN, 15.875, "hollow", (4, 3, 3, 4, 0)),
    )
    for number, (rocker, hollow, changed, marks) in enumerate(steps):
        keys = ("glide", "hold", "turning", "steadiness", "balance")
        ratings = dict(zip(keys, marks, strict=True))
        blade = Blade(rocker, Hollow(hollow, WIDTH_MM))
        conditions = {"mass_kg": 61.0, "temperature_C": -5.5, "speed_m_s": 6.0}
        tried = happened.Tried(blade, ratings, changed=changed, **conditions)
        season.add("N11", season.day(18 + 3 * number), tried)


if __name__ == "__main__":
    main()
