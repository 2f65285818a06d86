"""The files of a clinic, opened and read as others would: slides, PDF, pictures."""

import io
import itertools
import re
import shutil
import subprocess
import zipfile
from functools import cache, partial
from xml.etree import ElementTree

import numpy as np
import pytest
from PIL import Image
from pptx import Presentation
from pptx.enum.shapes import MSO_SHAPE_TYPE
from pptx.util import Inches

from bladelab.show.canvas.style import style_context
from bladelab.show.canvas.text_lines import text_width_in, wrap
from bladelab.show.clinic.drawing import picture as draw_picture
from bladelab.show.clinic.drawing import write_pdf, write_picture
from bladelab.show.clinic.lesson import AUDIENCES
from bladelab.show.clinic.page import NUMBER, PAGE_IN, asks, opens, tells
from bladelab.show.clinic.pictures import texts_of
from bladelab.show.clinic.powerpoint import write_pptx
from tests.screenshots import kept
from tests.show.clinic.states import deck
from tests.show.clinic.written import as_bytes, pages_of

pytestmark = pytest.mark.slow


@cache
def slides_of(audience):
    return as_bytes(write_pptx, deck(audience, "feet and inches", "plain"))


@pytest.fixture(scope="module")
def pptx(made):
    return slides_of(made.audience)


@pytest.fixture(scope="module")
def pdf(made):
    return as_bytes(write_pdf, made)


def shapes_of(page):
    """All shapes of a slide by name, also those in a group; the title is a shape of its own kind."""
    found = {"title": [page.shapes.title]}
    for shape in page.shapes:
        for one in shape.shapes if shape.shape_type == MSO_SHAPE_TYPE.GROUP else [shape]:
            if one != page.shapes.title:
                found.setdefault(one.name, []).append(one)
    return found


def test_slides_read_back(made, pptx):
    show = Presentation(io.BytesIO(pptx))
    assert (show.slide_width, show.slide_height) == (Inches(PAGE_IN[0]), Inches(PAGE_IN[1]))
    assert len(show.slides) == len(made.slides)
    for number, (page, slide) in enumerate(zip(show.slides, made.slides, strict=True), 1):
        assert page.shapes.title.text_frame.text == slide.title, "a real title, so that outlines find it"
        shapes = shapes_of(page)
        texts = {name: shape.text_frame.text for name, (shape, *_) in shapes.items() if shape.has_text_frame}
        assert texts["sentence"] == slide.sentence
        assert texts.get("line of words", "") == slide.words
        [picture] = shapes["picture"]
        assert picture.shape_type == MSO_SHAPE_TYPE.PICTURE
        assert picture._element.nvPicPr.cNvPr.get("descr") == slide.alt, "WCAG 2.2, 1.1.1: a text alternative"
        assert page.notes_slide.notes_text_frame.text == slide.notes
        [field] = page._element.findall(".//{*}fld")
        assert field.get("type") == "slidenum" and field.find("{*}t").text == str(number)


@pytest.mark.parametrize("audience", ["young players", "coaches"])  # adults see the pictures of coaches
def test_letters_in_the_picture_are_those_of_the_slide(audience):
    """Its labels are texts in the slide's own face, each where the picture has it, and none is drawn."""
    slides = deck(audience, "feet and inches", "plain").slides
    for page, slide in zip(Presentation(io.BytesIO(slides_of(audience))).slides, slides, strict=True):
        place, picture, shapes = slide.layout.picture, draw_picture(slide), shapes_of(page)
        picture.draw_without_rendering()
        wanted = texts_of(picture)
        assert [one.text_frame.text for one in shapes["label"]] == [text.get_text() for text in wanted]
        for shape, text in zip(shapes["label"], wanted, strict=True):
            [*runs] = [run for paragraph in shape.text_frame.paragraphs for run in paragraph.runs]
            assert {run.font.name for run in runs} == {"Arial"}
            assert {run.font.size.pt for run in runs} == {text.get_fontsize()}
            box = text.get_window_extent()
            middle = (shape.left + shape.width / 2) / 914400 - place.left
            assert middle == pytest.approx((box.x0 + box.x1) / 2 / picture.dpi, abs=0.01)
            text.set_visible(False)
        memory = io.BytesIO()
        with style_context():
            picture.savefig(memory, format="png", dpi=50)
        drawn, bare = (
            np.asarray(Image.open(io.BytesIO(png)).convert("L").resize((300, 120)), dtype=float)
            for png in (shapes["picture"][0].image.blob, memory.getvalue())
        )
        assert np.abs(drawn - bare).mean() < 3, slide.key


def test_text_boxes_fit(made, pptx):
    """Every text of the file, at the size in the file, in a face wider than the one in the file."""
    for page, slide in zip(Presentation(io.BytesIO(pptx)).slides, made.slides, strict=True):
        boxes = {box.name: box for box in (*slide.layout.texts, NUMBER)}
        for name, shapes in shapes_of(page).items():
            if name not in boxes:
                continue
            [shape], box = shapes, boxes[name]
            frame = shape.text_frame
            runs = [run for paragraph in frame.paragraphs for run in paragraph.runs]
            assert (shape.left, shape.top) == (Inches(box.left), Inches(box.top))
            assert shape.left + shape.width <= Inches(PAGE_IN[0]) and shape.top + shape.height <= Inches(
                PAGE_IN[1]
            )
            assert frame.word_wrap and frame.margin_left == frame.margin_top == 0
            if not runs:  # the slide number is a field
                continue
            run = runs[0]
            assert run.font.name == "Arial"
            size = run.font.size.pt
            lines = wrap(frame.text, shape.width / 914400, size, bool(run.font.bold))
            assert (
                max(text_width_in(line, size, bool(run.font.bold)) for line in lines) <= shape.width / 914400
            )
            assert frame.paragraphs[0].line_spacing.pt == pytest.approx(size * 1.2, abs=0.05)
            assert len(lines) * size * 1.2 / 72 <= shape.height / 914400 + 1e-6


@pytest.mark.parametrize("with_words", [False, True])
@pytest.mark.parametrize(
    "layout", [tells, asks, partial(asks, 1), partial(asks, 1, 1), lambda with_words: opens()]
)
def test_boxes_are_apart(layout, with_words):
    layout = layout(with_words=with_words)
    boxes = [*layout.texts, layout.picture, NUMBER]
    for box in boxes:
        assert box.left + box.width <= PAGE_IN[0] - 0.08 and box.top + box.height <= PAGE_IN[1]
    # Without words to explain, the sentence is where the words would be.
    for one, other in itertools.combinations(boxes, 2):
        if "line of words" in (one.name, other.name) and not with_words and layout != opens():
            continue
        wide = min(one.left + one.width, other.left + other.width) - max(one.left, other.left)
        high = min(one.top + one.height, other.top + other.height) - max(one.top, other.top)
        assert wide <= 1e-9 or high <= 1e-9, (one, other)


def test_nothing_foreign_in_the_file(pptx, made):
    with zipfile.ZipFile(io.BytesIO(pptx)) as parts:
        assert parts.testzip() is None
        assert not [name for name in parts.namelist() if "thumbnail" in name]
        links = "".join(parts.read(name).decode() for name in parts.namelist() if name.endswith(".rels"))
        assert "External" not in links
    about = Presentation(io.BytesIO(pptx)).core_properties
    assert (about.title, about.author, about.last_modified_by) == (made.name, "", "")
    assert about.subject == f"Clinic for {made.audience}"


@pytest.fixture(scope="module")
def converted(tmp_path_factory):
    """The slides for each audience as LibreOffice shows them: a folder of PDF files."""
    office = shutil.which("soffice") or shutil.which("libreoffice")
    if office is None:
        pytest.skip("no LibreOffice here: not checked that it opens the slides (install libreoffice-impress)")
    home = tmp_path_factory.mktemp("office")
    files = []
    for audience in AUDIENCES:
        files.append(home / f"{audience}.pptx")
        files[-1].write_bytes(slides_of(audience))
    profile = f"-env:UserInstallation={(home / 'profile').as_uri()}"
    command = [office, "--headless", profile, "--convert-to", "pdf", "--outdir", str(home), *map(str, files)]
    subprocess.run(command, check=True, capture_output=True, timeout=240)
    for pdf in home.glob("*.pdf"):
        shutil.copy(pdf, kept(f"slides-{pdf.stem.replace(' ', '-')}.pdf"))
    return home


def test_libreoffice_shows_every_text_inside_its_box(converted, made):
    if shutil.which("pdftotext") is None:
        pytest.skip(
            "no pdftotext on this machine: the places of texts are not checked (install poppler-utils)"
        )
    pdf = converted / f"{made.audience}.pdf"
    done = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True, text=True)
    pages = ElementTree.fromstring(done.stdout[done.stdout.index("<html") :]).findall(".//{*}page")
    file = Presentation(io.BytesIO(slides_of(made.audience)))
    for page, given, slide in zip(pages, file.slides, made.slides, strict=True):
        assert float(page.get("width")) == pytest.approx(PAGE_IN[0] * 72, abs=1)
        words = page.findall(".//{*}word")
        for text, box in slide.texts:
            if not text:
                continue
            inside = [word.text for word in words if is_in(word, box)]
            found, said = " ".join(inside).split(), text.split()
            # Words of two boxes side by side may come in any order.
            assert sorted(found) == sorted([*said, *(w for w in found if w not in said and w.isdigit())]), (
                f"{slide.key}: {found} in place of {said}"
            )
        labels = " ".join(label.text_frame.text for label in shapes_of(given)["label"]).split()
        shown = [word.text for word in words if is_in(word, slide.layout.picture, 0.15)]
        assert sorted(shown) == sorted(labels), slide.key


def is_in(word, box, beyond=0.05):
    """Whether a word of a PDF is in a box, or so many inches outside."""
    middle = (float(word.get("yMin")) + float(word.get("yMax"))) / 144
    return (
        float(word.get("xMin")) / 72 >= box.left - beyond
        and float(word.get("xMax")) / 72 <= box.left + box.width + beyond
        and box.top <= middle <= box.top + box.height
    )


def test_pdf(made, pdf):
    assert pdf.startswith(b"%PDF") and pages_of(pdf) == len(made.slides)
    sizes = re.findall(rb"/MediaBox \[ 0 0 ([\d.]+) ([\d.]+) \]", pdf)
    assert {(round(float(w)), round(float(h))) for w, h in sizes} == {(960, 540)}
    assert b"/Subtype /Type0" in pdf or b"/Subtype /TrueType" in pdf or b"/FontFile2" in pdf, (
        "letters stay letters"
    )


def test_pdf_can_be_searched(made, pdf, tmp_path):
    if shutil.which("pdftotext") is None:
        pytest.skip(
            "no pdftotext on this machine: not checked that the PDF can be searched (install poppler-utils)"
        )
    (tmp_path / "a.pdf").write_bytes(pdf)
    done = subprocess.run(
        ["pdftotext", str(tmp_path / "a.pdf"), "-"], check=True, capture_output=True, text=True
    )
    flat = " ".join(done.stdout.split())
    for slide in made.slides:
        assert " ".join(slide.title.split()) in flat and " ".join(slide.sentence.split()) in flat


def test_pictures_at_print_size():
    for slide in deck("adults", "feet and inches", "plain").slides[:4]:
        place = slide.layout.picture
        image = Image.open(io.BytesIO(as_bytes(lambda file, s=slide: write_picture(s, file, "png"))))
        assert image.info["dpi"] == pytest.approx((300, 300), abs=0.1)
        assert image.size == pytest.approx((place.width * 300, place.height * 300), abs=1)
        svg = as_bytes(lambda file, s=slide: write_picture(s, file, "svg"))
        root = ElementTree.fromstring(svg)
        assert float(root.get("width").removesuffix("pt")) == pytest.approx(place.width * 72)
        assert float(root.get("height").removesuffix("pt")) == pytest.approx(place.height * 72)
        assert not root.findall(".//{*}image") and not root.findall(".//{*}text"), (
            "lines and shapes only: no font needed"
        )
        assert svg == as_bytes(lambda file, s=slide: write_picture(s, file, "svg")), (
            "the same picture, the same file"
        )
