"""The panel of a complaint says what the library says, and goes on from the card."""

from __future__ import annotations

import datetime

import pytest

from bladelab import CAUSES, COMPLAINTS, Facts, next_check
from bladelab.advice.complaint_numbers import model_says
from bladelab.book.entry import Entry
from bladelab.book.happenings import Circumstances, Complained
from bladelab.book.steel_happenings import Fitted, Sharpened
from bladelab.book.store import open_book
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.complaint import complaint_panel
from tests.show.engine_checks import check_panel, click, hand, picture_texts

TODAY = datetime.date.today()


def write(path, *happenings, skater="K07"):
    """What another notebook writes to the same book: pairs of so many days ago, and what."""
    days = datetime.timedelta(days=1)
    open_book(path).add(*(Entry(skater, TODAY - ago * days, what) for ago, what in happenings))


def answers(panel) -> dict[str, str]:
    return {cause: said for cause in CAUSES if (said := panel.dials[f"found_{cause}"].value)}


@pytest.mark.slow
def test_it_behaves_like_every_panel():
    check_panel(complaint_panel)


@pytest.mark.parametrize("complaint", COMPLAINTS.values(), ids=lambda one: one.key)
def test_the_ladder_is_the_librarys(complaint):
    panel = complaint_panel()
    hand(panel, "complaint", complaint.said)
    hand(panel, "skate", "right")
    ladder = next_check(complaint.key, "right").ladder
    shown = picture_texts(panel)
    assert [text for text in shown if text in {c.name for c in CAUSES.values()}] == [
        r.cause.name for r in ladder
    ]
    on_view = {name for name, dial in panel.dials.items() if name.startswith("found_") and dial.shown}
    assert on_view == {f"found_{rung.cause.key}" for rung in ladder}
    places = {name: panel.dials[name].page()["place"] for name in on_view}
    assert sorted(places, key=places.get) == [f"found_{rung.cause.key}" for rung in ladder]
    assert ladder[0].cause.how in panel.sentence_text and ladder[0].cause.yes[1:] in panel.sentence_text
    assert shown.count("next") == 1


@pytest.mark.slow
def test_no_text_runs_out_of_the_picture_or_into_another():
    panel = complaint_panel()
    for complaint in COMPLAINTS:
        for said in ("", "no", "yes"):
            with panel.quiet():
                panel.dials["complaint"].value = complaint
                for cause in CAUSES:
                    panel.dials[f"found_{cause}"].value = said
            width = panel.view.width_px
            boxes = [panel.view.headline.get_window_extent()]
            for _, words in panel.view.ladder.rungs:
                lines = [words[name].get_window_extent() for name in ("name", "state", "detail", "time")]
                for left, right in (lines[:2], lines[2:]):
                    assert not right.width or left.x1 < right.x0 or not words["name"].get_visible()
                boxes += [box for box in lines if words["name"].get_visible()]
            assert all(0 <= box.x0 and box.x1 <= width for box in boxes)


def test_checks_lead_on_and_a_find_ends_them():
    panel = complaint_panel()
    assert "First: edges dull or nicked" in panel.view.headline.get_text()
    assert model_says("dull") in panel.sentence_text
    assert "See notebook 24, How dull may an edge be" in panel.sentence_text
    hand(panel, "found_dull", "no")
    assert "Next: burr left on an edge" in panel.view.headline.get_text()
    assert {"ruled out", "Both edges are sharp."} <= set(picture_texts(panel))
    hand(panel, "found_uneven", "yes")
    assert "Found: one edge higher than the other" in panel.view.headline.get_text()
    assert CAUSES["uneven"].yes in panel.sentence_text and model_says("uneven") in panel.sentence_text
    assert "next" not in picture_texts(panel) and "found" in picture_texts(panel)
    click(panel, "clear the checks")
    assert answers(panel) == {} and "First: edges dull" in panel.view.headline.get_text()


def test_when_every_check_says_no_it_names_the_next_notebook():
    panel = complaint_panel()
    with panel.quiet():
        for cause in CAUSES:
            panel.dials[f"found_{cause}"].value = "no"
    assert "Every check says no" in panel.view.headline.get_text()
    assert COMPLAINTS["no bite"].then in panel.sentence_text
    assert "See notebook 02, The hollow and the bite." in panel.sentence_text


@pytest.mark.parametrize(
    ("dial", "text", "facts"),
    [
        ("sharpened", "today or yesterday", Facts(days_since_sharpened=1)),
        ("sharpened", "more than 20 hours of ice ago", Facts(hours_since_sharpened=30)),
        ("changed", "new steel", Facts(days_since_new_steel=0)),
        ("changed", "a new shape (profiled)", Facts(days_since_ground=0)),
        ("changed", "new boots or insoles", Facts(new_boots=True)),
        ("changed", "other ice than usual", Facts(other_ice=True)),
    ],
)
def test_what_the_user_knows_is_a_fact(dial, text, facts):
    panel = complaint_panel()
    for complaint in COMPLAINTS.values():
        hand(panel, "complaint", complaint.said)
        hand(panel, dial, text)
        assert panel.sentence_text.startswith(next_check(complaint.key, facts=facts).sentence)


def test_the_checks_follow_the_ladder_when_what_is_known_changes(book_file):
    panel = complaint_panel()

    def order():
        """The checks as the page puts them: by place, then as declared."""
        dials = {name: dial for name, dial in panel.dials.items() if name.startswith("found_") and dial.shown}
        return sorted(dials, key=lambda name: dials[name].place)

    before = order()
    hand(panel, "sharpened", "today or yesterday")
    assert order() != before and order() == [f"found_{r.cause.key}" for r in panel.result.advice.ladder]
    answered = order()
    hand(panel, answered[0], "no")
    assert order() == answered, "an answer moves nothing away from under the hand"
    SKATER.begin("K07")
    write(book_file, (3, Complained("slow glide", "left", {})))
    SKATER.load()
    assert order() == [f"found_{r.cause.key}" for r in panel.result.advice.ladder] != answered


def test_answers_outlast_another_complaint_but_not_another_skate():
    panel = complaint_panel()
    hand(panel, "found_dull", "no")
    hand(panel, "complaint", COMPLAINTS["wobbles"].said)
    hand(panel, "skate", "left")
    assert answers(panel) == {"dull": "no"}, "both edges were looked at, so this one was"
    hand(panel, "skate", "right")
    assert answers(panel) == {}


# With a card ------------------------------------------------------------------------------------


def test_with_no_skater_nothing_is_written(book_file):
    panel = complaint_panel()
    hand(panel, "found_dull", "no")
    click(panel, "write it on the card")
    assert panel._report["text"] == "Nothing is written: no skater is chosen."
    assert not book_file.exists() and answers(panel) == {"dull": "no"}


def test_it_writes_on_the_card_and_goes_on_from_there(book_file):
    SKATER.begin("K07")
    panel = complaint_panel()
    for dial, at in (
        ("complaint", "wobbles"),
        ("skate", "left"),
        ("found_loose", "no"),
        ("found_dull", "no"),
    ):
        hand(panel, dial, at)
    click(panel, "write it on the card")
    assert panel._report["text"] == "Written on the card of K07."
    kept = open_book(book_file).card("K07").complaint
    assert kept == Complained("wobbles", "left", {"loose": "no", "dull": "no"}, "new")
    hand(panel, "found_new", "no")
    SKATER.write(Circumstances(mass_kg=60.0))
    assert answers(panel) == {"loose": "no", "dull": "no", "new": "no"}, "what is not written yet stays"
    SKATER.side = "right"
    assert answers(panel) == {"loose": "no", "dull": "no", "new": "no"}
    hand(panel, "found_new", "not checked")
    SKATER.close()  # another day, another kernel
    again = complaint_panel()
    assert again.state().complaint == "wobbles" and again.state().skate == "left"
    assert answers(again) == {"loose": "no", "dull": "no"}
    assert again.sentence_text == panel.sentence_text


def test_answers_about_causes_of_other_complaints_are_not_written(book_file):
    SKATER.begin("K07")
    panel = complaint_panel()
    hand(panel, "found_hollow", "no")
    hand(panel, "complaint", COMPLAINTS["hurts"].said)
    click(panel, "write it on the card")
    assert SKATER.card.complaint == Complained("hurts", "", {}, "laces")


def test_once_the_steel_was_worked_on_the_checks_start_again(book_file):
    write(
        book_file,
        (9, Fitted("S1")),
        (5, Complained("no bite", "left", {"dull": "yes"})),
        (2, Sharpened("S1")),
    )
    SKATER.choose("K07")
    panel = complaint_panel()
    assert (panel.state().complaint, panel.state().skate, answers(panel)) == ("no bite", "left", {})
    assert "because it was sharpened 2 days ago" in panel.sentence_text


def test_the_card_knows_when_it_was_sharpened_and_a_dial_overrules_it(book_file):
    hours = Circumstances(hours_per_week=7.0)
    write(book_file, (90, Fitted("S1")), (90, hours), (40, Sharpened("S1", 12.7)))
    SKATER.choose("K07")
    panel = complaint_panel()
    assert "because it was last sharpened about 40 hours of ice ago" in panel.sentence_text
    hand(panel, "sharpened", "today or yesterday")
    assert "because it was sharpened yesterday" in panel.sentence_text
    hand(panel, "sharpened", "unknown, or see the card")
    SKATER.write(Sharpened("S1", 12.7))
    assert "because it was sharpened today" in panel.sentence_text, "it follows what is written elsewhere"


def test_one_skaters_checks_are_not_taken_for_anothers(book_file):
    write(book_file, (3, Complained("hard to turn", "right", {"dull": "no"})), skater="A1")
    write(book_file, (3, Fitted("S1")), skater="B2")
    panel = complaint_panel()
    hand(panel, "found_burr", "no")
    SKATER.choose("B2")
    assert answers(panel) == {"burr": "no"}, "what was checked before the skater was chosen is this skater's"
    SKATER.choose("A1")
    assert (panel.state().complaint, panel.state().skate, answers(panel)) == (
        "hard to turn",
        "right",
        {"dull": "no"},
    )
    SKATER.choose("B2")
    assert answers(panel) == {}


def test_a_complaint_of_a_newer_list_is_left_alone(book_file):
    write(book_file, (3, Complained("squeals", "", {"moon": "yes"})))
    write(book_file, (3, Complained("wobbles", "", {"moon": "yes", "dull": "no"})), skater="B2")
    SKATER.choose("K07")
    panel = complaint_panel()
    assert panel.state().complaint == "no bite" and answers(panel) == {}
    SKATER.choose("B2")
    assert panel.state().complaint == "wobbles" and answers(panel) == {"dull": "no"}


def test_a_book_that_refuses_says_why_and_nothing_is_lost(book_file):
    SKATER.begin("K07")
    panel = complaint_panel()
    hand(panel, "found_dull", "no")
    open_book(book_file).forget("K07")
    click(panel, "write it on the card")
    assert panel._report["text"] == "Not written: K07 is no longer in the book." and panel._report["fault"]
    assert answers(panel) == {"dull": "no"}
