"""The drawings that explain the pictures of the book: their words fit and none lies over another."""

from __future__ import annotations

import itertools
from pathlib import Path

import nbformat
import pytest
from matplotlib.text import Text

from bladelab.show.canvas.style import style_context
from bladelab.show.drawings.symbols_book import SkaterSymbols, TeamSymbols

NOTEBOOKS = Path(__file__).parents[3] / "notebooks"


@pytest.mark.parametrize("drawing", [SkaterSymbols, TeamSymbols])
def test_its_words_are_apart_and_inside(drawing):
    figure = drawing().figure
    with style_context():
        figure.canvas.draw()
        texts = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()]
        boxes = {text.get_text(): text.get_window_extent() for text in texts}
    width, height = figure.get_size_inches() * figure.dpi
    for words, box in boxes.items():
        assert box.x0 >= 0 and box.y0 >= 0 and box.x1 <= width and box.y1 <= height, words
    for (one, first), (other, second) in itertools.combinations(boxes.items(), 2):
        assert not first.overlaps(second), (one, other)


@pytest.mark.parametrize("name", ["19_the_skater", "20_the_team"])
def test_what_the_pictures_mean_is_shown_in_a_picture(name):
    cells = nbformat.read(NOTEBOOKS / f"{name}.ipynb", as_version=4).cells
    [at] = [i for i, cell in enumerate(cells) if cell.source.startswith("## What the pictures mean")]
    [output] = cells[at + 1].outputs
    assert "image/png" in output.data and len(output.data["text/plain"]) > 100
