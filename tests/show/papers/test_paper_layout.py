"""No letter of a paper is cut off or lies over another, on either paper, in either system of units,
and each speaks that one alone."""

from __future__ import annotations

import numpy as np
import pytest
from matplotlib.backends.backend_agg import RendererAgg
from matplotlib.figure import Figure
from matplotlib.text import Text

from bladelab.book.card import Card
from bladelab.book.ordering import orders_of
from bladelab.show.canvas.style import style_context
from bladelab.show.papers.order import put_order
from bladelab.show.papers.sheet import MARGIN_IN, Sheet
from bladelab.show.papers.skater_sheet import put_skater_sheet
from bladelab.units import SYSTEMS
from tests.show.engine_checks import IMPERIAL, METRIC, NOT_A_NUMBER, units
from tests.show.papers.cards import DAY, POINTS


@pytest.fixture(
    scope="module", params=[*zip(POINTS, SYSTEMS, strict=True), *zip(POINTS, SYSTEMS[::-1], strict=True)]
)
def sheets(request: pytest.FixtureRequest, full: Card, bare: Card) -> tuple[str, str, list[Sheet]]:
    """An order and a skater's sheet of each card, on one paper in one system of units."""
    paper, system = request.param
    made = []
    with units(system):
        for one in (full, bare):
            [order] = orders_of(one, DAY)
            made += [Sheet(paper), Sheet(paper)]
            put_order(made[-2], order)
            put_skater_sheet(made[-1], one, order, DAY if one is full else None)
    return paper, system, made


#: Small letters are placed on whole dots: measured at so many dots a point, they are as wide as on paper.
FINE = 8


def boxes(figure: Figure) -> list[tuple[str, np.ndarray]]:
    """The texts that a figure shows and their left, lower, right and upper ends, points."""
    with style_context():
        figure.set_dpi(72 * FINE)
        renderer = RendererAgg(8, 8, 72 * FINE)
        with renderer._draw_disabled():
            figure.draw(renderer)  # gives the names of the axes their places
        found = [
            (text.get_text(), text.get_window_extent(renderer).extents / FINE) for text in shown_in(figure)
        ]
    figure.set_dpi(72)
    return found


def shown_in(figure: Figure) -> list[Text]:
    """The texts of a picture, but for those of axes that are hidden and of ticks that lie off their axis."""
    beyond = set()
    for axes in figure.axes:
        for axis in (axes.xaxis, axes.yaxis):
            low, high = sorted(axis.get_view_interval())
            ticks = [*axis.get_major_ticks(), *axis.get_minor_ticks()]
            beyond |= {
                t for tick in ticks if not low <= tick.get_loc() <= high for t in (tick.label1, tick.label2)
            }
        if not axes.get_visible():
            beyond |= set(axes.findobj(Text))
    shown = [text for text in figure.findobj(Text) if text.get_visible() and text.get_text().strip()]
    return [text for text in shown if text not in beyond]


def overlapping(found: list[tuple[str, np.ndarray]], slack: float = 0.5) -> list[tuple[str, str]]:
    """Pairs of texts whose boxes share more than `slack` points both ways."""
    pairs = []
    for i, (one, a) in enumerate(found):
        for other, b in found[i + 1 :]:
            shared = np.minimum(a[2:], b[2:]) - np.maximum(a[:2], b[:2])
            if (shared > slack).all():
                pairs.append((one, other))
    return pairs


@pytest.mark.slow
def test_no_text_is_cut_off_or_lies_over_another(sheets: tuple[str, str, list[Sheet]]) -> None:
    paper, _, made = sheets
    for sheet in made:
        for page in sheet.pages:
            found = boxes(page.figure)
            edge = 72 * MARGIN_IN
            for text, (left, low, right, high) in found:
                assert left >= edge - 1 and right <= POINTS[paper][0] - edge + 1, text
                assert low >= edge - 1 and high <= POINTS[paper][1] - edge + 10, text
            # The lines of one paragraph lie as close as their letters allow.
            assert overlapping(found, slack=3.0) == []


@pytest.mark.slow
def test_no_text_of_a_picture_is_cut_off_or_lies_over_another(sheets: tuple[str, str, list[Sheet]]) -> None:
    _, _, made = sheets
    for sheet in made:
        for page in sheet.pages:
            for view, scale, left, low in page.pictures:
                found = boxes(view.figure)
                for text, (x, y, right, high) in found:
                    assert x >= 0 and y >= 0 and right <= view.width_px and high <= view.height_px, text
                # On the paper no letter is smaller than 6 points, as small print is.
                smallest = min(text.get_fontsize() for text in shown_in(view.figure))
                assert smallest * scale >= 6
                assert left >= 72 * MARGIN_IN - 1 and low >= 72 * MARGIN_IN - 1
                assert view.width_px * scale + left <= 72 * (sheet.width - MARGIN_IN) + 1


def test_papers_speak_one_system_of_units(sheets: tuple[str, str, list[Sheet]]) -> None:
    _, system, made = sheets
    other = IMPERIAL if system == "metric" else METRIC
    for sheet in made:
        for page in sheet.pages:
            for text in page.figure.findobj(Text):
                assert not other.search(text.get_text()), text.get_text()
                assert not NOT_A_NUMBER.search(text.get_text()), text.get_text()
