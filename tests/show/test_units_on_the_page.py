"""What a browser sends back by itself changes no value: a page of our own answers as ipywidgets' sliders do.

Their script (`IntSliderView`, `FloatSliderView` of @jupyter-widgets/controls 2.0) rounds the value to a whole
step between `min` and `max` when it is drawn and when one of `min`, `max`, `step` and `value` changes, and
sends what comes out if it is another number. So does this page, after the kernel has done its work.
"""

from __future__ import annotations

from typing import Any

import comm
import ipywidgets as widgets
import pytest
from comm.base_comm import BaseComm

from bladelab.show.panels_main import main_panel
from bladelab.show.preference import SYSTEMS
from tests.show.bars import make
from tests.show.engine_checks import readout, units

_RANGE = {"min", "max", "step", "value"}


class Page:
    """The models of all widgets that are open, as a browser holds them, and what it is about to send."""

    def __init__(self) -> None:
        self.models: dict[str, dict[str, Any]] = {}
        self.comms: dict[str, BaseComm] = {}
        self.waiting: list[tuple[str, dict[str, Any]]] = []
        self.heard = 0

    def open(self, **given: Any) -> BaseComm:
        """A comm to this page, in the place of that to a browser."""
        page = self

        class Line(BaseComm):
            def publish_msg(self, msg_type: str, data: Any = None, **rest: Any) -> None:
                page.hear(self, msg_type, (data or {}).get("state", {}))

        return Line(**given)

    def hear(self, line: BaseComm, kind: str, state: dict[str, Any]) -> None:
        """Take what the kernel says, and draw."""
        if kind == "comm_close":
            self.models.pop(line.comm_id)
            return
        model = self.models.setdefault(line.comm_id, {})
        self.comms[line.comm_id] = line
        model.update(state)
        if model.get("_model_name") in ("FloatSliderModel", "IntSliderModel") and _RANGE & state.keys():
            rounded = model["min"] + round((model["value"] - model["min"]) / model["step"]) * model["step"]
            value = min(max(rounded, model["min"]), model["max"])
            if value != model["value"]:
                model["value"] = value
                self.waiting.append((line.comm_id, {"value": value}))

    def answer(self) -> None:
        """Send what waits, until nothing more comes of it. For a widget that was closed it goes nowhere."""
        for _ in range(100):
            if not self.waiting:
                return
            name, state = self.waiting.pop(0)
            if name in self.models:
                self.send(name, state)
        raise AssertionError("page and kernel go on answering each other")

    def send(self, name: str, state: dict[str, Any]) -> None:
        """Send one message, as for a move of the reader."""
        self.heard += 1
        data = {"method": "update", "state": state, "buffer_paths": []}
        self.comms[name].handle_msg({"content": {"data": data}, "buffers": []})

    def move(self, widget: widgets.Widget, **state: Any) -> None:
        """Move a widget, as the reader does."""
        self.models[widget.model_id].update(state)
        self.send(widget.model_id, state)
        self.answer()


@pytest.fixture
def page(monkeypatch):
    page = Page()
    monkeypatch.setattr(comm, "create_comm", page.open)
    return page


def values(panel) -> dict[str, object]:
    return {name: dial.value for name, dial in panel.dials.items()}


@pytest.mark.parametrize("make_panel", [make, main_panel])
def test_what_nobody_moved_stays_exactly_what_it_was(page, make_panel):
    made = make_panel()
    panel = getattr(made, "panel", made)
    page.answer()
    before, said = values(panel), panel.sentence_text
    with units("feet and inches"):
        for system in SYSTEMS[::-1]:
            page.move(panel._units_choice, index=SYSTEMS.index(system))
            assert values(panel) == before, system
            for dial in panel.dials.values():
                model = page.models[dial.widget.model_id]
                assert "value" not in model or model["value"] == pytest.approx(dial.widget.value, rel=1e-12)
    assert panel.sentence_text == said


def test_a_move_after_the_change_is_heard_and_moves_nothing_else(page):
    panel = main_panel()
    before = values(panel)
    with units("feet and inches"):
        page.move(panel._units_choice, index=SYSTEMS.index("metric"))
        mass = panel.dials["mass_kg"]
        page.move(mass.widget, value=80.0)
        assert values(panel) == before | {"mass_kg": 80.0}
        page.move(panel._units_choice, index=SYSTEMS.index("feet and inches"))
        assert readout(mass) == "176 lb" and values(panel) == before | {"mass_kg": 80.0}


def test_a_message_that_was_under_way_when_the_units_changed_goes_nowhere(page):
    panel = make()
    old, before = panel.dials["trial.radius_mm"].widget, values(panel)
    with units("metric"):
        assert panel.dials["trial.radius_mm"].widget is not old
        old.value = 11.5  # feet, though the scale is in metres by now
        assert values(panel) == before


def test_the_range_of_a_slider_that_is_seen_never_changes(page):
    panel = make()
    ranges = []
    for dial in panel.dials.values():
        dial.widget.observe(ranges.append, names=["min", "max", "step", "options", "_options_labels"])
    with units("metric"):
        panel.dials["trial.radius_mm"].value = 2000.0
    panel.dials["trial.radius_mm"].value = 3456.7
    assert ranges == []
