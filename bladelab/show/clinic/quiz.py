"""The quiz for the room: which of two blades is better at what, computed for its own skater, and why."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from bladelab.physics.balance import rock_deg
from bladelab.physics.contact import solve_contact
from bladelab.physics.glide import solve_friction
from bladelab.physics.glide_out import glide_out
from bladelab.physics.ice import Ice
from bladelab.physics.measures import SHIFT_MM
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import USUAL_HOLLOWS_MM, Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.clinic import everyday
from bladelab.show.clinic.lesson import moment
from bladelab.show.wording.units_shown import UNITS, Units
from bladelab.show.wording.words import capital
from bladelab.units import feet

PAIRS = 40
#: The room that nobody has described.
LENGTH_MM, WIDTH_MM, MASS_KG, ICE_C, QUIZ_SPEED_M_S = 280.0, 3.0, 60.0, -5.0, 5.0
#: Below this the two blades count as the same: nobody would feel it, or see it on the ice (our own choice).
SAME_PERCENT = 1.0
_GLIDE_STEPS = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0)
NOBODY = "not yet"
GUESSES = (NOBODY, "blade A", "blade B", "both the same")
#: For young players: the same questions without degrees and speeds.
_PLAINLY_ASKED = {
    "turn": "Tipped just as far, which draws the smaller circle?",
    "glide": "On one foot, just as fast at the start: which gets further?",
    "steady": "Your weight moves forward. On which can it go further before the boot tips?",
}


@dataclass(frozen=True)
class Question:
    """What may be asked of two blades.

    Attributes
    ----------
    key, text : str
        `text` as the room reads it.
    quantity : str
        As `UNITS` names it.
    more : bool
        Whether the larger number wins.
    said : str
        The number in a sentence, with ``{}`` for it.
    wins : str
        What the winner does.
    same : str
        What both do where nobody wins.
    bars : str
        What the bars of the answer show.
    """

    key: str
    text: str
    quantity: str
    more: bool
    said: str
    wins: str
    same: str
    bars: str


QUESTIONS = (
    Question(
        "turn",
        "Which turns tighter?",
        "distance",
        False,
        "draws a circle {}",
        "turns tighter",
        "turn just as tight",
        "how wide the circle is",
    ),
    Question(
        "glide",
        "Which glides further?",
        "distance",
        True,
        "glides about {}",
        "glides further",
        "glide just as far",
        "how far it glides",
    ),
    Question(
        "steady",
        "Which is steadier front to back?",
        "length",
        True,
        "lets the weight shift {} before the boot tips by 1°",
        "is steadier",
        "are just as steady",
        "how far the weight can shift",
    ),
    Question(
        "bite",
        "Which sinks in deeper?",
        "depth",
        True,
        "sinks in {}",
        "sinks in deeper",
        "sink in just as deep",
        "how deep it sinks in",
    ),
    Question(
        "steel",
        "Which has more steel on the ice?",
        "fine length",
        True,
        "has {} on the ice",
        "has more steel on the ice",
        "have just as much steel on the ice",
        "how much steel is on the ice",
    ),
)


@lru_cache(maxsize=64)
def pair(number: int, length_mm: float = LENGTH_MM) -> tuple[Blade, Blade]:
    """Return blades A and B of a pair, 1 to `PAIRS`, runners `length_mm` long: radii 7 to 14 ft, usual
    hollows; the same each time.

    In one pair of three only the rocker differs, in one only the hollow, in one both.
    """
    rng = np.random.default_rng(number)
    radii = [feet(float(r)) for r in rng.choice(np.arange(7, 15), 2, replace=False)]
    usual = [h for h in USUAL_HOLLOWS_MM if 9.0 < h < 26.0]
    hollows = [float(h) for h in rng.choice(usual, 2, replace=False)]
    if number % 3 == 1:
        hollows[1] = hollows[0]
    elif number % 3 == 2:
        radii[1] = radii[0]
    a, b = (
        Blade(Rocker.single(r, length_mm), Hollow(h, WIDTH_MM)) for r, h in zip(radii, hollows, strict=True)
    )
    return a, b


@lru_cache(maxsize=512)
def measure(key: str, blade: Blade, mass_kg: float = MASS_KG) -> float:
    """Return the number that decides a question for a blade under a skater: m or mm."""
    ice, glide, tight = Ice(ICE_C), moment("one-foot glide"), moment("tight turn")
    if key == "turn":
        return float(solve_contact(blade, tight.stance(mass_kg), ice, tight.gliding).carve_radius_m)
    if key == "glide":
        return float(glide_out(blade, glide.stance(mass_kg), ice, QUIZ_SPEED_M_S))
    if key == "steady":
        return float(SHIFT_MM / rock_deg(blade, moment("standing on both skates").stance(mass_kg), ice))
    contact = solve_contact(blade, glide.stance(mass_kg), ice, glide.gliding)
    return float(contact.depth_mm if key == "bite" else contact.length_mm)


def winner(question: Question, a: Blade, b: Blade, mass_kg: float = MASS_KG) -> str:
    """Return which of `GUESSES` is right, by the numbers of `measure`."""
    at_a, at_b = (measure(question.key, blade, mass_kg) for blade in (a, b))
    if abs(at_a / at_b - 1) * 100 < SAME_PERCENT:
        return "both the same"
    return "blade A" if (at_a > at_b) is question.more else "blade B"


def reason(question: Question, a: Blade, b: Blade, mass_kg: float = MASS_KG) -> str:
    """Say why, from the numbers of these two blades."""
    right = winner(question, a, b, mass_kg)
    if right == "both the same":
        return f"{_why_same(question, a, b)} Any difference is too small to feel."
    best, other = (a, b) if right == "blade A" else (b, a)
    if question.key == "turn":
        return "Tipped just as far, the rounder curve turns tighter, whatever the groove."
    if question.key == "steady":
        return "The flatter curve rolls less when the weight shifts; the groove hardly matters."
    deeper_groove = best.hollow.radius_mm < other.hollow.radius_mm
    flatter = best.rocker.zones[0].radius_mm > other.rocker.zones[0].radius_mm
    if question.key == "glide":
        return _why_further(best, other, mass_kg)
    if question.key == "bite":
        rounder = not flatter and best.rocker != other.rocker
        less = "its curve is rounder, so less steel carries the skater"
        causes = ["its groove is deeper"] * deeper_groove + [less] * rounder
    else:
        sinks = ["its groove is deeper, so it sinks in further"] * deeper_groove
        causes = ["its curve is flatter"] * flatter + sinks
    return f"{capital(' and '.join(causes))}." if causes else ""


def _why_same(question: Question, a: Blade, b: Blade) -> str:
    if a.rocker == b.rocker and question.key in ("turn", "steady"):
        return "Both have the same curve from heel to toe, and that decides it, not the groove."
    if a.rocker == b.rocker:
        return "Only the groove differs, and here that changes next to nothing."
    if a.hollow == b.hollow:
        return "Only the curve differs, and here that changes next to nothing."
    return "Curve and groove both differ, but here the one makes up for the other."


@lru_cache(maxsize=64)
def _why_further(best: Blade, other: Blade, mass_kg: float) -> str:
    stance = moment("one-foot glide").stance(mass_kg)
    here, there = (solve_friction(blade, stance, Ice(ICE_C), QUIZ_SPEED_M_S) for blade in (best, other))
    plough, film = there.plough - here.plough, there.film - here.film
    if plough >= film:
        why = "It presses a smaller track into the ice, and that costs less speed."
    else:
        why = "Its steel rubs less on the film of water under it, and that costs less speed."
    return f"{why} Air and rough ice stop both sooner; it is the difference that counts."


def say(question: Question, value: float, units: Units = UNITS) -> str:
    """The number that decides a question, in words: a circle by its width, a glide to about a hundredth."""
    if question.key == "turn":
        return f"{units.say(question.quantity, 2 * value)} across"
    if question.key == "glide":
        shown = units.shown(question.quantity, value)
        step = max(size for size in _GLIDE_STEPS if size <= shown * SAME_PERCENT / 100)
        return f"{step * round(shown / step):g} {units.unit(question.quantity)}"
    return units.say(question.quantity, value)


def said_plainly(question: Question, value: float) -> everyday.Like | None:
    """What young players are told in place of the number that decides a question; None where only the bars
    say it."""
    match question.key:
        case "turn":
            return everyday.circle(2 * value)
        case "bite":
            return everyday.thickness(value)
        case "steel":
            return everyday.puck_length(value)
    return None


def told(question: Question, a: Blade, b: Blade, mass_kg: float, units: Units, plain: bool) -> dict[str, str]:
    """What is said beside the bar of each blade: its number, or for young players what it is like."""
    values = {name: measure(question.key, blade, mass_kg) for name, blade in (("A", a), ("B", b))}
    if not plain:
        return {name: say(question, value, units) for name, value in values.items()}
    likes = {name: said_plainly(question, value) for name, value in values.items()}
    words = {name: like.words if like else "" for name, like in likes.items()}
    # The same comparison for both tells nothing: the bars do.
    return words if words["A"] != words["B"] else dict.fromkeys("AB", "")


def asked(question: Question, units: Units = UNITS, plain: bool = False) -> str:
    """The question at length; `plain` without degrees and speeds, for young players."""
    if plain and question.key in _PLAINLY_ASKED:
        return _PLAINLY_ASKED[question.key]
    return {
        "turn": f"Tipped {moment('tight turn').lean_deg:.0f}° to the side, which draws the smaller circle?",
        "glide": (
            f"On one foot from {units.say('speed', QUIZ_SPEED_M_S)} to {units.say('speed', 1.0)}, slowed by "
            "the ice alone, which gets further?"
        ),
        "steady": "On which can you shift further before the boot tips?",
        "bite": "Gliding on one foot, whose edges sink in deeper?",
        "steel": "Gliding on one foot, which has more length on the ice?",
    }[question.key]
