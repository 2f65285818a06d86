"""The panel of timed trials says what the library says, keeps orders and sessions, and prints its sheet."""

from __future__ import annotations

import re
from types import SimpleNamespace

import numpy as np
import pytest
from pypdf import PdfReader

from bladelab import (
    pairs_needed,
)
from bladelab._data import data_file
from bladelab.rink.order import draw_order
from bladelab.rink.reading import read_session
from bladelab.rink.session import sessions_together
from bladelab.rink.simulate import SessionPlan, looking_early, simulate_sessions
from bladelab.show.panels.rink.timed import timed_panel
from bladelab.show.panels.rink.timed_answer import timed_answer
from bladelab.show.panels.rink.timed_plan import TimedSessions, needed
from bladelab.show.panels.rink.written import offer_more
from tests.show.engine_checks import check_panel, hand, set_state


@pytest.fixture
def timed(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    return timed_panel()


@pytest.mark.slow
def test_the_timed_trial_does_what_every_panel_does(timed):
    check_panel(lambda: timed_panel().panel)


def test_the_timed_trial_says_what_the_library_says(timed):
    session = read_session(data_file("demo/timed_session.csv"))
    result, said = session.result, timed.panel.sentence_text
    percent, low, high = result.percent
    assert f"{-result.difference:.2f} s quicker, {-percent:.1f} %" in said
    assert f"anything from {-low:.1f} % quicker to {-high:.1f} % quicker" in said
    assert f"by chance in {100 * result.p:.2g} % of such sessions (counted by swapping A and B within" in said
    assert f"the pairs: {100 * result.p_permutation:.2g} %)" in said
    assert f"A single run scattered by {result.cv_percent:.1f} %; at that, 2.0 % takes " in said
    assert f"takes {pairs_needed(2.0, result.cv_percent)} pairs" in said
    assert f"The first two runs were {-session.warm_up.value:.2f} s quicker" in said
    assert timed.panel.view.headline.get_text() == f"B is {-percent:.1f} % quicker than A"
    assert timed.panel.view.each.get_ydata() == pytest.approx(result.differences)


def test_the_plan_says_openly_how_many_it_takes(timed):
    panel = timed.panel
    hand(panel, "sessions", "none yet: plan them")
    hand(panel, "drill", "the mean of seven short sprints (1.4 %)")
    set_state(panel, {"difference_percent": 1.0, "count": 10})
    takes = "takes 33 pairs; this session's 10 pairs show a difference of 2.0 %"
    assert f"(4 times in 5, where there is one) {takes}" in panel.sentence_text
    assert f"in {100 * looking_early(10):.0f} of 100 sessions, not in 5" in panel.sentence_text
    set_state(panel, {"count": 3})
    assert "not in 5" not in panel.sentence_text, "so few can be looked at once"
    set_state(panel, {"count": 10})
    order = draw_order(10, "pairs", 6)
    assert f"The order drawn is {' '.join(order.blocks)}" in panel.sentence_text
    hand(panel, "design", "ABBA")
    assert "40 runs with" in panel.sentence_text and "a steady drift" in panel.sentence_text


def test_times_are_typed_one_after_the_other_in_an_order_that_stays(timed):
    order = draw_order(10, "pairs", 6)
    assert f"Next: run 1 of 20, on <b>{order.runs[0]}</b>. Type x for a run" in timed.line.value
    assert "as long as this page" not in timed.line.value
    for text in ("4.02", "4,10", "x", "4.00", "4.05 4.11"):
        timed.next_time.value = text
        assert timed.next_time.value == ""
    assert f"Next: run 7 of 20, on <b>{order.runs[6]}</b>." in timed.line.value
    assert "Typed times last as long as this page" in timed.line.value
    timed.panel.dials["seed"].value = 8  # what is skated stays skated
    timed.next_time.value = "4.01"
    session = timed.panel.dials["sessions"].value.last
    assert session.order == order
    assert session.time_s[:7].tolist()[:2] == [4.02, 4.1] and np.isnan(session.time_s[2])
    assert "You are looking early: 2 of 10 pairs are complete. Finish them" in timed.panel.sentence_text
    timed.take_back()
    assert timed.message.text == "Run 7 taken back." and "run 7 of 20" in timed.line.value


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("soon", "the time is 'soon'; it must be a number"),
        ("0.05", "time_s is 0.05 s; it must be at least 0.2 s"),
        ("4 4 4 4 4", "5 times are typed; this session has 4 runs"),
    ],
)
def test_a_time_that_can_not_be_is_said_and_stays_in_the_field(timed, text, said):
    timed.panel.dials["count"].value = 2
    before = timed.panel.dials["sessions"].value
    timed.next_time.value = text
    assert said in timed.message.text and timed.next_time.value == text
    assert timed.panel.dials["sessions"].value is before


def test_sessions_are_kept_saved_and_brought_back(timed, tmp_path):
    timed.panel.dials["count"].value = 5
    for text in "4.0 4.1 4.0 4.2 3.9 4.1 4.0 4.0 4.1 4.2".split():
        timed.next_time.value = text
    assert timed.line.value.startswith("<p>All 10 runs are timed. ")
    timed.next_time.value = "4.0"
    assert "all 10 runs are timed" in timed.message.text
    timed.save_times()
    assert timed.message.text == "Saved as saved/timed_session-1.csv."
    first = timed.panel.dials["sessions"].value.last
    assert read_session(tmp_path / "saved/timed_session-1.csv").time_s.tolist() == first.time_s.tolist()
    timed.another()
    assert "run 1 of 10" in timed.line.value
    timed.next_time.value = "4.1 4.1 4.0 4.1 3.9 4.1 4.0 4.2 4.1 4.2"
    both = timed.panel.dials["sessions"].value
    assert len(both.sessions) == 2 and both.sessions[0] == first
    assert "In 2 sessions B was" in timed.panel.sentence_text
    together = sessions_together(both.sessions).together
    assert timed.panel.result.outcome.together == together and together.pairs == 10
    timed.bring("own.csv", tmp_path / "saved/timed_session-1.csv")
    assert timed.message.text == "Taken over: 10 runs, with 1 session before."
    assert timed.panel.state().sessions.last.result == first.result
    assert timed.panel.result.outcome.together.pairs == 10


def test_a_finished_session_with_a_run_that_does_not_count_is_not_called_early(timed):
    timed.panel.dials["count"].value = 3
    for text in "4.0 4.1 x 4.2 3.9".split():
        timed.next_time.value = text
    assert timed.panel.fault and timed.panel.sentence_text.startswith(
        "4 runs are timed so far, and 1 pair is complete; there must be at least 2 complete pairs"
    )
    timed.next_time.value = "4.11"
    assert not timed.panel.fault and "looking early" not in timed.panel.sentence_text
    assert "1 of the 3 pairs planned is not complete and doesn't count." in timed.panel.sentence_text
    timed.take_back()
    timed.take_back()
    timed.another()
    assert "fewer than 2 pairs" in timed.message.text


def test_so_few_pairs_are_said_to_be_few(timed):
    timed.panel.dials["count"].value = 5
    order = timed.order.runs
    for at, blade in enumerate(order):
        timed.next_time.value = f"{4.0 + 0.01 * (at % 3) + (0.2 if blade == 'B' else 0):.2f}"
    said = timed.panel.sentence_text  # all 5 one way: 2 of 32 ways to swap
    assert "within the pairs: 6.2 %, the least that 5 pairs can give)" in said


def test_sessions_of_two_files_are_taken_together(timed, tmp_path):
    first, second = tmp_path / "one.csv", tmp_path / "two.csv"
    first.write_text("blade,time_s\nA,4.0\nB,3.9\nB,3.95\nA,4.02\n")
    second.write_text("blade;time_s\nB;3,91\nA;4,03\nA;4,05\nB;3,9\n")
    timed.bring("one.csv", first)
    timed.another()
    timed.bring("two.csv", second)
    assert timed.message.text == "Taken over: 4 runs, with 1 session before."
    together = sessions_together([read_session(first), read_session(second)]).together
    assert timed.panel.result.outcome.together == together and together.pairs == 4
    blocks = [f"{blade};{at // 4};{4 + at / 50:.2f}" for at, blade in enumerate("BAABABBA")]
    second.write_text("\n".join(["blade;block;time_s", *blocks]).replace(".", ","))
    timed.bring("two.csv", second)
    assert timed.message.text.startswith("Taken over: 8 runs, with 1 session before. But the sessions have ")


def session_of(folder, blades, times):
    """A session: the blades in a word, the times in the order of the runs."""
    file = folder / "session.csv"
    rows = [f"{blade},{time}" for blade, time in zip(blades, times, strict=True)]
    file.write_text("\n".join(["blade,time_s", *rows]))
    return read_session(file)


def said_of(*sessions):
    """What the panel says of these sessions."""
    found = TimedSessions(sessions)
    state = {
        "sessions": found,
        "difference_percent": 2.0,
        "prefers_a": 0,
        "prefers_b": 0,
        "prefers_neither": 0,
    }
    return timed_answer(SimpleNamespace(**state)).sentence


@pytest.mark.parametrize(
    ("blades", "times", "said"),
    [
        (
            "ABBAAB",
            (4.0, 3.9, 3.95, 6.0, 4.01, 3.92),
            "Run 4, 6.00 s, is more than a quarter off the others: a slip of the thumb, or a fall?",
        ),
        (
            "AAABBBAAA",
            (4.0, 4.1, 4.05, 3.9, 3.95, 3.92, 4.01, 4.06, 4.03),
            "% of such sessions. The order was not drawn, so that a drift that bends can look like a differ",
        ),
        ("ABBAAB", (4.0, 4.001, 4.0012, 4.0, 4.01, 4.011), "anything from no difference to no difference is"),
        (
            "ABBABAABABBAABBABAAB",  # 0.3 s more after each run on B, but for a few thousandths
            (4.0, 4.01, 4.3, 4.31, 4, 4.3, 4, 4, 4.31, 4, 4.3, 4.31, 4, 4, 4.3, 4.3, 4.01, 4.3, 4, 4),
            "A run after one on B was 0.30 s slower than one after A: something carries over.",
        ),
    ],
)  # fmt: skip
def test_what_else_is_in_the_times_is_said(tmp_path, blades, times, said):
    assert said in said_of(session_of(tmp_path, blades, times))


def test_a_difference_too_small_to_say_is_said_as_none(timed, tmp_path):
    session = session_of(tmp_path, "ABBAAB", (4.0, 4.001, 4.0012, 4.0, 4.01, 4.011))
    offer_more(timed.panel, "sessions", "own", TimedSessions((session,)))
    view = timed.panel.view
    assert view.headline.get_text() == "B is as quick as A"
    heights = [view.tags[name].get_position()[1] for name in "AB"]
    assert abs(heights[0] - heights[1]) == pytest.approx(0.09 * 0.02)  # their names are apart all the same


def test_sessions_that_do_not_agree_are_said_so(tmp_path):
    first, second = (
        session_of(tmp_path, "ABBAAB", [4.0, 4.0 + b, 4.01 + b, 4.01, 4.02, 4.03 + b]) for b in (0.4, -0.4)
    )
    said = "In 2 sessions B was 10.1 % slower and 9.9 % quicker. The sessions don't agree: look for what"
    assert said in said_of(first, second)


def test_a_scatter_that_hides_everything_takes_thousands_of_pairs():
    assert needed("pairs", 0.1, 50.0) is None


def test_what_the_form_can_not_do_is_said(timed, tmp_path):
    timed.take_back()
    assert timed.message.text == "Not taken back: no time is typed."
    (tmp_path / "bad.csv").write_text("no table")
    timed.bring("bad.csv", tmp_path / "bad.csv")
    assert timed.message.text.startswith("Not taken over: ")
    (tmp_path / "saved").write_text("a file where the folder should be")
    timed.save_times()
    assert timed.message.text.startswith("Not saved: ") and "saved" in timed.message.text
    timed.print_sheet()
    assert timed.message.text.startswith("Not printed: ")
    timed.panel.dials["sessions"].offer(())
    timed.save_times()
    assert timed.message.text == "Not saved: no run is timed."


def test_the_sheet_has_every_run_in_the_order_drawn(timed, tmp_path):
    timed.panel.dials["count"].value = 12
    timed.drill.value = "one lap"
    timed.print_sheet()
    assert timed.message.text.startswith("Saved as saved/timed_sheet-1.pdf")
    pages = PdfReader(tmp_path / "saved/timed_sheet-1.pdf").pages
    text = "\n".join(page.extract_text() for page in pages)
    order = draw_order(12, "pairs", 6)
    for number, blade in enumerate(order.runs, 1):
        pair = f", pair {number // 2 + 1}" if number % 2 else ""
        assert re.search(rf"^{number}{pair}\s+{blade}$", text, re.M), (number, text)
    assert "24 runs of one lap, to show" in " ".join(text.split())
    assert "order 6" in text and "easy laps after a change of steel" in " ".join(text.split())


@pytest.mark.slow
def test_the_plan_is_played_through(timed):
    set_state(timed.panel, {"sessions": None, "count": 20, "difference_percent": 2.0})
    timed.play()
    *_, last = simulate_sessions(SessionPlan(20, "pairs", -2.0, 2.1), 2000)
    assert f"{100 * last.found:.0f} % found it" in timed.work.report
    looking = f"{100 * last.false_alarms_by_looking:.0f} % did where someone looked after every pair"
    assert looking in timed.work.report


def test_blind_preferences_are_counted(timed):
    set_state(timed.panel, {"prefers_a": 1, "prefers_b": 9, "prefers_neither": 2})
    assert "Blind, B was preferred 9 times and A 1; 2 undecided" in timed.panel.sentence_text
    assert (
        "tossing a coin is that uneven 2.1 % of the time, so that is a preference."
        in timed.panel.sentence_text
    )
    set_state(timed.panel, {"prefers_a": 2})
    assert "that may be the toss of a coin" in timed.panel.sentence_text


def test_on_a_phone_the_plan_and_the_pairs_have_one_place(timed):
    timed.panel.lay_out(narrow=True)
    view = timed.panel.view
    places = [axes.get_position(original=True).bounds for axes in (view.pairs, view.plan)]
    assert places[0] == pytest.approx(places[1]) and places[0][1] * view.height_px < 60
    assert view.times.get_position(original=True).y0 > places[0][1] + places[0][3]


def test_every_dial_of_the_timed_trial_is_on_the_page(timed):
    names = [control["name"] for control in timed.panel._spec["controls"]]
    assert len(set(names)) == len(names)
    hand(timed.panel, "count", 3)
    assert timed.panel.state().count == 5 and timed.panel._units.value == "feet and inches"
