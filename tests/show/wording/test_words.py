"""Numbers in words are as precise as they are known."""

import pytest

from bladelab.show.wording.words import ended, plus_minus


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
