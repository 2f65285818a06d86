"""What was tested on the ice, in words."""

from __future__ import annotations

from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.entry import Entry
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Preferred, Timed
from bladelab.rink.glide_compare import GlideDifference
from bladelab.rink.press_test import exponent_between
from bladelab.show.wording.say import say_blade, say_day
from bladelab.show.wording.say_card import as_sentences
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import counted, plus_minus, signed

#: At most so many glide-outs, and so many timed trials, are on a skater's sheet.
_MOST_TOLD = 2
_LIKELY = 0.05


def said_of_rink(what: IceTested | GlideMeasured | Timed | Preferred) -> str:
    """Say in one clause what a test on the ice found."""
    match what:
        case IceTested(rink=rink, crater_mm=craters):
            drop = what.drop
            count = counted(len(craters), "crater")
            hardness = plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1)
            return f"ice of rink {rink} tested: hardness {hardness} MPa by {count}{_pressed(what)}"
        case GlideMeasured(time_s=runs):
            return f"glide measured over {counted(len(runs), 'run')}: {_glide(what)}"
        case Timed(drill=drill):
            return f"timed on two blades{drill and f', {drill}'}: {_timed(what)}"
        case Preferred():
            return f"blind pairs on two blades: {_preferred(what)}"


def _pressed(what: IceTested) -> str:
    """What the slow press beside it found; nothing without one."""
    press = what.press
    if press is None:
        return ""
    hardness = plus_minus(press.hardness_MPa, press.standard_error_MPa, 1)
    return f"; pressed for {press.loading_time_s:g} s, {hardness} MPa"


def softening_said(what: IceTested) -> str:
    """``"24 %"``: how much softer this ice is each time it is pressed ten times as long; nothing without a
    slow press."""
    if what.press is None:
        return ""
    return f"{100 * (1 - 10 ** -exponent_between(what.drop, what.press).value):.0f} %"


def _preferred(what: Preferred) -> str:
    found = what.found
    undecided = f", {what.neither} undecided" if what.neither else ""
    shown = "a preference" if found.p < _LIKELY else "may be the toss of a coin"
    return f"B preferred {counted(what.for_b, 'time')}, A {what.for_a}{undecided}; {shown}"


def _glide(what: GlideMeasured) -> str:
    try:
        found = what.found
    except InputError:
        return "too little to tell the friction"
    if isinstance(found, GlideDifference):
        percent, low, high = found.percent
        between = f"{signed(low)} to {signed(high)}; {_verdict(low, high)}"
        return f"friction {signed(percent)} % on the second blade ({between})"
    return f"friction {plus_minus(found.mu, found.mu_error, 4)} of the weight"


def _timed(what: Timed) -> str:
    session = what.session
    try:
        percent, low, high = session.result.percent
    except InputError:
        return f"{len(session.order.runs)} runs, too few to tell"
    runs = sum(time is not None for time in what.time_s)
    between = f"{signed(low, 1)} to {signed(high, 1)}; {_verdict(low, high)}"
    return f"{runs} runs, B took {signed(percent, 1)} % ({between})"


def newest_on_ice(card: Card) -> str:
    """The last test of the ice, glide-out, timed trial and blind pairs on a card, a sentence each; empty for
    none."""
    last = (card.ice, *card.glides[-1:], *card.timed[-1:], *card.preferred[-1:])
    newest = [entry for entry in last if entry is not None]
    return as_sentences(f"{say_day(entry.on)}: {_short(entry)}" for entry in newest)


def _short(entry: Entry) -> str:
    what = entry.what
    assert isinstance(what, IceTested | GlideMeasured | Timed | Preferred)
    return said_of_rink(what)


def measured_on_ice(card: Card) -> list[str]:
    """What was measured on the ice, a few lines for the skater: the last test of the ice, and the newest
    glide-outs, timed trials and blind pairs; none for a card without any.
    """
    lines = [] if card.ice is None else [_ice_line(card.ice)]
    for entries, say, name in (
        (card.glides, _glide_line, "glide-out"),
        (card.timed, _timed_line, "timed trial"),
        (card.preferred, _preferred_line, "trial in blind pairs"),
    ):
        lines += [say(entry) for entry in reversed(entries[-_MOST_TOLD:])]
        if (more := len(entries) - _MOST_TOLD) > 0:
            lines.append(f"On the card: {counted(more, f'earlier {name}')}.")
    return lines


def _ice_line(entry: Entry) -> str:
    what = entry.what
    assert isinstance(what, IceTested)
    drop, craters = what.drop, counted(len(what.crater_mm), "crater")
    hardness = plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1)
    cold = "" if what.temperature_C is None else f", at {UNITS.say('temperature', what.temperature_C)}"
    return (
        f"Ice of rink {what.rink}, {say_day(entry.on)}: hardness {hardness} MPa by {craters}{cold}"
        f"{_pressed(what)}."
    )


def _glide_line(entry: Entry) -> str:
    what = entry.what
    assert isinstance(what, GlideMeasured)
    head = f"Glide-out, {say_day(entry.on)}, {counted(len(what.time_s), 'run')}"
    try:
        found = what.found
    except InputError:
        return f"{head}: too little to tell the friction."
    area = f"drag area {area_said(found.cda_m2, found.cda_error)}"
    if not isinstance(found, GlideDifference):
        return f"{head}: friction {plus_minus(found.mu, found.mu_error, 4)} of the weight, {area}."
    first, second = (plus_minus(*pair, 4) for pair in zip(found.mu, found.mu_error, strict=True))
    percent, low, high = found.percent
    return (
        f"{head}: friction {first} of the weight on the first blade and {second} on the second, {area}. "
        f"Difference {signed(percent)} % ({signed(low)} to {signed(high)}): {_verdict(low, high)}."
        f"{_which(what, 'First', 'Second')}"
    )


def _timed_line(entry: Entry) -> str:
    what = entry.what
    assert isinstance(what, Timed)
    runs = sum(time is not None for time in what.time_s)
    drill = f", {what.drill}" if what.drill else ""
    head = f"Timed trial, {say_day(entry.on)}{drill}, {runs} runs"
    try:
        percent, low, high = what.session.result.percent
    except InputError:
        return f"{head}: too few to tell.{_which(what, 'A', 'B')}"
    more = "more" if percent > 0 else "less"
    took = (
        f"B took {abs(percent):.1f} % {more} time than A" if abs(percent) >= 0.05 else "B took as long as A"
    )
    return (
        f"{head}: {took} ({signed(low, 1)} to {signed(high, 1)} %): {_verdict(low, high)}."
        f"{_which(what, 'A', 'B')}"
    )


def _preferred_line(entry: Entry) -> str:
    what = entry.what
    assert isinstance(what, Preferred)
    return f"Blind pairs, {say_day(entry.on)}: {_preferred(what)}.{_which(what, 'A', 'B')}"


def _verdict(low: float, high: float) -> str:
    return "not shown, it may be chance" if low <= 0 <= high else "shown"


def _which(what: GlideMeasured | Timed | Preferred, first: str, second: str) -> str:
    named = ((first, what.first), (second, what.second))
    return "".join(f" {name}: {say_blade(blade)}." for name, blade in named if blade is not None)


def area_said(area_m2: float, error_m2: float) -> str:
    """A drag area with its error, in the units chosen: ``"0.45 ± 0.07 m²"``."""
    value, error = UNITS.shown("area", area_m2), UNITS.shown("area", error_m2)
    return f"{plus_minus(value, error, UNITS.scale('area').decimals)} {UNITS.unit('area')}"
