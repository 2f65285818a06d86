"""Numbers in words are as precise as they are known."""

import pytest

from bladelab.show.canvas.result import Result
from bladelab.show.panels.workshop.measure_words import lowest_words
from bladelab.show.wording.words import articles, capital, ended, error_causes, plus_minus


@pytest.mark.parametrize(
    ("value", "error", "decimals", "said"),
    [
        (9.0, 0.12, 2, "9.00 ± 0.12"),
        (9.0, 0.004, 2, "9.000 ± 0.004"),
        (-36.04, 0.3, 1, "−36.0 ± 0.3"),
        (9.0, 0.0, 2, "9.0000"),
        (9.0, 1e-9, 2, "9.0000"),
        (0.2, 0.03, 1, "0.20 ± 0.03"),
    ],
)
def test_an_error_is_never_said_as_nothing(value, error, decimals, said):
    assert plus_minus(value, error, decimals) == said


def test_the_largest_cause_of_an_error_comes_first():
    said = error_causes({"the lens": 0.03, "the marks": 0.118, "the rim": 0.0}, "mm")
    assert said == "The error comes from, in mm: the marks 0.12, the lens 0.03, the rim 0"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("Which turns tighter?", "Which turns tighter?"),
        ("It bites", "It bites."),
        ("Done.", "Done."),
        ("", ""),
    ],
)
def test_a_sentence_ends_once(words, said):
    assert ended(words) == said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("the file is empty", "The file is empty"),
        ("k07-left.csv: the file is empty", "k07-left.csv: the file is empty"),
        ("taken from roster.csv: 12 skaters", "Taken from roster.csv: 12 skaters"),
        ("foto.HEIC is a HEIC picture", "foto.HEIC is a HEIC picture"),
        ("the ice is at 0.5: colder", "The ice is at 0.5: colder"),
    ],
)
def test_a_sentence_begins_with_a_capital_but_a_file_keeps_its_name(words, said):
    assert capital(words) == said


@pytest.mark.parametrize(
    ("x_mm", "error_mm", "said"),
    [
        (0.02, 0.14, "at the middle, ± 0.1 mm"),
        (-0.3, 0.01, "0.3 ± 0.1 mm behind the middle"),
        (1.7, 0.3, "1.7 ± 0.3 mm ahead of the middle"),
    ],
)
def test_a_lowest_point_is_never_said_as_0_0(x_mm, error_mm, said):
    assert lowest_words(x_mm, error_mm) == said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("a 11/16 in hollow and a 5/8 in one", "an 11/16 in hollow and a 5/8 in one"),
        ("a 8 ft blade, a 18 mm step, a 85 kg skater", "an 8 ft blade, an 18 mm step, an 85 kg skater"),
        ("a 1/8 in step, a 110 % push, a 180 lb skater", "a 1/8 in step, a 110 % push, a 180 lb skater"),
        ("on blade A 8.2 mm; 1 in a 1,000", "on blade A 8.2 mm; 1 in a 1,000"),
    ],
)
def test_an_article_fits_the_number_after_it(words, said):
    assert articles(words) == said


def test_a_result_has_fitting_articles():
    found = Result(finding="a 11 ft blade", sentence="It is a 8 ft blade.")
    assert (found.finding, found.sentence) == ("an 11 ft blade", "It is an 8 ft blade.")
