"""The trainer on the eve of a clinic: slides, handout and quiz for a group of 50 kg, and the pages to show.

In metres: blade A is 10 ft, blade B 3.80 m. What the written files say is compared with the library.
"""

import shutil
import subprocess

import pytest
from playwright.sync_api import expect
from pptx import Presentation

from bladelab import MOMENTS, Blade, Hollow, Ice, Rocker, Stance, feet, inches, solve_contact
from bladelab.show.clinic.quiz import QUESTIONS, pair
from tests.journeys import meant
from tests.journeys.reading import told

A = Blade(Rocker.single(feet(10), 280), Hollow(inches("1/2"), 3.0))
B = Blade(Rocker.single(3800, 280), Hollow(inches("5/8"), 3.0))
MASS_KG, G = 50, 9.81


def test_the_clinic_is_written_with_the_numbers_chosen(person, own_files):
    trainer = person("lab")
    clinic, quiz = trainer.open("15_the_clinic.ipynb")
    clinic.choose("units", meant.METRIC)
    clinic.set("radius_b_mm", 3.8)
    clinic.set("mass_kg", MASS_KG)
    clinic.says("3.80 m", "50 kg")
    clinic.is_true()

    page = trainer.page.page
    page.locator(".lm-TabBar-tab", has_text="files").first.click()
    for other in ("pictures (SVG", "quiz as slides", "quiz to take home"):
        page.locator(".widget-checkbox", has_text=other).locator("input").click()
    page.get_by_role("button", name="write the files").click()
    report = page.locator(".bladelab-report:visible", has_text="files written")
    report.first.wait_for(timeout=60_000)
    (slides,) = (own_files / "saved").rglob("*.pptx")
    says_the_numbers(text_of_slides(slides))
    handout, pages = sorted((own_files / "saved").rglob("*.pdf"), key=lambda p: "handout" not in p.name)
    if shutil.which("pdftotext") is None:
        pytest.skip("no pdftotext on this machine: the PDF files were not read (install poppler-utils)")
    assert told(text_of_pdf(handout), MASS_KG, "kg") and told(text_of_pdf(handout), 3.8, "m")
    says_the_numbers(text_of_pdf(pages), by_slides_alone=True)

    quiz.units = meant.METRIC  # one choice for the whole notebook
    quiz.set("pair", 4)
    quiz.choose("guess", "blade A")
    first, second = pair(4)
    assert QUESTIONS[0].key == "turn"
    for blade in (first, second):
        turn = solve_contact(blade, tight_turn(60), Ice(-5)).carve_radius_m
        quiz.tells(2 * float(turn), "m", after="draws a circle")
    quiz.is_true()
    fills_the_screen_for_a_room(page)


def fills_the_screen_for_a_room(page):
    """The quiz on the whole screen: its sentence in letters as on a slide, 22 points on a page 540 high."""
    page.get_by_role("button", name="full screen", exact=True).last.click()
    page.get_by_role("button", name="leave full screen").wait_for()
    letters, bottom, high = page.evaluate("""() => {
      const said = document.querySelector('.bladelab-panel:fullscreen .bladelab-sentence');
      const { bottom } = said.getBoundingClientRect();
      return [parseFloat(getComputedStyle(said).fontSize), bottom, innerHeight]}""")
    assert letters >= 22 / 540 * high and bottom <= high
    page.get_by_role("button", name="leave full screen").click()


def tight_turn(mass_kg):
    """The stance of a tight turn: leaned 45 degrees, which carries more than the weight."""
    (moment,) = [one for one in MOMENTS if one.name == "tight turn"]
    return moment.stance(mass_kg)


def says_the_numbers(text, by_slides_alone=False):
    """The radii that were chosen, and the turns that follow from them."""
    assert told(text, 3.8, "m")
    for blade in (A, B):
        turn = solve_contact(blade, tight_turn(MASS_KG), Ice(-5)).carve_radius_m
        across = 2 * float(turn)
        assert told(text, across, "m"), f"the slides don't tell the circle of {across:.3f} m"
    assert by_slides_alone or told(text, MASS_KG, "kg")


def text_of_slides(path):
    """All that is written on the slides and in their notes."""
    texts = []
    for slide in Presentation(path).slides:
        texts += [shape.text_frame.text for shape in slide.shapes if shape.has_text_frame]
        texts.append(slide.notes_slide.notes_text_frame.text)
    return " | ".join(texts)


def text_of_pdf(path):
    """All that is written in a PDF."""
    return subprocess.run(["pdftotext", path, "-"], capture_output=True, text=True, check=True).stdout


def test_the_pages_to_show_say_what_is_meant(person):
    trainer = person("lab")
    (panel,) = trainer.open("16_how_far_to_trust_it.ipynb")
    panel.choose("units", meant.METRIC)
    panel.set("mass_kg", MASS_KG)
    stance = Stance(MASS_KG * G, 15, 20)
    contact = solve_contact(Blade(Rocker.single(feet(10), 280), Hollow(inches("5/8"), 2.9)), stance, Ice(-5))
    panel.tells(contact.depth_mm, "mm")
    panel.tells(contact.length_mm, "mm")
    panel.tells(float(contact.carve_radius_m), "m")
    panel.is_true()

    (panel,) = trainer.open("00_start_here.ipynb")
    panel.set("present.radius_mm", 9)
    panel.button("start the trial from the present blade")
    for name in [name for name in panel.fresh.controls if name.startswith("present.")]:
        panel.fresh.meant[name.replace("present", "trial")] = panel.fresh.meant[name]
    panel.says("The two blades are the same")
    where_there_is_no_book_nothing_is_written(panel.panel.locator(".bladelab-bar"))
    panel.is_true()


def where_there_is_no_book_nothing_is_written(bar):
    """A card can't be opened, the page says why, and offers none."""
    bar.locator("[data-dial=skater]").select_option("+")
    bar.get_by_label("code of the new skater").fill("K07")
    bar.get_by_role("button", name="open a card").click()
    expect(bar).to_contain_text("There is no book to write in")
    expect(bar.locator("[data-dial=skater] option")).to_have_count(2)
