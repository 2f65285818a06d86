"""A page of the collection on paper: everything in order and dark enough, nothing cut off or twice, no sheet
nearly empty."""

from __future__ import annotations

import html
import re
import shutil
import subprocess
import unicodedata
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
from matplotlib.colors import to_rgb
from PIL import Image

TOOLS = ("pdftotext", "pdftoppm")

#: Margin that everything keeps; how much higher than what goes before it something may begin, beside it: pt.
_MARGIN_PT, _BESIDE_PT = 36.0, 14.0
#: How far down a sheet reaches at least, if another follows.
_USED = 0.4
#: How many places of a sheet are looked at to the inch; how pale, from 0, black, to 255, any word may be
#: there at its darkest, and half of them: small grey letters of a picture are paler than the text.
_DOTS, _WHITE, _PALE = 36, 245, 150

#: What buttons, menus and the list of files say, without spaces.
_OF_THE_WINDOW = ("savepicture", "fullscreen", "Kernel", "LastModified")

# Runs in the page: what is to be read, in order: prose, and of each panel the sentence and then the controls
# with their values, which are beside each other, those behind other tabs too. The links to other pages are no
# use on paper.
_TO_READ = """
() => {
  const onward = 'p:last-child:has(> a[href$="#Glossary"])', blocks = 'h1, h2, h3, h4, p, li, th, td';
  const value = dial => dial.querySelector('output')?.textContent
    ?? dial.querySelector('select')?.selectedOptions[0].textContent ?? '';
  const found = [];
  for (const cell of document.querySelectorAll('.jp-Cell')) {
    for (const block of cell.querySelectorAll(`.jp-RenderedMarkdown :is(${blocks})`))
      if (!block.querySelector(blocks) && !block.matches(onward)) found.push([block.innerText]);
    for (const panel of cell.querySelectorAll('.bladelab-panel')) {
      const dials = [...panel.querySelectorAll('.bladelab-controls .bladelab-dial:not([hidden])')];
      found.push(...[...panel.querySelectorAll('.bladelab-sentence p')].map(one => [one.innerText]),
                 dials.map(dial => dial.querySelector('.bladelab-name').textContent + value(dial)));
    }
  }
  return found;
}
"""
_LABELS = """
() => [...document.querySelectorAll('.bladelab-picture svg text')].map(one => one.textContent)
"""


@dataclass(frozen=True)
class Word:
    """A word on a sheet: its left, top, right and bottom edge, how far it is from the nearest edge of the
    sheet, pt, and the letters before it."""

    text: str
    sheet: int
    box: tuple[float, ...]
    inside: float
    at: int

    @property
    def top(self) -> float:
        return self.box[1]


def wrong_on_paper(page, paper: str, colours: Sequence[str] = ()) -> list[str]:
    """What is wrong with the page printed on "A4" or "Letter"; nothing, if all is well or nothing here can
    read a PDF. If `colours` are given, there are to be lines of each, and no words of the window:
    prose of other pages tells of its buttons."""
    if not all(map(shutil.which, TOOLS)):
        return []
    to_read = [[seen for one in beside if (seen := _letters(one))] for beside in page.evaluate(_TO_READ)]
    labels = {seen for one in page.evaluate(_LABELS) if (seen := _letters(one))}
    with TemporaryDirectory() as folder:
        pdf = Path(folder) / "printed.pdf"
        page.pdf(path=pdf, format=paper)
        printed = _words(pdf)
        over = [f"sheet {one.sheet}, over the edge: {one.text}" for one in printed if one.inside < _MARGIN_PT]
        sheets = _drawn(pdf)
        text = "".join(word.text for word in printed)
        window = [f"of the window: {words}" for words in _OF_THE_WINDOW if colours and words in text]
        ink = _pale(printed, sheets) + _nearly_empty(sheets) + _not_drawn(pdf, colours)
        return _out_of_order(to_read, labels, printed) + over + window + ink


def _words(pdf: Path) -> list[Word]:
    boxes = subprocess.run(
        ["pdftotext", "-raw", "-bbox", pdf, "-"], capture_output=True, text=True, check=True
    )
    found, at = [], 0
    for number, sheet in enumerate(boxes.stdout.split("<page ")[1:], 1):
        width, height = map(float, re.findall(r'(?:width|height)="([\d.]+)"', sheet)[:2])
        for box in re.findall(r'<word xMin="(.+?)" yMin="(.+?)" xMax="(.+?)" yMax="(.+?)">(.*?)<', sheet):
            left, top, right, bottom = edges = tuple(map(float, box[:4]))
            text = _letters(html.unescape(box[4]))
            found.append(Word(text, number, edges, min(left, width - right, top, height - bottom), at))
            at += len(text)
    return found


def _out_of_order(to_read: list[list[str]], labels: set[str], printed: list[Word]) -> list[str]:
    text, every = "".join(word.text for word in printed), [words for beside in to_read for words in beside]
    wrong, last = [], (1, 0.0)
    for beside in to_read:
        begins = [last]
        for words in beside:
            places = [match.start() for match in re.finditer(re.escape(words), text)]
            starts = [printed[bisect_right(printed, at, key=lambda word: word.at) - 1] for at in places]
            after = [(one.sheet, one.top) for one in starts if (one.sheet, one.top + _BESIDE_PT) >= last]
            begins += after[:1]
            if len(after) < beside.count(words):
                wrong.append(f"{'not in its place' if places else 'not there'}: {words[:80]}")
            if len(words) > 60 and len(places) > every.count(words):
                wrong.append(f"twice: {words[:80]}")
        last = max(begins) if len(beside) == 1 else last
    return wrong + [f"not in the picture: {label}" for label in labels if label not in text]


def _drawn(pdf: Path) -> list[np.ndarray]:
    """How dark each sheet is, from 0, black, to 255, at `_DOTS` places to an inch."""
    subprocess.run(["pdftoppm", "-r", str(_DOTS), "-gray", pdf, pdf.with_suffix("")], check=True)
    return [np.asarray(Image.open(one)) for one in sorted(pdf.parent.glob("*.pgm"))]


def _pale(printed: list[Word], sheets: list[np.ndarray]) -> list[str]:
    words, darkest = [word for word in printed if len(word.text) > 4], []
    for word in words:
        left, top, right, bottom = (round(edge * _DOTS / 72) for edge in word.box)
        darkest.append(sheets[word.sheet - 1][top : bottom + 1, left : right + 1].min())
    wrong = [
        f"sheet {word.sheet}, white on white: {word.text}"
        for word, grey in zip(words, darkest, strict=True)
        if grey > _WHITE
    ]
    return wrong + [
        f"half of the words are paler than {half}" for half in [np.median(darkest)] if half > _PALE
    ]


def _nearly_empty(sheets: list[np.ndarray]) -> list[str]:
    inked = [np.flatnonzero((sheet < 200).any(axis=1)) for sheet in sheets]
    reach = [rows[-1] / len(sheet) if len(rows) else 0.0 for rows, sheet in zip(inked, sheets, strict=True)]
    wrong = [f"sheet {n} ends at {down:.0%}" for n, down in enumerate(reach[:-1], 1) if down < _USED]
    return wrong if reach[-1] else [*wrong, "the last sheet is empty"]


def _not_drawn(pdf: Path, colours: Sequence[str]) -> list[str]:
    if not colours:
        return []
    subprocess.run(["pdftoppm", "-r", "72", pdf, pdf.with_suffix("")], check=True)
    sheets = [np.asarray(Image.open(one), int) for one in pdf.parent.glob("*.ppm")]

    def drawn(colour: str) -> int:
        return sum((np.abs(one - 255 * np.array(to_rgb(colour))).max(axis=2) < 40).sum() for one in sheets)

    return [f"no line is {colour}" for colour in colours if drawn(colour) <= 30]


def _letters(text: str) -> str:
    """A text without spaces and marks of headings, however it is broken into lines."""
    return re.sub(r"\s|¶", "", unicodedata.normalize("NFKC", text))
