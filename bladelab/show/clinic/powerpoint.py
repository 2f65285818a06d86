"""The deck as PPTX: a real title, real text boxes, also over the picture, the picture with its description,
speaker notes, slide numbers."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import IO, TYPE_CHECKING

from matplotlib.colors import to_hex
from matplotlib.figure import Figure
from matplotlib.text import Text

from bladelab.show.canvas.style import INK, style_context
from bladelab.show.canvas.text_lines import LINE_HEIGHT
from bladelab.show.clinic.deck import Deck
from bladelab.show.clinic.drawing import QUICK_PNG, picture
from bladelab.show.clinic.page import FOOTER, NUMBER, PAGE_IN, SLIDE_FACE, Box, fit, fit_or_cut
from bladelab.show.clinic.pictures import SOFT, texts_of
from bladelab.show.clinic.slide import Slide

if TYPE_CHECKING:
    from pptx.presentation import Presentation
    from pptx.shapes.autoshape import Shape
    from pptx.shapes.shapetree import _BaseGroupShapes
    from pptx.slide import Slide as Page
    from pptx.text.text import _Run

_PICTURE_DPI = 200
_TITLE_ONLY = 5  # layout of python-pptx's own template: a title, so that readers and outlines find it


def write_pptx(deck: Deck, file: IO[bytes]) -> None:
    """Write the deck as a PPTX file.

    Raises
    ------
    ValueError
        If a text does not fit its box.
    """
    import pptx
    from pptx.opc.constants import RELATIONSHIP_TYPE
    from pptx.util import Inches

    deck.check()
    show = pptx.Presentation()
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


def _add_slide(show: Presentation, slide: Slide, number: int, footer: str) -> None:
    page = show.slides.add_slide(show.slide_layouts[_TITLE_ONLY])
    (said, title), *others = slide.texts
    _place(page.shapes.title, title)
    _write(page.shapes.title, said, title, INK)
    _add_picture(page, slide)
    for text, box in others:
        if text:
            _write(_box(page.shapes, box), text, box, SOFT if box.name == "line of words" else INK)
    if footer:
        _write(_box(page.shapes, FOOTER), " ".join(fit_or_cut(footer, FOOTER)[1]), FOOTER, SOFT)
    _write(_box(page.shapes, NUMBER), str(number), NUMBER, SOFT, slide_number=True)
    page.notes_slide.notes_text_frame.text = slide.notes


def _add_picture(page: Page, slide: Slide) -> None:
    """Add the picture, and over it its letters as texts: in the face of the slide, and open to change."""
    from pptx.util import Inches

    place, image = slide.layout.picture, io.BytesIO()
    figure = picture(slide)
    with style_context():
        figure.draw_without_rendering()
        labels = [_label(text, figure) for text in texts_of(figure)]
        for text in texts_of(figure):
            text.set_visible(False)
        figure.savefig(
            image, format="png", dpi=_PICTURE_DPI, metadata={"Software": None}, pil_kwargs=QUICK_PNG
        )
    group = page.shapes.add_group_shape()
    group.name = "picture and its words"
    shown = group.shapes.add_picture(
        image, Inches(place.left), Inches(place.top), Inches(place.width), Inches(place.height)
    )
    shown._element.nvPicPr.cNvPr.set("descr", slide.alt)  # type: ignore[union-attr]
    shown.name = "picture"
    for label in labels:
        box = Box("label", place.left + label.left, place.top + label.top, label.width, label.height)
        _write_label(_box(group.shapes, box), label)


@dataclass(frozen=True)
class _Label:
    """A text of a picture, and its place from the picture's left and top, inches."""

    text: str
    left: float
    top: float
    width: float
    height: float
    size_pt: float
    colour: str
    bold: bool
    align: str


def _label(text: Text, figure: Figure) -> _Label:
    place = text.get_window_extent().transformed(figure.dpi_scale_trans.inverted())
    return _Label(
        text.get_text(),
        place.x0,
        figure.get_figheight() - place.y1,
        place.width,
        place.height,
        float(text.get_fontsize()),
        to_hex(text.get_color()),
        text.get_fontweight() == "bold",
        text.get_horizontalalignment(),
    )


def _write_label(shape: Shape, label: _Label) -> None:
    from pptx.enum.text import MSO_ANCHOR

    _fill(shape, label.text, label.size_pt, label.colour, label.bold, label.align)
    frame = shape.text_frame
    frame.word_wrap, frame.vertical_anchor = False, MSO_ANCHOR.MIDDLE


def _place(shape: Shape, box: Box) -> None:
    from pptx.util import Inches

    shape.left, shape.top, shape.width, shape.height = (
        Inches(v) for v in (box.left, box.top, box.width, box.height)
    )


def _box(shapes: _BaseGroupShapes, box: Box) -> Shape:
    from pptx.util import Inches

    shape = shapes.add_textbox(*(Inches(v) for v in (box.left, box.top, box.width, box.height)))
    shape.name = box.name
    return shape


def _write(shape: Shape, text: str, box: Box, colour: str, slide_number: bool = False) -> None:
    """Write a text into its box, at the size that fits."""
    size, _ = fit(text, box)
    runs = _fill(shape, text, size, colour, box.bold, "right" if slide_number else "left")
    for run in runs if slide_number else ():
        _make_field(run)


def _fill(shape: Shape, text: str, size: float, colour: str, bold: bool, align: str) -> list[_Run]:
    """Give a shape its text and its look; return its runs."""
    from pptx.dml.color import RGBColor
    from pptx.enum.lang import MSO_LANGUAGE_ID
    from pptx.enum.text import MSO_ANCHOR, MSO_AUTO_SIZE, PP_ALIGN
    from pptx.util import Pt

    frame = shape.text_frame
    frame.word_wrap, frame.auto_size, frame.vertical_anchor = True, MSO_AUTO_SIZE.NONE, MSO_ANCHOR.TOP
    frame.margin_left = frame.margin_right = frame.margin_top = frame.margin_bottom = 0
    frame.text = text
    runs = []
    for paragraph in frame.paragraphs:
        paragraph.alignment = {"left": PP_ALIGN.LEFT, "center": PP_ALIGN.CENTER, "right": PP_ALIGN.RIGHT}[
            align
        ]
        paragraph.line_spacing = Pt(size * LINE_HEIGHT)
        for run in paragraph.runs:
            run.font.name, run.font.size, run.font.bold = SLIDE_FACE, Pt(size), bold
            run.font.color.rgb = RGBColor.from_string(colour.lstrip("#"))
            run.font.language_id = MSO_LANGUAGE_ID.ENGLISH_US
            runs.append(run)
    return runs


def _make_field(run: _Run) -> None:
    """Turn a run into a field that shows the number of its slide, wherever the slide is moved."""
    element = run._r
    element.tag = element.tag.replace("}r", "}fld")
    element.set("id", "{5C7D2B64-3A0E-4E7B-9E1C-2A6B8F0D4C11}")
    element.set("type", "slidenum")
