"""A fitter with one client, from measuring to the season and the next day: what was told once is known.

The journey counts itself. A value is *entered* if the panel doesn't have it already; it is entered *again* if
the collection had been told it before. With a card open that never happens; the same journey with no skater
chosen must count at least 30, or the counter is wrong. The panels are the real ones, in one kernel;
`test_one_skater` shows in the browser that a card goes from notebook to notebook and to the next day.
"""

from __future__ import annotations

from pathlib import Path

from bladelab import Blade, Hollow, Rocker, Trace, steel_to_remove
from bladelab.book.happenings import Circumstances
from bladelab.book.steel_happenings import Fitted, Ordered, Stated, SteelMeasured
from bladelab.show.controls.blade import rocker_of
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.skater import SKATER
from bladelab.show.panels.advice.compare import compare_panel
from bladelab.show.panels.advice.match import match_panel
from bladelab.show.panels.advice.single_change import single_change_panel
from bladelab.show.panels.advice.start import start_panel
from bladelab.show.panels.advice.trials import TrialsPanel
from bladelab.show.panels.workshop.cut import cut_panel
from bladelab.show.panels.workshop.measure import measure_panel
from bladelab.show.panels.workshop.measured_files import measured
from bladelab.show.panels.workshop.season import season_panel
from bladelab.show.panels.workshop.sides import sides_panel
from tests.journeys.edges import heights, write_plain
from tests.show.conftest import book_file, close_panels  # noqa: F401

SAID = Rocker.single(2743.2, 280.0, pivot_mm=4.0)
HOLLOW = Hollow(12.7, 2.9)
MASS, ICE, SPEED, HOURS, HEIGHT, LEAST, TOLERANCE = 61.0, -6.0, 5.0, 7.0, 13.2, 9.5, 0.04


class Fitter:
    """Someone who sets on each panel what it must be about, if it is not there already."""

    def __init__(self):
        self.told, self.again = set(), []

    def wants(self, panel, **values):
        """Set dials by name (``__`` for the dot); count what had been told before."""
        with panel.quiet():
            for name, value in values.items():
                self._want(panel, name.replace("__", "."), value)
        said = panel.sentence_text
        assert not panel.fault or "search again" in said or "no trial in this log" in said, said

    def _want(self, panel, name, value):
        dial = panel.dials[name]
        if dial.value == value or (isinstance(value, float) and abs(dial.value - value) < 1e-6 * abs(value)):
            return
        fact = (name.rsplit(".")[-1], value)
        if fact in self.told:
            self.again.append((panel.panel_name, name, value))
        self.told.add(fact)
        dial.value = value

    def wants_present(self, panel, column="present__"):
        """The present rocker: on a card it is the edge as it was measured; else what was said of it."""
        side = getattr(panel.state(), column.removesuffix("__")) if column else panel.state()
        if SKATER.card is not None:
            assert rocker_of(side) != SAID and side.shape.how == "measured"
            return
        self._want(panel, f"{column.replace('__', '.')}shape", "single")
        self.wants(panel, **{f"{column}radius_mm": 2743.2, f"{column}pivot_mm": 4.0})

    def wants_skater(self, panel):
        """Weight, ice and speed, as far as the panel has them."""
        known = {"mass_kg": MASS, "temperature_C": ICE, "speed_m_s": SPEED}
        self.wants(panel, **{name: value for name, value in known.items() if name in panel.dials})


def press(panel, start):
    """Press a button of the bar, where a card is open."""
    if SKATER.card is None:
        return
    names = [name for name, text in panel.bar.page()["buttons"] if text.startswith(start)]
    assert names, (start, panel.bar.page()["buttons"])
    panel.bar.act("press", names[0])
    assert not SKATER.trouble


def journey(folder: Path, monkeypatch) -> Fitter:
    """The whole task; returns who counted. Nobody looks at the pictures."""
    monkeypatch.chdir(folder)
    monkeypatch.setattr(Panel, "_set_picture", lambda panel, sentence: None)
    fitter = Fitter()
    files = {side: str(write_plain(folder / "measured" / f"{side}.csv", *heights(SAID, seed)))
             for seed, side in enumerate(("left", "right"), 1)}  # fmt: skip
    names = {side: f"measured/{side}.csv" for side in files}

    pair = sides_panel()
    fitter.wants(pair, **names)
    press(pair, "keep both edges on the card")

    compare = compare_panel().panel
    fitter.wants_present(compare)
    fitter.wants(compare, present__hollow_mm=12.7, present__width_mm=2.9, trial__width_mm=2.9)
    fitter.wants_skater(compare)

    changes = single_change_panel()
    fitter.wants_present(changes, "")
    fitter.wants(changes, hollow_mm=12.7)
    fitter.wants_skater(changes)

    start = start_panel()
    fitter.wants_present(start.panel, "")
    fitter.wants(start.panel, hollow_mm=12.7)
    fitter.wants_skater(start.panel)
    if SKATER.card is None:  # the search has to begin again around the blade that was set
        picked = Blade(Rocker.single(3048.0, 280.0, pivot_mm=4.0), Hollow(14.2875, 2.9))
    else:
        picked = start.panel.result.makes
        press(start.panel, "try this next")

    trial = {}
    if SKATER.card is None:
        trial = {
            "trial__radius_mm": picked.rocker.zones[0].radius_mm,
            "trial__pivot_mm": picked.rocker.pivot_mm,
        }
    match = match_panel()
    fitter.wants_present(match)
    fitter.wants(match, hollow_mm=12.7, **trial)
    fitter.wants_skater(match)

    cut = cut_panel()
    fitter.wants_present(cut)
    fitter.wants(cut, height_mm=HEIGHT, least_mm=LEAST, **trial)
    if SKATER.card is not None:
        assert rocker_of(state_of_trial(cut)) == picked.rocker
        SKATER.write(Ordered("S1", picked, tolerance_mm=TOLERANCE))

    after = measure_panel()
    if SKATER.card is None:
        fitter.wants(after, file=names["left"], tolerance_mm=TOLERANCE, shape="single",
                     **{name.removeprefix("trial__"): value for name, value in trial.items()})  # fmt: skip
    else:
        assert rocker_of(after.state()) == picked.rocker and after.state().tolerance_mm == TOLERANCE

    log = TrialsPanel(folder / "trials.csv")
    fitter.wants_skater(log.panel)
    if SKATER.card is None:
        log.form.code.value = "K07"
        fitter.wants(log.panel, hollow_mm=picked.hollow.radius_mm, shape="single",
                     **{name.removeprefix("trial__"): value for name, value in trial.items()})  # fmt: skip
    log.form.ratings["glide"].value = 4
    log.form.add()
    assert "Added to" in log.form.message.value

    season = season_panel()
    present = measured(names["left"]) if SKATER.card else SAID
    wanted = {"height_mm": HEIGHT, "least_mm": LEAST, "ice_hours": HOURS}
    if SKATER.card is None:
        wanted["first_cut_mm"] = min(round(steel_to_remove(present, picked.rocker).largest_mm, 2), 2.0)
    fitter.wants(season, **wanted)

    if SKATER.card is not None:  # the next day
        SKATER.close()
        assert SKATER.code == "K07" and len(SKATER.card.trials) == 1
    tomorrow = compare_panel().panel
    fitter.wants_present(tomorrow)
    fitter.wants(tomorrow, present__hollow_mm=12.7, **trial)
    fitter.wants_skater(tomorrow)
    return fitter


def state_of_trial(panel):
    """The trial's dials with the one length of the panel."""
    state = panel.state()
    state.trial.length_mm = state.length_mm
    return state.trial


def test_with_a_card_open_nothing_is_entered_again(book_file, tmp_path, monkeypatch):  # noqa: F811
    SKATER.begin("K07")
    SKATER.write(  # what the fitter is told, once
        Circumstances(MASS, ICE, SPEED, HOURS), SteelMeasured("S1", HEIGHT, LEAST), Fitted("S1"),
        Stated("S1", Blade(SAID, HOLLOW)),
    )  # fmt: skip
    fitter = journey(tmp_path, monkeypatch)
    assert fitter.again == []
    assert isinstance(SKATER.card.edge("left").measured, Trace)


def test_with_no_skater_the_same_counter_counts_at_least_thirty(book_file, tmp_path, monkeypatch):  # noqa: F811
    fitter = journey(tmp_path, monkeypatch)
    assert len(fitter.again) >= 30, fitter.again
    assert not book_file.exists()
