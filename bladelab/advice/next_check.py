"""From a complaint to the next check: what is most likely for the trouble it takes, given what is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from bladelab._checks import kind, number, one_of
from bladelab._errors import InputError
from bladelab._values import by_value
from bladelab.advice.causes import CAUSES, Cause
from bladelab.advice.complaint import COMPLAINTS, Complaint

#: When steel counts as just sharpened, and as long overdue; when a change counts as recent (our own round
#: numbers, no source).
FRESH_DAYS, FRESH_HOURS = 2, 2.0
OVERDUE_DAYS, OVERDUE_HOURS = 42, 20.0
RECENT_DAYS = 14

SKATES = ("", "left", "right")
_HURTS = "Pain or numbness that stays is for a clinician, whatever the checks say."


@dataclass(frozen=True)
class Facts:
    """What is known of the skate before anyone looks at it; None for what nobody said.

    Parameters
    ----------
    days_since_sharpened : float, optional
        0 to 36500.
    hours_since_sharpened : float, optional
        Hours on the ice since then, 0 to 100000; with the days, the hours count.
    days_since_ground : float, optional
        Since it was last profiled.
    days_since_new_steel : float, optional
        Since it replaced other steel.
    hollows_mm : (float, float), optional
        The hollow on the left and on the right, mm.
    new_boots, other_ice : bool
        Whether boots or insoles are new; whether it is ice that the skater isn't used to.

    Raises
    ------
    ValueError
        If a number is out of range or something is of the wrong kind.

    Examples
    --------
    >>> Facts(days_since_sharpened=1).fresh
    True
    """

    days_since_sharpened: float | None = None
    hours_since_sharpened: float | None = None
    days_since_ground: float | None = None
    days_since_new_steel: float | None = None
    hollows_mm: tuple[float, float] | None = None
    new_boots: bool = False
    other_ice: bool = False

    def __post_init__(self) -> None:
        for name in ("days_since_sharpened", "days_since_ground", "days_since_new_steel"):
            if (days := getattr(self, name)) is not None:
                number(name, days, "days", 0.0, 36500.0)
        if self.hours_since_sharpened is not None:
            number("hours_since_sharpened", self.hours_since_sharpened, "h", 0.0, 1e5)
        if self.hollows_mm is not None:
            both = kind("hollows_mm", self.hollows_mm, tuple, "the hollow on the left and on the right")
            if len(both) != 2:
                raise InputError(f"hollows_mm has {len(both)} numbers; it must have 2, left and right")
            for hollow in both:
                number("hollows_mm", hollow, "mm", 1.0, 200.0)
        for name in ("new_boots", "other_ice"):
            kind(name, getattr(self, name), bool, "True or False")

    @property
    def fresh(self) -> bool:
        """Whether it was just sharpened."""
        days, hours = self.days_since_sharpened, self.hours_since_sharpened
        return hours <= FRESH_HOURS if hours is not None else days is not None and days <= FRESH_DAYS

    @property
    def overdue(self) -> bool:
        """Whether it should have been sharpened long ago."""
        days, hours = self.days_since_sharpened, self.hours_since_sharpened
        return hours >= OVERDUE_HOURS if hours is not None else days is not None and days >= OVERDUE_DAYS


@dataclass(frozen=True)
class Rung:
    """One cause on the list of a complaint.

    Attributes
    ----------
    cause : Cause
    said : str
        What the check said: ``"yes"``, ``"no"``, or ``""`` while nobody has made it.
    odds : float
        How likely it is against the others, with what is known.
    because : str
        What is known that makes it more likely; may be empty.
    """

    cause: Cause
    said: str
    odds: float
    because: str


@by_value
@dataclass(frozen=True, eq=False)
class Advice:
    """What to do about a complaint now.

    Attributes
    ----------
    complaint : Complaint
    side : str
        ``"left"``, ``"right"``, or ``""`` for both skates.
    ladder : tuple of Rung
        Every cause, in the order in which to check them; those already checked too.
    next : Cause or None
        What to check now; None once something was found, or once the list has run out.
    sentence : str
        What to do, in plain words.
    notebook : str
        The notebook that helps with that, without its ending; may be empty.
    person : str
        Who helps with that; may be empty.
    """

    complaint: Complaint
    side: str
    ladder: tuple[Rung, ...]
    next: Cause | None
    sentence: str
    notebook: str
    person: str

    @property
    def found(self) -> tuple[Cause, ...]:
        """The causes that the checks confirmed."""
        return tuple(rung.cause for rung in self.ladder if rung.said == "yes")


_NOTHING: Mapping[str, str] = MappingProxyType({})


def next_check(
    complaint: str, side: str = "", found: Mapping[str, str] = _NOTHING, facts: Facts | None = None
) -> Advice:
    """Say what to check next.

    Definition
    ----------
    Causes are checked by falling odds / minutes: where one of them is to blame, no other order takes less
    time on average (the rule of Smith 1956 and Mitten 1960; from memory). The facts multiply the odds by
    round numbers of our own. A check that confirms its cause ends the search: one change at a time.

    Parameters
    ----------
    complaint : str
        A key of `COMPLAINTS`.
    side : str
        ``"left"``, ``"right"``, or ``""`` for both. What always concerns both skates can't be behind a
        complaint about one, and is left out.
    found : mapping of str to str
        Key of a cause -> ``"yes"`` or ``"no"``, for the checks that were made. One that isn't on the list of
        this complaint is ignored.
    facts : Facts, optional

    Returns
    -------
    Advice

    Raises
    ------
    ValueError
        If there is no such complaint, side, cause or answer.

    Examples
    --------
    >>> next_check("no bite", "left").next.check
    'look along both edges under a lamp'
    >>> next_check("no bite", "left", facts=Facts(days_since_sharpened=1)).next.check
    'ask which hollow was ground'
    """
    about = COMPLAINTS[one_of("the complaint", complaint, COMPLAINTS)]
    if not isinstance(side, str) or side not in SKATES:
        raise InputError(f"the side is {side!r:.60}; it must be left, right, or empty for both")
    for cause, said in kind("found", found, Mapping, "a mapping of causes to yes or no").items():
        one_of("the cause", cause, CAUSES)
        if said not in ("yes", "no"):
            raise InputError(f"the check of {cause!r} says {said!r:.60}; it must be yes or no")
    known = Facts() if facts is None else kind("facts", facts, Facts)
    ladder = _ladder(about, side, found, known)
    waiting = [rung for rung in ladder if not rung.said]
    confirmed = [rung.cause for rung in ladder if rung.said == "yes"]
    if confirmed:
        told = " ".join(f"Found: {cause.name}. {cause.yes}" for cause in confirmed)
        sentence = f"{told} Change nothing else until you have skated it."
        following, leads = None, confirmed[0]
        notebook, person = leads.notebook, leads.person
    elif waiting:
        following = waiting[0].cause
        sentence = _asked(waiting[0], first=len(waiting) == len(ladder))
        notebook, person = following.notebook, following.person
    else:
        following, sentence = None, f"Every check says no. {about.then}"
        notebook, person = about.notebook, about.person
    if complaint == "hurts" and "clinician" not in sentence:
        sentence += f" {_HURTS}"
    return Advice(about, side, ladder, following, sentence, notebook, person)


def _asked(rung: Rung, first: bool) -> str:
    cause = rung.cause
    time = "a minute" if cause.minutes <= 1 else f"{cause.minutes:.0f} minutes"
    because = f", because {rung.because}" if rung.because else ""
    return f"{'First' if first else 'Next'}: {cause.check} (about {time}){because}. {cause.how}"


def _ladder(about: Complaint, side: str, found: Mapping[str, str], facts: Facts) -> tuple[Rung, ...]:
    odds = {key: float(share) for key, share in about.odds.items() if not (side and CAUSES[key].both)}
    reasons: dict[str, str] = {}
    for because, factors in _known(facts):
        for key, factor in factors.items():
            if key in odds:
                odds[key] *= factor
                if factor > 1:
                    reasons.setdefault(key, because)
    rungs = [Rung(CAUSES[key], found.get(key, ""), odds[key], reasons.get(key, "")) for key in odds]
    return tuple(sorted(rungs, key=lambda rung: -rung.odds / rung.cause.minutes))


def _known(facts: Facts) -> list[tuple[str, dict[str, float]]]:
    """What each known fact does to the odds, and how to say it. Our own round numbers, no source."""
    known: list[tuple[str, dict[str, float]]] = []
    if facts.fresh:
        told = "it was just sharpened"
        if facts.days_since_sharpened is not None:
            told = f"it was sharpened {_ago(facts.days_since_sharpened)}"
        known.append((told, {"dull": 0.15, "hollow": 8, "burr": 2, "uneven": 2}))
    if facts.overdue:
        if facts.hours_since_sharpened is not None:
            told = f"it was last sharpened about {facts.hours_since_sharpened:.0f} hours of ice ago"
        else:
            told = f"it was last sharpened {_ago(facts.days_since_sharpened or 0)}"
        known.append((told, {"dull": 8, "burr": 0.2, "hollow": 0.5}))
    if (days := facts.days_since_ground) is not None and days <= RECENT_DAYS:
        told = f"it was profiled {_ago(days)}"
        known.append((told, {"pivot": 4, "new": 3, "differ": 2, "worn": 0.3}))
    if (days := facts.days_since_new_steel) is not None and days <= RECENT_DAYS:
        told = f"new steel went on {_ago(days)}"
        known.append((told, {"mounted": 4, "new": 4, "loose": 2, "worn": 0.1, "bent": 0.3}))
    if facts.new_boots:
        known.append(("the boots are new", {"fit": 4, "new": 4, "laces": 3, "mounted": 2}))
    if facts.other_ice:
        known.append(("the ice isn't what the skater is used to", {"ice": 6}))
    if facts.hollows_mm and abs(facts.hollows_mm[0] / facts.hollows_mm[1] - 1) > 0.01:
        known.append(("the hollows differ, left and right", {"differ": 4, "hollow": 4}))
    return known


def _ago(days: float) -> str:
    whole = round(days)
    return {0: "today", 1: "yesterday"}.get(whole, f"{whole} days ago")
