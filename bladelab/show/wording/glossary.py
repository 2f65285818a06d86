"""The words of the trade, each explained once: for the glossary on the first page and for the clinic."""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True)
class Word:
    """A word of the trade.

    Attributes
    ----------
    word : str
        Its stem: "sharpen" matches "sharpening" too.
    meaning : str
        In words that need no explaining themselves.
    told_by : str
        A pattern that matches a text which explains the word itself; empty if the clinic never uses the word.
    more : str
        What the glossary adds.
    heading : str
        What the glossary calls it, if not just the word.
    forms : str
        A pattern that finds the word, where the stem is not enough.
    """

    word: str
    meaning: str
    told_by: str = ""
    more: str = ""
    heading: str = ""
    forms: str = ""

    def used_in(self, text: str) -> bool:
        """Whether a text uses the word."""
        return bool(re.search(self.forms or rf"\b{self.word}", text, re.IGNORECASE))

    def explained_in(self, text: str) -> bool:
        """Whether a text itself says what the word means."""
        return bool(re.search(self.told_by, text, re.IGNORECASE))


GLOSSARY = (
    Word("rocker", "the curve of the blade from heel to toe", r"\bcurve"),
    Word(
        "radius",
        "the size of the circle a curve is cut from",
        r"\bcircle",
        more="large is flat, small is round",
        forms=r"\bradi(us|i)\b",
    ),
    Word("zone", "a stretch of the rocker with one radius"),
    Word("single", "one zone from heel to toe"),
    Word("stepped", "changing at one spot", r"at one spot", more="two zones meet there without a corner"),
    Word(
        "blended",
        "changing little by little",
        r"little by little",
        more="the radius goes gradually from one zone's to the next",
    ),
    Word(
        "level point",
        "the place where the edge is level when the boot is; the balance point",
        heading="level point, pivot",
    ),
    Word("runner", "the steel", more="its width is what the groove is ground across"),
    Word(
        "hollow",
        "the groove along the bottom",
        r"\bgroove",
        more="its radius is that of the groove's circle; a small radius is a deep groove",
        heading="hollow, radius of hollow",
    ),
    Word(
        "edge",
        "where groove and side meet",
        more="the active edge is the one the blade leans on",
        heading="edge, active edge",
    ),
    Word("edge radius", "how round an edge is: 0 is sharp, 0.05 mm is dull"),
    Word("bite", "how deep the edge sinks in", r"\bsinks? in"),
    Word("contact", "the stretch of edge that carries the skater"),
    Word("footprint", "the area of steel that carries the skater, seen from above"),
    Word("pitch", "how far the boot tips forward (toe down) or back"),
    Word("rock", "how many degrees the boot tips when the weight shifts 10 mm"),
    Word("lean", "how far the blade is tipped to its side", r"\bside\b"),
    Word(
        "stance",
        "how much load there is, where on the blade, and at what lean",
        more="a moment is a named stance, such as *tight turn*",
        heading="stance, moment",
    ),
    Word(
        "hold",
        "how far to the side you can push before the edge slips out",
        r"before the edge slips",
        more="as an angle, measured from the blade's plane",
        heading="hold, hold angle",
    ),
    Word("yaw hold", "the torque it takes to spin the blade out"),
    Word("glide", "coasting straight ahead on the blade"),
    Word("friction", "how much the ice slows you", r"ice slows"),
    Word(
        "drop test",
        "a steel ball dropped on the ice, whose crater says how hard the ice is",
        more="ice *as in a drop test* is as hard under a blade as under the ball",
    ),
    Word(
        "pressed",
        "of ice: softer the longer a blade bears on it",
        more="a dropped ball does for a third of a millisecond, a gliding blade for 4 to 15, one at rest for "
        "seconds",
        heading="pressed ice",
    ),
    Word("slow press", "the ball of a drop test pressed into the ice by a known load for some seconds"),
    Word("glide-out", "coasting past marks without a push, with the time at each"),
    Word("drag area", "how large a skater is to the air", more="smaller in a crouch"),
    Word(
        "pair",
        "one run on each of two blades, close together",
        more="in an order drawn at random; a block is four runs, ABBA or BAAB",
        heading="pair, block",
    ),
    Word("sharpen", "grind a fresh groove", r"\bgrind"),
    Word("burr", "a thin lip of steel that grinding leaves on an edge"),
    Word("versine", "the height of an arc over the straight line between two points on it"),
    Word("profile", "grind the rocker"),
    Word("re-profile", "grind the curve back to its shape", r"back to its curve|back to its shape"),
    Word("cut", "the steel to take off to get from one shape to another"),
    Word("single change", "a trial that differs from the present blade in one thing only"),
)

#: The words a clinic may use, which it then explains.
TAUGHT = {word.word: word for word in GLOSSARY if word.told_by}


def explained(text: str) -> list[str]:
    """Return "word: meaning" for each trade word that a text uses without explaining it."""
    return [
        f"{word.word}: {word.meaning}"
        for word in TAUGHT.values()
        if word.used_in(text) and not word.explained_in(text)
    ]


def glossary_table() -> str:
    """The glossary as a Markdown table, as in the notebook ``00_start_here``."""
    rows = [
        f"| **{word.heading or word.word}** | {'; '.join(filter(None, (word.meaning, word.more)))} |"
        for word in GLOSSARY
    ]
    return "\n".join(["| word | meaning |", "|---|---|", *rows])
