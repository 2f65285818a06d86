"""English as a coach says it at the bench and an engineer writes it: phrases that read as translated fail.

Each pattern has the plain words beside it. No source: the list is what readers marked.
"""

import json
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[1]

#: What reads as translated -> what to say instead.
INSTEAD = {
    r"\banew\b": "again, fresh; 're-profiled' of a shape",
    r"\bin the mean\b": "on average",
    r"\bgive or take\b": "±, or 'about'",
    r"\bnot to be had\b": "not available; say what there is",
    r"\bone day differs from the next\b": "day-to-day variation",
    r"\bwhat another day makes\b": "day-to-day variation",
    r"\bfrom one day to the next\b": "from day to day; 'day-to-day variation'",
    r"\basks? for another hollow\b": "needs a different hollow",
    r"\blean the choice\b|\bchoice should lean\b": "priority; which comes first",
    r"\bbeaten by no other\b": "nothing beats it; 'worth a look'",
    r"\bthe hand rests\b|\bwhile the hand\b|\ba hand has chosen\b": "nothing has moved; the user",
    r"\bhand(s|ed)? out\b": "give, yield, issue",
    r"\bfolded away\b": "hidden; collapsed",
    r"\bdrag a knob\b": "drag the handle",
    r"\btoo tall\b": "height exaggerated",
    r"\bdrawn (much )?too (round|large|wide)\b": "exaggerated",
    r"\btrue scale\b": "full size",
    r"\bshape that was asked for\b|\bhollow that was asked for\b": "the shape you ordered",
    r"\bground (back )?anew\b": "re-profiled",
    r"\bwhat came of it\b": "what worked; how it went",
    r"\bwhat is gone\b": "what came off",
    r"\bmust go\b(?! through)": "has to come off",
    r"\bstands? (over|under|in) (the )?(middle|load|contact|zone|ice)\b": "is",
    r"\bload (may )?stands?\b": "the load is, the weight is",
    r"\bstands? (the same|differently|proud of)\b": "sits",
    r"\b(numbers?|sources?|words?|cases?|lines?|text|button) stands? in\b": "is in, are in",
    r"\bas (it|they) stands?\b": "current; as it is",
    r"\bstands? (level|as rows?|beside|one)\b|\bwhere (it|the slider) stands\b": "is",
    r"\bkernel (has started and )?rests\b": "is idle",
    r"\b(run|runs|show|play) by (itself|themselves)\b": "on opening; on its own",
    r"\bof (its|their) own accord\b": "itself",
    r"\bis told of\b|\btold of\b": "reported",
    r"\btold apart by\b": "distinguished by",
    r"\bis said of\b": "we say",
    r"\bwent the way of\b": "agreed with",
    r"\bthe way of the model\b": "as the model says",
    r"\bis no number\b|\bis no date\b|\bis no text\b": "is not a ...",
    r"\bis no picture that\b": "is not a picture",
    r"\bof ours\b": "our own",
    r"\bof the house\b|\bthe house's\b": "our; internal (units)",
    r"\bhardly longer than one\b": "little longer than a single one",
    r"\bcut across\b": "in cross-section",
    r"\btakes? it along\b": "goes with it",
    r"\bbears alone|carries alone\b": "takes all the weight",
    r"\basks? for a moment of\b": "needs",
    r"\blonger than a breath\b": "more than a second or so",
    r"\bthe reader's telephone\b|\btelephones?\b": "phone",
    r"\bsave once more\b": "save again",
    r"\bat the price of\b": "at the cost of",
    r"\bhalf way\b": "halfway",
    r"\bgrants? (every|all|each|both) wish(es)?\b": "gives you, does as well on",
    r"\brunner is spent\b": "used up",
    r"\bwhole or not at all\b": "completely or not at all",
    r"\bdipped stretch\b": "the steel in the ice",
    r"\bthis room\b(?! reads| sees)|\brooms? for modules?\b": "this package",
    r"\bthe rest waits\b": "everything else waits",
    r"\bit can't tell which\b": "you won't know which",
    r"\bthe programme\b": "the code",
    r"\bsentences? under the pictures?\b": "that go with the picture: on a phone they are over it",
    r"\bon the right of the picture\b": "the second picture: on a phone it is below the first",
    r"\bno mathematics and no programming\b": "no maths and no programming needed",
}

# Each begins where a word does: looking only there takes a quarter of the time.
PATTERN = re.compile(rf"\b(?:{'|'.join(INSTEAD)})")

FOLDERS = ("bladelab", "lab", "tests", "tools", "notebooks", "data")

# A comment, or a literal without the letters in front of it.
SAID = re.compile(
    r"""#[^\n]*|\"{3}(?:[^"\\]|\\.|"(?!""))*+"{3}|'{3}(?:[^'\\]|\\.|'(?!''))*+'{3}"""
    r"""|"(?:[^"\\\n]|\\.)*+"|'(?:[^'\\\n]|\\.)*+'""",
    re.DOTALL,
)
# What may be between two that are one text.
BETWEEN = re.compile(r"\s*[rbfuRBFU]{0,2}")


def files() -> list[Path]:
    found = [*ROOT.glob("*.md"), *ROOT.glob("*.py")]
    for folder in FOLDERS:
        for ending in ("py", "md", "ipynb"):
            found += (ROOT / folder).rglob(f"*.{ending}")
    found += [ROOT / "bladelab" / "show" / "panel" / name for name in ("panel.js", "bar.js")]
    return sorted(
        path for path in found if ".ipynb_checkpoints" not in path.parts and path != Path(__file__).resolve()
    )


def prose(path: Path) -> Iterator[tuple[int, str]]:
    """The text that people read in a file, with its line: no names, no code."""
    text = path.read_text(encoding="utf-8")
    if path.suffix == ".ipynb":
        for number, cell in enumerate(json.loads(text)["cells"]):
            if cell["cell_type"] == "markdown":
                yield number, "".join(cell["source"])
    elif path.suffix == ".py":
        # Neighbouring literals are one text; comments on neighbouring lines too.
        run: list[re.Match] = []
        for found in SAID.finditer(text):
            alike = run and (run[-1][0][0] == "#") == (found[0][0] == "#")
            if run and not (alike and BETWEEN.fullmatch(text, run[-1].end(), found.start())):
                yield text.count("\n", 0, run[0].start()) + 1, joined(run)
                run = []
            run.append(found)
        if run:
            yield text.count("\n", 0, run[0].start()) + 1, joined(run)
    else:
        yield 1, text


def joined(run: list[re.Match]) -> str:
    """Literals or comments as the one text they make."""
    if run[0][0][0] == "#":
        return " ".join(found[0].lstrip("#: ") for found in run)
    return "".join(found[0].strip("\"'") for found in run)


def advice(text: str) -> list[str]:
    """What a text should say instead, phrase by phrase."""
    flat = " ".join(text.split())
    if not PATTERN.search(flat.lower()):
        return []
    return [
        f"{match[0]!r}: {plain}"
        for pattern, plain in INSTEAD.items()
        for match in re.finditer(pattern, flat, re.IGNORECASE)
    ]


def test_nothing_reads_as_translated():
    marked = [
        f"{path.relative_to(ROOT)}:{line}: {what}"
        for path in files()
        for line, text in prose(path)
        for what in advice(text)
    ]
    assert not marked, "\n".join(marked)


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("The groove is ground anew, in the\n    mean twice.", 2),
        ("Re-profiled twice, on average.", 0),
        ("More room on the page; the rest of the edge; stand on both skates.", 0),
        ("By one day differs from the next.", 1),
    ],
)
def test_phrases_are_found(text, count):
    assert len(advice(text)) >= count if count else advice(text) == []


def test_all_kinds_of_text_are_read(tmp_path):
    code = tmp_path / "sample.py"
    code.write_text('"""Doc."""\n# One\n# two.\nx = f("a " "b")\ny = anew\n', encoding="utf-8")
    assert list(prose(code)) == [(1, "Doc."), (2, "One two."), (4, "a b")]
    page = tmp_path / "sample.ipynb"
    page.write_text(
        json.dumps({"cells": [{"cell_type": "markdown", "source": ["Ground ", "anew"]}]}),
        encoding="utf-8",
    )
    assert list(prose(page)) == [(0, "Ground anew")]
