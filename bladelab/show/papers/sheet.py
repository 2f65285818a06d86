"""A paper to print: filled from the top, page after page, as one PDF with text that can be searched.

Pictures are those of the screen, drawn by the same views, as lines and letters, not as dots.
"""

from __future__ import annotations

import io
from collections.abc import Generator, Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass, field
from typing import IO

from matplotlib.backends.backend_pdf import PdfPages
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Rectangle
from matplotlib.text import Text

from bladelab._checks import one_of
from bladelab.show.canvas.layer import DPI
from bladelab.show.canvas.style import INK, style_context
from bladelab.show.canvas.text_lines import LINE_HEIGHT, text_width_in, wrap
from bladelab.show.canvas.view import View
from bladelab.show.panel.long_work import Step, finish
from bladelab.show.wording.units_shown import UNITS
from bladelab.units import MM_PER_INCH

#: Width and height of the paper, mm: A4 of ISO 216, and Letter, 8 1/2 by 11 in (ANSI/ASME Y14.1, size A).
SHEETS_MM = {"A4": (210.0, 297.0), "Letter": (215.9, 279.4)}
#: Which paper lies in the printer of those who read in these units (common practice; no source).
USUAL_SHEET = {"metric": "A4", "feet and inches": "Letter"}

MARGIN_IN = 0.6
PROSE_PT, SMALL_PT = 9.0, 7.5
#: Grey of what is not for the reader to act on; 7 to 1 on white.
FAINT = "#555555"
_RULE, _PAD_IN = "#9A9A9A", 0.035


@dataclass
class _Page:
    """One page: what is drawn on it, whether a document begins here, and the pictures laid on it, each with
    its scale and its place in points.
    """

    figure: Figure
    foot: str
    first: bool
    pictures: list[tuple[View, float, float, float]] = field(default_factory=list)


class Sheet:
    """A paper of as many pages as it takes; lengths in inches, from the left and the top.

    Parameters
    ----------
    paper : {"", "A4", "Letter"}
        Left out, the one usual where the units are.

    Attributes
    ----------
    width, height, inner : float
        Of the paper, and between its margins.
    pages : list
        Each with its `figure`.

    Raises
    ------
    InputError
        If the paper is not known.
    """

    def __init__(self, paper: str = "") -> None:
        paper = one_of("paper", paper or USUAL_SHEET[UNITS.system], SHEETS_MM)
        self.width, self.height = (mm / MM_PER_INCH for mm in SHEETS_MM[paper])
        self.inner = self.width - 2 * MARGIN_IN
        self.pages: list[_Page] = []
        self._top = 0.0

    # What is put on it ----------------------------------------------------------------------------------

    def begin(self, foot: str) -> None:
        """Begin a document on a page of its own; the foot says on all its pages what it is about."""
        self._turn(foot, True)

    def title(self, text: str, below: str) -> None:
        """A title, and a line below it."""
        self.prose(text, 18.0, bold=True)
        self.prose(below, 10.0, colour=FAINT)
        self._rule(self._top + 0.05)
        self.gap(0.13)

    def heading(self, text: str, keep_in: float = 0.6) -> None:
        """A heading, on the page of what follows: at least `keep_in` of it."""
        self.gap(0.1)
        self._need(keep_in + 0.2)
        self.prose(text, 10.5, bold=True)
        self.gap(0.03)

    def prose(self, text: str, size: float = PROSE_PT, bold: bool = False, colour: str = INK) -> None:
        """A paragraph over the whole width."""
        for line in wrap(text, self.inner - _PAD_IN, size, bold):
            self._need(LINE_HEIGHT * size / 72)
            self._write(line, MARGIN_IN, self._top, size, bold, colour)
            self._top += LINE_HEIGHT * size / 72

    def numbered(self, texts: Iterable[str]) -> None:
        """Paragraphs with a number before each."""
        for number, text in enumerate(texts, 1):
            self.prose(f"{number}.  {text}")

    def gap(self, height: float) -> None:
        """Leave some space."""
        self._top += height

    def table(self, rows: Sequence[Sequence[str]], first: float, heads: Sequence[str] = ()) -> None:
        """Rows of a name and one or more texts; a row with one text has it across all columns.

        Parameters
        ----------
        rows : sequence of sequences of str
            A text may be of several lines.
        first : float
            Width of the column with the names.
        heads : sequence of str
            Over the columns.
        """
        columns = max(len(heads), *(len(row) - 1 for row in rows))
        each = (self.inner - first) / columns
        if heads:
            self._row([("", first), *((head, each) for head in heads)], bold=True)
        for name, *texts in rows:
            wide = each if len(texts) > 1 else each * columns
            self._row([(name, first), *((text, wide) for text in texts)])

    def grid(self, rows: Sequence[Sequence[str | None]], first: float, heads: Sequence[str]) -> None:
        """A ruled table of numbers with a name to each row; None is an empty box to write in.

        The heads are the numbers of the columns, the first of them what they are.
        """
        count = len(heads) - 1
        width = (self.inner - first) / max(count, 1)
        line = LINE_HEIGHT * SMALL_PT / 72 + 2 * _PAD_IN
        box = 0.24  # high enough to write in
        self._need(line + sum(box if None in row else line for row in rows))
        left = MARGIN_IN + first
        self._fill(MARGIN_IN, self._top, self.inner, line, "#EFEFEF")
        for row in (heads, *rows):
            high = box if None in row else line
            text_top = self._top + (high - LINE_HEIGHT * SMALL_PT / 72) / 2
            self._write(str(row[0]), MARGIN_IN + _PAD_IN, text_top, SMALL_PT, row is heads)
            for i, cell in enumerate(row[1:]):
                middle = left + (i + 0.5) * width
                self._write(cell or "", middle, text_top, SMALL_PT, row is heads, ha="center")
            self._rule(self._top)
            self._top += high
        self._rule(self._top)
        for i in range(count + 1):
            self._upright(left + i * width, self._top - self._height_of(rows, line, box), self._top)
        self.gap(0.06)

    def blanks(self, names: Sequence[str], columns: int) -> None:
        """Names with a line to write on after each."""
        each, space = self.inner / columns, 0.15
        for start in range(0, len(names), columns):
            self._need(0.32)
            self._top += 0.32
            for i, name in enumerate(names[start : start + columns]):
                left = MARGIN_IN + i * each
                self._write(name, left, self._top - LINE_HEIGHT * PROSE_PT / 72, PROSE_PT)
                begin = left + text_width_in(name, PROSE_PT) + 0.06
                self._rule(self._top - 0.01, begin, left + each - space)

    def pictures(self, views: Sequence[View]) -> None:
        """The pictures of views as they are, across the page, one below the other and on one page."""
        scales = [self.inner * DPI / view.width_px for view in views]
        heights = [view.height_px * scale / DPI for view, scale in zip(views, scales, strict=True)]
        space = 0.12
        self._need(sum(heights) + space * len(views))
        for view, scale, high in zip(views, scales, heights, strict=True):
            self._top += space + high
            below = (self.height - self._top) * 72
            self.pages[-1].pictures.append((view, scale, MARGIN_IN * 72, below))

    # The file -------------------------------------------------------------------------------------------

    def write(self, file: IO[bytes], title: str) -> None:
        """Write the paper as PDF to an open binary file; once."""
        finish(self.steps(file, title))

    def steps(self, file: IO[bytes], title: str) -> Generator[Step, None, None]:
        """Write the paper as `write` does, a page a step; until the last the file is empty."""
        from pypdf import PdfReader, PdfWriter, Transformation

        self._number()
        drawn = io.BytesIO()
        # Pages and pictures in one file, since each file brings its letters.
        file_of_all = PdfPages(drawn, metadata={"CreationDate": None})
        for done, page in enumerate(self.pages, 1):
            with _as_text():
                for figure in (page.figure, *(view.figure for view, *_ in page.pictures)):
                    file_of_all.savefig(figure)
            yield Step(done, len(self.pages), f"page {done} of {len(self.pages)}")
        with _as_text():  # the letters are written last
            file_of_all.close()
        whole, parts = PdfWriter(), iter(PdfReader(drawn).pages)
        for page in self.pages:
            sheet = whole.add_page(next(parts))
            for _, scale, left, below in page.pictures:
                sheet.merge_transformed_page(
                    next(parts), Transformation().scale(scale).translate(left, below)
                )
        whole.add_metadata({"/Title": title})
        whole.write(file)

    def _number(self) -> None:
        """Write the foot of each page: of how many pages of its document it is which."""
        top, right = self.height - MARGIN_IN + 0.1, self.width - MARGIN_IN
        starts = [i for i, page in enumerate(self.pages) if page.first]
        for start, end in zip(starts, [*starts[1:], len(self.pages)], strict=True):
            for i, page in enumerate(self.pages[start:end], 1):
                self._write(page.foot, MARGIN_IN, top, SMALL_PT, colour=FAINT, on=page)
                count = f"page {i} of {end - start}"
                self._write(count, right, top, SMALL_PT, colour=FAINT, ha="right", on=page)

    # Inside ---------------------------------------------------------------------------------------------

    def _need(self, height: float) -> None:
        """Begin another page if so much no longer fits on this one."""
        if self._top + height > self.height - MARGIN_IN - 0.05 and self._top > MARGIN_IN:
            self._turn(self.pages[-1].foot, False)

    def _turn(self, foot: str, first: bool) -> None:
        self.pages.append(_Page(Figure(figsize=(self.width, self.height), dpi=DPI), foot, first))
        self._top = MARGIN_IN

    def _row(self, cells: Sequence[tuple[str, float]], bold: bool = False) -> None:
        lines = [
            wrap(text, width - 2 * _PAD_IN, PROSE_PT, bold or not i) for i, (text, width) in enumerate(cells)
        ]
        line = LINE_HEIGHT * PROSE_PT / 72
        self._need(max(map(len, lines)) * line + 2 * _PAD_IN)
        left = MARGIN_IN
        for i, ((_, width), texts) in enumerate(zip(cells, lines, strict=True)):
            for k, text in enumerate(texts):
                top = self._top + _PAD_IN + k * line
                self._write(text, left + _PAD_IN, top, PROSE_PT, bold or not i)
            left += width
        self._top += max(map(len, lines)) * line + 2 * _PAD_IN
        self._rule(self._top)

    @staticmethod
    def _height_of(rows: Sequence[Sequence[str | None]], line: float, box: float) -> float:
        return line + sum(box if None in row else line for row in rows)

    def _write(
        self,
        text: str,
        left: float,
        top: float,
        size: float,
        bold: bool = False,
        colour: str = INK,
        ha: str = "left",
        on: _Page | None = None,
    ) -> Text:
        """One line of text whose type begins at `top`."""
        with style_context():
            return (on or self.pages[-1]).figure.text(
                left / self.width,
                1 - (top + 0.95 * size / 72) / self.height,
                text,
                fontsize=size,
                fontweight="bold" if bold else "normal",
                color=colour,
                ha=ha,
                va="baseline",
                parse_math=False,
            )

    def _rule(self, top: float, left: float | None = None, right: float | None = None) -> None:
        left, right = MARGIN_IN if left is None else left, self.width - MARGIN_IN if right is None else right
        self._line((left, right), (top, top))

    def _upright(self, left: float, top: float, bottom: float) -> None:
        self._line((left, left), (top, bottom))

    def _line(self, across: tuple[float, float], down: tuple[float, float]) -> None:
        x, y = [x / self.width for x in across], [1 - y / self.height for y in down]
        self.pages[-1].figure.add_artist(Line2D(x, y, color=_RULE, linewidth=0.6))

    def _fill(self, left: float, top: float, width: float, height: float, colour: str) -> None:
        place = (left / self.width, 1 - (top + height) / self.height)
        size = (width / self.width, height / self.height)
        fill = Rectangle(place, *size, facecolor=colour, edgecolor="none", zorder=-1)
        self.pages[-1].figure.add_artist(fill)


def _as_text() -> AbstractContextManager[None]:
    """The settings with which the text of a PDF can be searched."""
    return style_context(pdf_fonttype=42)
