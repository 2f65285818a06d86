"""What was tested on the ice, in words."""

from __future__ import annotations

from bladelab._errors import InputError
from bladelab.book.rink_happenings import GlideMeasured, IceTested, Timed
from bladelab.rink.glide_compare import GlideDifference
from bladelab.show.wording.words import plus_minus


def said_of_rink(what: IceTested | GlideMeasured | Timed) -> str:
    """Say in one clause what a test on the ice found."""
    match what:
        case IceTested(rink=rink, crater_mm=craters):
            drop = what.drop
            count = f"{len(craters)} crater{'s' * (len(craters) != 1)}"
            hardness = plus_minus(drop.hardness_MPa, drop.standard_error_MPa, 1)
            return f"ice of rink {rink} tested: hardness {hardness} MPa by {count}"
        case GlideMeasured(time_s=runs):
            return f"glide measured over {len(runs)} run{'s' * (len(runs) != 1)}: {_glide(what)}"
        case Timed():
            return f"timed on two blades: {_timed(what)}"


def _glide(what: GlideMeasured) -> str:
    try:
        found = what.found
    except InputError:
        return "too little to tell the friction"
    if isinstance(found, GlideDifference):
        percent = 100 * found.difference / found.mu[0]
        low, high = (100 * end / found.mu[0] for end in found.interval)
        return f"friction {signed(percent)} % on the second blade ({signed(low)} to {signed(high)})"
    return f"friction {plus_minus(found.mu, found.mu_error, 4)} of the weight"


def _timed(what: Timed) -> str:
    session = what.session
    try:
        percent, low, high = session.result.percent
    except InputError:
        return f"{len(session.order.runs)} runs, too few to tell"
    runs = sum(time is not None for time in what.time_s)
    return f"{runs} runs, B took {signed(percent, 1)} % ({signed(low, 1)} to {signed(high, 1)})"


def signed(value: float, decimals: int = 0) -> str:
    """A number with its sign: ``"+2"``, ``"−2"``, ``"0"``."""
    text = f"{value:+.{decimals}f}"
    return ("0" if not float(text) else text).replace("-", "−")
