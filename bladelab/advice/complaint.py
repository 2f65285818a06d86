"""What a fitter hears, in the words of a rink, and how often each cause is behind it.

Common practice; it has no source. The odds are our own round numbers and only put the checks in order.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from bladelab._checks import keep
from bladelab._values import by_value


@by_value
@dataclass(frozen=True, eq=False)
class Complaint:
    """What a fitter hears.

    Attributes
    ----------
    key : str
        As the book keeps it.
    said : str
        In a few words.
    heard : str
        As a skater says it.
    odds : mapping of str to float
        Key of a cause -> how often it is behind this complaint, against the others on the list.
    then : str
        What to do if it is none of them.
    notebook : str
        Where that leads, without its ending; may be empty.
    person : str
        Whom to ask then; may be empty if there is a notebook.
    """

    key: str
    said: str
    heard: str
    odds: Mapping[str, float]
    then: str
    notebook: str = ""
    person: str = ""

    def __post_init__(self) -> None:
        keep(self, odds=MappingProxyType(dict(self.odds)))


_SHAPE = "The steel is as it should be. Now a new shape is worth a thought: "

COMPLAINTS: dict[str, Complaint] = {
    complaint.key: complaint
    for complaint in (
        Complaint(
            "no bite",
            "no bite",
            "The edge won't bite.",
            {"dull": 8, "uneven": 4, "hollow": 3, "ice": 3, "burr": 2, "differ": 2, "bent": 1, "laces": 1},
            f"{_SHAPE}see what a deeper hollow does for the bite, and what it costs in glide.",
            notebook="02_the_hollow_and_the_bite",
        ),
        Complaint(
            "slips in the push",
            "slips in the push",
            "My foot slips out when I push.",
            {
                "dull": 7,
                "uneven": 4,
                "hollow": 3,
                "laces": 2,
                "ice": 2,
                "worn": 2,
                "differ": 2,
                "burr": 1,
                "bent": 1,
            },
            f"{_SHAPE}see which hollow holds at the lean of the push. A coach should watch the push as well.",
            notebook="05_push_hold_and_turn",
            person="a coach",
        ),
        Complaint(
            "wobbles",
            "wobbles",
            "I wobble, it won't run steady.",
            {
                "laces": 4,
                "loose": 3,
                "dull": 3,
                "new": 3,
                "bent": 2,
                "uneven": 2,
                "mounted": 2,
                "fit": 2,
                "worn": 2,
            },
            f"{_SHAPE}a flatter rocker is steadier. Start from what the skater wants.",
            notebook="09_choose_a_starting_blade",
        ),
        Complaint(
            "too much grip",
            "sticks: too much grip",
            "It sticks, I can't slide or stop.",
            {"hollow": 5, "new": 4, "burr": 3, "ice": 3, "uneven": 2, "dirt": 1, "differ": 1},
            f"{_SHAPE}see what a shallower hollow does, one step at a time.",
            notebook="08_match_the_hollow",
        ),
        Complaint(
            "hard to turn",
            "hard to turn",
            "I can't get it round.",
            {"dull": 4, "worn": 4, "new": 3, "pivot": 3, "hollow": 2, "laces": 2, "differ": 2, "ice": 1},
            f"{_SHAPE}see which single change turns tighter, and what else it does.",
            notebook="09_choose_a_starting_blade",
            person="a coach",
        ),
        Complaint(
            "pitches forward",
            "pitches me forward",
            "I fall onto my toes.",
            {"pivot": 5, "worn": 4, "new": 4, "mounted": 2, "laces": 2, "fit": 2},
            f"{_SHAPE}see how far the level point tips the boot, and which way.",
            notebook="04_balance_and_pitch",
        ),
        Complaint(
            "pitches back",
            "pitches me back",
            "I'm always on my heels.",
            {"pivot": 5, "worn": 4, "new": 4, "mounted": 2, "laces": 2, "fit": 2},
            f"{_SHAPE}see how far the level point tips the boot, and which way.",
            notebook="04_balance_and_pitch",
        ),
        Complaint(
            "left and right",
            "one skate feels different",
            "One skate isn't like the other.",
            {
                "differ": 5,
                "uneven": 4,
                "dull": 4,
                "laces": 3,
                "loose": 2,
                "bent": 2,
                "mounted": 2,
                "fit": 2,
                "pivot": 1,
            },
            "The steel is alike on both sides. A strong and a weak side are common: have a coach "
            "watch both. Pain or repeated falls to one side are for a clinician.",
            person="a coach",
        ),
        Complaint(
            "slow glide",
            "slow glide",
            "They don't run, I'm always behind.",
            {"ice": 5, "dirt": 3, "burr": 3, "hollow": 3, "dull": 2, "uneven": 2, "new": 1},
            f"{_SHAPE}see what slows the glide and how much of it a shallower hollow gives back.",
            notebook="06_glide",
        ),
        Complaint(
            "chatter",
            "chatters or makes a noise",
            "It chatters, it clicks.",
            {"loose": 5, "dull": 4, "burr": 3, "ice": 3, "bent": 2, "worn": 2, "dirt": 1},
            "The steel is tight, sharp and straight. Measure the edge for waves: a grinder can "
            "leave them and no eye sees them.",
            notebook="11_measure_a_blade",
        ),
        Complaint(
            "pulls to one side",
            "pulls to one side",
            "It won't run straight.",
            {"uneven": 6, "dull": 3, "bent": 3, "mounted": 3, "burr": 2, "laces": 2, "differ": 2, "loose": 1},
            "The steel runs true. Measure left against right once more, and have a coach watch how "
            "the skater stands over the skate.",
            notebook="12_left_and_right",
            person="a coach",
        ),
        Complaint(
            "hurts",
            "it hurts",
            "My feet or ankles hurt.",
            {"laces": 5, "fit": 5, "new": 2, "mounted": 1},
            "Pain or numbness is for a clinician, not for a grinder.",
            person="a clinician",
        ),
    )
}
