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
        As it begins in a sentence: "sharpen" is found in "sharpening" too.
    meaning : str
        In words that need no explanation themselves.
    told_by : str
        The pattern that tells that a text explains the word itself; empty if the clinic never uses the word.
    more : str
        What the glossary adds.
    heading : str
        How the glossary calls it, if not by the word alone.
    forms : str
        The pattern that finds the word, if it does not merely begin with `word`.
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
        """Whether a text says itself what the word means."""
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
    Word("single", "with one zone from heel to toe"),
    Word("stepped", "changed at one spot", r"at one spot", more="two zones meet there without a corner"),
    Word(
        "blended",
        "changed little by little",
        r"little by little",
        more="between two zones the radius goes from one to the other",
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
        more="the active one is the one the blade leans on",
        heading="edge, active edge",
    ),
    Word("bite", "how deep the edge sinks in", r"\bsinks? in"),
    Word("contact", "the stretch of edge that carries the skater"),
    Word("footprint", "the area of steel that carries the skater, seen from above"),
    Word("pitch", "how far the boot tips forward (toe down) or back"),
    Word("rock", "how many degrees the boot tips when the weight shifts 10 mm"),
    Word("lean", "how far the blade is tipped to its side", r"\bside\b"),
    Word(
        "stance",
        "how much load stands where, at which lean",
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
    Word("yaw hold", "the moment that keeps the blade from spinning out"),
    Word("glide", "running straight on the blade"),
    Word("friction", "how much the ice slows you", r"ice slows"),
    Word("sharpen", "grind the groove anew", r"\bgrind"),
    Word("profile", "grind the rocker"),
    Word("re-profile", "grind the curve anew", r"back to its curve|curve anew", more="back to its shape"),
    Word("cut", "the steel to remove to get from one shape to another"),
    Word("single change", "a trial that differs from the present blade in one thing only"),
)

#: The words that a clinic may use, and then explains.
TAUGHT = {word.word: word for word in GLOSSARY if word.told_by}


def explained(text: str) -> list[str]:
    """Return "word: meaning" for each word of the trade that a text uses and does not explain itself."""
    return [
        f"{word.word}: {word.meaning}"
        for word in TAUGHT.values()
        if word.used_in(text) and not word.explained_in(text)
    ]


def glossary_table() -> str:
    """The glossary as a table in Markdown, as it stands in the notebook ``00_start_here``."""
    rows = [
        f"| **{word.heading or word.word}** | {'; '.join(filter(None, (word.meaning, word.more)))} |"
        for word in GLOSSARY
    ]
    return "\n".join(["| word | meaning |", "|---|---|", *rows])
