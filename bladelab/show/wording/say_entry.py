"""What happened to a skater and their steel, one sentence for each entry, in the units chosen."""

from __future__ import annotations

from bladelab.advice.causes import CAUSES
from bladelab.advice.complaint import COMPLAINTS
from bladelab.advice.trial import RATINGS
from bladelab.book.entry import Entry
from bladelab.book.happenings import (
    Circumstances,
    Complained,
    Decided,
    Happening,
    Joined,
    Struck,
    Tried,
)
from bladelab.book.history import HistoryLine
from bladelab.book.plan_happenings import NextDate, SeasonPlanned
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.book.steel_happenings import (
    LEFT_AND_RIGHT,
    Fitted,
    Ground,
    HollowMeasured,
    HollowStated,
    Measured,
    Ordered,
    Retired,
    Sharpened,
    Stated,
    SteelMeasured,
)
from bladelab.physics.ice import DROP_TEST_ICE
from bladelab.show.wording.say import say_blade, say_day, say_rocker
from bladelab.show.wording.say_rink import said_of_rink
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import capital, minus
from bladelab.workshop.gauge import GaugeReadings


def say_entry(entry: Entry) -> str:
    """Say in one sentence what happened, without the day: ``"Set S1 sharpened to 1/2 in."``."""
    return said_of(entry.what)


def said_of(what: Happening) -> str:
    """Say in one sentence what happened, before it is an entry."""
    return f"{capital(_said(what))}."


def say_line(line: HistoryLine) -> str:
    """Say a line of a history; one that was struck out says since when, and why."""
    said = say_entry(line.entry)
    if line.struck_by is None:
        return said
    assert isinstance(line.struck_by.what, Struck)
    why = f": {line.struck_by.what.why}" if line.struck_by.what.why else ""
    return f"Struck out on {say_day(line.struck_by.on)}{why}. It said: {said}"


def _said(what: Happening) -> str:
    match what:
        case Joined(team=team, moved=moved):
            if moved:
                return f"moved to team {team}" if team else "left the team"
            return f"joined team {team}" if team else "put into the book"
        case Circumstances():
            return _circumstances(what)
        case SteelMeasured(steel=steel):
            parts = [
                f"{name} {UNITS.say('fine length', value)}"
                for name, value in (
                    ("height", what.height_mm),
                    ("maker's minimum", what.least_mm),
                    ("width", what.width_mm),
                    ("length", what.length_mm),
                )
                if value is not None
            ]
            return f"set {steel}: {', '.join(parts)}" if parts else f"set {steel} put into the book"
        case Fitted(steel=steel, sides=sides):
            return f"set {steel} put on{_only(sides)}"
        case Retired(steel=steel):
            return f"set {steel} retired"
        case Stated(steel=steel, blade=blade, sides=sides):
            return f"set {steel}{_only(sides)} is said to be: {say_blade(blade)}; not measured"
        case HollowStated(steel=steel, hollow=hollow, sides=sides):
            groove = f"a hollow of {UNITS.say('hollow', hollow.radius_mm)}"
            return f"set {steel}{_only(sides)} is said to have {groove}; not measured"
        case Measured(steel=steel, side=side, edge=edge):
            how = "by versine gauge" if isinstance(edge, GaugeReadings) else "by height"
            count = len(edge.position_mm if isinstance(edge, GaugeReadings) else edge.x_mm)
            return f"set {steel}, {side} edge measured {how} at {count} places"
        case HollowMeasured(steel=steel, side=side, hollow_mm=hollow):
            said = UNITS.say("hollow", hollow)
            return f"set {steel}, hollow of the {side} edge measured: {said}{_between(what)}"
        case Ordered(steel=steel, target=target, sides=sides, tolerance_mm=tolerance):
            within = f"to within {tolerance:.3f} mm"
            return f"grinding of set {steel}{_only(sides)} ordered: {say_blade(target)}, {within}"
        case Ground(steel=steel, rocker=rocker, sides=sides, taken_mm=taken):
            return f"set {steel}{_only(sides)} profiled: {say_rocker(rocker)}{_taken(taken)}"
        case Sharpened(steel=steel, hollow_mm=hollow, sides=sides, taken_mm=taken):
            to = f" to a hollow of {UNITS.say('hollow', hollow)}" if hollow is not None else ""
            return f"set {steel}{_only(sides)} sharpened{to}{_taken(taken)}"
        case Decided(trial=trial, why=why):
            because = f"; why: {why}" if why else ""
            if trial is None:
                return f"the trial was called off{because}"
            return f"next to try: {say_blade(trial)}{because}"
        case Tried():
            return _tried(what)
        case Complained(about=about, side=side, found=found):
            said = COMPLAINTS[about].said if about in COMPLAINTS else about
            where = f" on the {side}" if side else ""
            causes = [_cause(key) for key, verdict in found.items() if verdict == "yes"]
            return f"complaint{where}: {said}" + (f"; found: {', '.join(causes)}" if causes else "")
        case SeasonPlanned():
            return _season(what)
        case NextDate(day=day):
            return f"to come back on {say_day(day)}" if day else "the date to come back was taken back"
        case IceTested() | GlideMeasured() | Timed() | Preferred():
            return said_of_rink(what)
        case Struck(entry=number, why=why):
            return f"entry {number} struck out{f': {why}' if why else ''}"
    raise AssertionError(f"nobody has words for {what!r:.60}")


def _between(what: HollowMeasured) -> str:
    """The radii that agree with a measured hollow."""
    if what.low_mm is None:
        return ""
    high = "a flat bottom" if what.high_mm is None else UNITS.say("hollow", what.high_mm)
    return f", by the reading from {UNITS.say('hollow', what.low_mm)} to {high}"


def _circumstances(what: Circumstances) -> str:
    parts = [
        f"{name} {UNITS.say(quantity, value)}"
        for name, quantity, value in (
            ("skater with equipment", "mass", what.mass_kg),
            ("ice", "temperature", what.temperature_C),
            ("usual glide", "speed", what.speed_m_s),
        )
        if value is not None
    ]
    if what.hours_per_week is not None:
        parts.append(f"{what.hours_per_week:g} h a week on the ice")
    if what.hardness is not None:
        parts.append("ice as in a drop test" if what.hardness == DROP_TEST_ICE else "pressed ice")
    if what.units:
        parts.append("numbers in metric units" if what.units == "metric" else f"numbers in {what.units}")
    return ", ".join(parts) or "nothing new"


def _season(what: SeasonPlanned) -> str:
    days = ", ".join(say_day(day) for day in what.reprofile_on)
    said = [
        f"season planned from {say_day(what.start)} to {say_day(what.end)}: sharpen every "
        f"{what.hours_per_sharpening:g} h on the ice",
        f"re-profile on {days}" if days else "no re-profile",
    ]
    if what.steel_until == what.end:
        said.append("the steel lasts that long")
    elif what.steel_until:
        said.append(f"the steel lasts until about {say_day(what.steel_until)}")
    return "; ".join(said)


def _tried(what: Tried) -> str:
    marks = [f"{RATINGS[key].key} {minus(str(value))}" for key, value in what.ratings.items()]
    rated = f"; rated {', '.join(marks)}" if marks else "; not rated"
    changed = f"; changed: {what.changed}" if what.changed else ""
    return f"skated on {say_blade(what.blade)}{changed}{rated}"


def _cause(key: str) -> str:
    return CAUSES[key].name if key in CAUSES else key


def _only(sides: tuple[str, ...]) -> str:
    return "" if set(sides) == set(LEFT_AND_RIGHT) else f" ({sides[0]} only)"


def _taken(taken_mm: float | None) -> str:
    return "" if taken_mm is None else f", {taken_mm:.2f} mm taken off"
