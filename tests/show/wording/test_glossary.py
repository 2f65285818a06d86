"""One glossary: the first page shows it from the library, and every page leads to it."""

import re
from pathlib import Path

import nbformat
import pytest

from bladelab.show.wording.glossary import GLOSSARY, TAUGHT, explained, glossary_table

NOTEBOOKS = sorted((Path(__file__).resolve().parents[3] / "notebooks").glob("*.ipynb"))


def prose(path: Path) -> str:
    cells = nbformat.read(path, as_version=4).cells
    return "\n\n".join(cell.source for cell in cells if cell.cell_type == "markdown")


def test_the_first_page_shows_the_glossary():
    shown = re.search(r"^## Glossary\n\n((?:\|.*\n?)+)", prose(NOTEBOOKS[0]), re.MULTILINE)
    assert shown, "it has a section Glossary with a table"
    assert shown[1].strip() == glossary_table(), "put there what glossary_table() gives"


@pytest.mark.parametrize("path", NOTEBOOKS, ids=lambda path: path.stem)
def test_every_page_leads_to_it(path):
    assert f"[Glossary]({NOTEBOOKS[0].name}#Glossary)" in prose(path)


def test_words_and_meanings():
    names = [word.word for word in GLOSSARY]
    assert len(set(names)) == len(names)
    for word in GLOSSARY:
        assert word.used_in(f"Try another {word.word} tomorrow") and not word.used_in("Try nothing tomorrow")
        assert not re.search(rf"\b{word.word}\b", word.meaning), "a word must not explain itself"
        assert "|" not in word.meaning + word.more, "it would end its place in the table"


def test_explaining():
    assert explained("A longer rocker") == ["rocker: the curve of the blade from heel to toe"]
    assert explained("The rocker is the curve of the blade") == []
    assert explained("Tomorrow") == []
    assert explained("One radius") == explained("Two radii") == [f"radius: {TAUGHT['radius'].meaning}"]
    for name, word in TAUGHT.items():
        assert explained(f"Try another {name} tomorrow") == [f"{name}: {word.meaning}"]
        assert explained(f"Try another {name}: {word.meaning}") == []
