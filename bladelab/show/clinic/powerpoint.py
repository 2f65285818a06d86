"""The deck as PPTX: a real title, real text boxes, the picture with its description, speaker notes, slide
numbers."""

from __future__ import annotations

import io
from typing import IO, Any

from bladelab.show.canvas.style import INK
from bladelab.show.canvas.text_lines import LINE_HEIGHT
from bladelab.show.clinic.deck import Deck, Slide
from bladelab.show.clinic.drawing import SOFT, write_picture
from bladelab.show.clinic.page import (
    FOOTER,
    NUMBER,
    PAGE_IN,
    PICTURE,
    SENTENCE,
    SLIDE_FACE,
    TITLE,
    WORDS,
    Box,
    fit,
    fit_or_cut,
)

_PICTURE_DPI = 200
_TITLE_ONLY = 5  # layout of python-pptx's own template: a title, so that readers and outlines find it


def write_pptx(deck: Deck, file: IO[bytes]) -> None:
    """Write the deck as a PPTX file.

    Raises
    ------
    ValueError
        If a text does not fit its box.
    """
    from pptx import Presentation
    from pptx.opc.constants import RELATIONSHIP_TYPE
    from pptx.util import Inches

    deck.check()
    show = Presentation()
    show.slide_width, show.slide_height = Inches(PAGE_IN[0]), Inches(PAGE_IN[1])
    for number, slide in enumerate(deck.slides, 1):
        _add_slide(show, slide, number, deck.footer)
    about = show.core_properties
    about.title, about.subject, about.author = deck.name, f"Clinic for {deck.audience}", ""
    about.last_modified_by, about.keywords, about.comments = "", "", ""
    # The template brings a thumbnail of another file.
    package = show.part.package
    for key, relation in list(package._rels.items()):
        if relation.reltype == RELATIONSHIP_TYPE.THUMBNAIL:
            package._rels.pop(key)
    show.save(file)


def _add_slide(show: Any, slide: Slide, number: int, footer: str) -> None:
    from pptx.util import Inches

    page = show.slides.add_slide(show.slide_layouts[_TITLE_ONLY])
    title = page.shapes.title
    title.left, title.top, title.width, title.height = (
        Inches(v) for v in (TITLE.left, TITLE.top, TITLE.width, TITLE.height)
    )
    _write(title, slide.title, TITLE, INK)
    image = io.BytesIO()
    write_picture(slide, image, "png", _PICTURE_DPI)
    shown = page.shapes.add_picture(
        image, Inches(PICTURE.left), Inches(PICTURE.top), Inches(PICTURE.width), Inches(PICTURE.height)
    )
    shown._element.nvPicPr.cNvPr.set("descr", slide.alt)
    shown.name = "picture"
    _write(_box(page, SENTENCE), slide.sentence, SENTENCE, INK)
    if slide.words:
        _write(_box(page, WORDS), slide.words, WORDS, SOFT)
    if footer:
        _write(_box(page, FOOTER), " ".join(fit_or_cut(footer, FOOTER)[1]), FOOTER, SOFT)
    _write(_box(page, NUMBER), str(number), NUMBER, SOFT, slide_number=True)
    page.notes_slide.notes_text_frame.text = slide.notes


def _box(page: Any, box: Box) -> Any:
    from pptx.util import Inches

    shape = page.shapes.add_textbox(Inches(box.left), Inches(box.top), Inches(box.width), Inches(box.height))
    shape.name = box.name
    return shape


def _write(shape: Any, text: str, box: Box, colour: str, slide_number: bool = False) -> None:
    from pptx.dml.color import RGBColor
    from pptx.enum.lang import MSO_LANGUAGE_ID
    from pptx.enum.text import MSO_ANCHOR, MSO_AUTO_SIZE, PP_ALIGN
    from pptx.util import Pt

    size, _ = fit(text, box)
    frame = shape.text_frame
    frame.word_wrap, frame.auto_size, frame.vertical_anchor = True, MSO_AUTO_SIZE.NONE, MSO_ANCHOR.TOP
    frame.margin_left = frame.margin_right = frame.margin_top = frame.margin_bottom = 0
    frame.text = text
    for paragraph in frame.paragraphs:
        paragraph.alignment = PP_ALIGN.RIGHT if slide_number else PP_ALIGN.LEFT
        paragraph.line_spacing = Pt(size * LINE_HEIGHT)
        for run in paragraph.runs:
            run.font.name, run.font.size, run.font.bold = SLIDE_FACE, Pt(size), box.bold
            run.font.color.rgb = RGBColor.from_string(colour.lstrip("#"))
            run.font.language_id = MSO_LANGUAGE_ID.ENGLISH_US
            if slide_number:
                _make_field(run)


def _make_field(run: Any) -> None:
    """Turn a run into a field that shows the number of its slide, wherever the slide is moved."""
    element = run._r
    element.tag = element.tag.replace("}r", "}fld")
    element.set("id", "{5C7D2B64-3A0E-4E7B-9E1C-2A6B8F0D4C11}")
    element.set("type", "slidenum")
