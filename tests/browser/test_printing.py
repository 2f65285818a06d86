"""On paper, printed from JupyterLab: what was moved is there as it is now, and nothing of the window.

Each page as a whole is printed where it is opened (see on_paper.py).
"""

import re
import shutil
import subprocess

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from bladelab.show.canvas.style import LINES
from tests.browser.page import until

TOOLS = ("pdftotext", "pdftoppm")
GLIDE = "06_glide.ipynb"


@pytest.fixture
def printed(lab, open_notebook, tmp_path):
    """A notebook whose slider was moved before it was printed, and for each page of the PDF its words and how
    it looks."""
    for tool in TOOLS:
        if shutil.which(tool) is None:
            pytest.skip(f"{tool} (of poppler-utils) is not on this machine")

    notebook = open_notebook(lab, GLIDE)
    notebook.wait_until_run()
    notebook.wait_for_panel()
    notebook.wait_for_answer()
    pictures, sentences = notebook.pictures(), notebook.sentences()
    notebook.press(1, "ArrowRight", times=8)
    notebook.wait_for_change(pictures, sentences)
    notebook.wait_for_answer()
    path = tmp_path / "printed.pdf"
    notebook.page.pdf(path=path, format="A4")
    text = subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True).stdout
    subprocess.run(["pdftoppm", "-r", "72", "-png", path, tmp_path / "page"], check=True)
    seen = [np.asarray(Image.open(png).convert("RGB"), int) for png in sorted(tmp_path.glob("page-*.png"))]
    return notebook, [words(page) for page in text.split("\f")[: len(seen)]], seen


def words(text):
    """The words of a text, however it is broken into lines."""
    return " ".join(text.replace("\u00a0", " ").split())


def test_the_picture_and_the_sentence_are_on_paper_as_they_are_now(printed):
    notebook, pages, seen = printed
    paper = " ".join(pages)
    found = notebook.page.locator(".jp-RenderedMarkdown :is(h1, h2)").all_inner_texts()
    headings = [heading.strip(" ¶\n") for heading in found]
    assert headings[-1] == "Sources" and len(headings) == 7
    for heading in headings:
        assert words(heading) in paper
    for sentence in notebook.sentences():
        assert words(sentence) in paper
    picture = notebook.page.locator(".bladelab-picture").first
    for label in picture.locator("svg text").all_text_contents():
        assert words(label) in paper, "the moving part of the picture, up to its right edge"
    place = next(n for n, page in enumerate(pages) if words(notebook.sentence()) in page)
    for name, line in LINES.items():
        apart = np.abs(seen[place] - np.array(to_rgb(line["color"])) * 255).max(axis=2)
        assert (apart < 40).sum() > 30, f"the curve of the {name} blade is drawn over its sentence"
    assert "save picture" not in paper and "Kernel" not in paper and "Name Modified" not in paper

    the_menu_prints_what_is_seen_and_not_the_file(notebook.page)


def the_menu_prints_what_is_seen_and_not_the_file(page):
    page.evaluate("() => { window.timesPrinted = 0; window.print = () => { window.timesPrinted += 1; }; }")
    page.get_by_role("menuitem", name="File", exact=True).click()
    page.locator(".lm-Menu-item", has_text=re.compile(r"^Print")).click()
    until(page, "window.timesPrinted === 1")
    assert page.locator("iframe").count() == 0, "no other page is made to be printed"
