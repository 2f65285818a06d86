"""The invented team: as its script makes it, and with something for every page to show."""

import importlib.util
from pathlib import Path

from bladelab._data import data_file
from bladelab.book.check import check_grinding
from bladelab.book.invented import as_document, invented_cards, invented_entries
from bladelab.book.steel_happenings import LEFT_AND_RIGHT

SCRIPT = Path(__file__).parents[2] / "tools" / "make_demo_book.py"


def test_the_file_is_what_the_script_makes():
    spec = importlib.util.spec_from_file_location("make_demo_book", SCRIPT)
    script = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(script)
    assert as_document(script.book()) == data_file("demo/book.json").read_text(encoding="utf-8")


def test_there_is_something_for_every_page():
    cards = invented_cards()
    assert len(cards) == 18 and {card.team for card in cards.values()} == {"U15"}
    assert len({card.fitted["left"] for card in cards.values()}) > 1
    assert any(len(card.steel) == 2 and not card.steel["S1"].retired_on for card in cards.values())
    assert any(steel.retired_on for card in cards.values() for steel in card.steel.values())
    edges = [card.edge(side) for card in cards.values() for side in LEFT_AND_RIGHT]
    assert any(edge.order and not edge.order_done for edge in edges)
    assert any(edge.measured is not None for edge in edges)
    assert check_grinding(cards["N09"], "S1").verdict == "outside"
    assert any(len(card.trials) == 3 for card in cards.values()) and any(c.trial for c in cards.values())
    assert any(card.complaint for card in cards.values())
    left = [card.on("left").left_above_least_mm for card in cards.values()]
    assert 0 < min(left) < 1 < max(left)
    assert cards["N16"].mass_kg < 60.0  # the weight with its digits swapped was struck out
    assert [entry.number for entry in invented_entries()] == list(range(1, len(invented_entries()) + 1))
