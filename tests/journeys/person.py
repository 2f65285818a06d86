"""A person at a notebook: sets dials to what they mean, reads what the page says.

The person knows the numbers from a script of their own. Every control is called by the name of its dial
(``"present.radius_mm"``); how it is found on the page is said in `in_page.py` and nowhere else.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from playwright.sync_api import Locator, expect

from bladelab.show.controls.control import Choice, Frames, Slider, Tick
from tests.browser.for_all import violations
from tests.browser.harness import NotebookPage, Window
from tests.browser.page import wait_for
from tests.browser.test_jupyterlab import DESKTOP, is_seen_in_one_view
from tests.journeys import meant
from tests.journeys.fresh import Fresh, factories
from tests.journeys.in_page import IN_PAGE
from tests.journeys.reading import alike, apart_at, is_said, one_line, told


class Hand:
    """One panel on the page under a person's hands, and the same panel as it should be, `fresh`."""

    def __init__(self, page: NotebookPage, place: int, fresh: Fresh, units: str) -> None:
        self.page, self.place, self.fresh, self.units = page, place, fresh, units
        self._js = page.page.evaluate
        self.story: list[str] = []  # what was done
        self.acts = 0  # since the page was last looked at

    # What is done -------------------------------------------------------------------------------------------

    def reveal(self, name: str) -> None:
        """Open the tab in which the dial lies."""
        if not self._js("([n, name]) => dials.reveal(n, name)", [self.place, name]):
            expect(self._box(name)).to_be_visible()

    def in_sight(self, names: Sequence[str]) -> list[str]:
        """Those of the dials that are seen with no other tab open."""
        seen = "([n, names]) => names.filter(name => dials.control(n, name).offsetParent)"
        return list(self._js(seen, [self.place, names]))

    def reads(self, name: str) -> str:
        """What the dial says."""
        return one_line(self._js("([n, name]) => dials.text(n, name)", [self.place, name]))

    def press(self, name: str, key: str, times: int = 1, after_units: str = "") -> float:
        """Press a key on a slider; what it reads then is what is meant from now on. Returns it.

        With `after_units`, these are chosen first, and the key is pressed before the page has its new scale.
        """
        self.reveal(name)
        if after_units:
            self.story.append(f"units: {after_units}, and at once:")
            self._box("units").select_option(label=after_units)
            self.units = after_units
        self._js("([n, name]) => { dials.moved = {}; dials.hold(n, name); }", [self.place, name])
        for _ in range(times):
            self.page.page.keyboard.press(key)
        self.acts += times
        self.story.append(f"{key} x {times} on {name}")
        moved, reads = self._js("([n, name]) => [dials.moved, dials.text(n, name)]", [self.place, name])
        if moved:  # at the end of a slider a key moves nothing
            self._meant_by_slider(name, moved[name])
        return meant.number(one_line(reads))

    def press_each(self, names: Sequence[str], key: str) -> list[str]:
        """Press a key on each of these sliders that is in sight; returns those that moved."""
        if not names:
            return []
        self._js("dials.moved = {}")
        for name in names:
            if self._js("([n, name]) => dials.hold(n, name)", [self.place, name]):
                self.page.page.keyboard.press(key)
                self.acts += 1
        moved = self._js("dials.moved")
        self.story.append(f"{key} on each of {', '.join(names)}")
        for name, text in moved.items():
            self._meant_by_slider(name, text)
        return [*moved]

    def released(self, name: str) -> float:
        """A slider was let go: what it reads is meant from now on. Returns it."""
        self.acts += 2
        self.story.append(f"{name} dragged to {self.reads(name)}")
        self._meant_by_slider(name, self.reads(name))
        return meant.number(self.reads(name))

    def set(self, name: str, value: float) -> None:
        """Type a value in the units on the page."""
        control = self.fresh.controls[name]
        if isinstance(control, Frames):
            self.press(name, "Home")
            self.press(name, "ArrowRight", int(value))
            return
        assert isinstance(control, Slider)
        self.reveal(name)
        self._js("([n, name]) => dials.control(n, name).focus()", [self.place, name])
        self.page.page.keyboard.type(f"{value:g}")
        self.page.page.keyboard.press("Enter")
        self.acts += 1
        self.story.append(f"typed {value:g} for {name}")
        wait_for(
            lambda: abs(meant.number(self.reads(name)) - value) <= 1e-3,
            lambda: f"{name} reads {self.reads(name)}; {value} was typed",
        )
        self.fresh.meant[name] = meant.kept(control.quantity, self.units, value)

    def choose(self, name: str, entry: str) -> None:
        """Choose an entry of a menu by its words."""
        self.acts += 1
        self.story.append(f"{name}: {entry}")
        if name == "units":
            self._box(name).select_option(label=entry)
            self.page.wait_for_answer()  # anything the page sends on its own has arrived by then
            self.units = entry
            return
        control = self.fresh.controls[name]
        assert isinstance(control, Choice)
        self.reveal(name)
        self._box(name).select_option(label=entry)
        self.fresh.meant[name] = dict(control.options)[entry]

    def tick(self, name: str) -> None:
        """Click a tick box."""
        self.acts += 1
        self.story.append(f"tick {name}")
        assert isinstance(self.fresh.controls[name], Tick)
        self.reveal(name)
        self._box(name).click()
        self.fresh.meant[name] = not self.fresh.meant[name]

    def button(self, words: str) -> None:
        """Press a button of the panel."""
        self.panel.get_by_role("button", name=words, exact=True).first.click()

    # What is read -------------------------------------------------------------------------------------------

    @property
    def panel(self) -> Locator:
        """The panel on the page."""
        return self.page.page.locator(".bladelab-panel").nth(self.place)

    def sentence(self) -> str:
        """What the panel says, in one line."""
        return one_line(self.panel.locator(".bladelab-sentence").first.inner_text())

    def says(self, *parts: str) -> str:
        """Wait until the panel's sentence holds each of these words and numbers; return it."""
        said = ""

        def holds() -> bool:
            nonlocal said
            said = self.sentence()
            return all(is_said(said, part) for part in parts)

        wait_for(holds, lambda: f"the page does not say {parts}; it says: {said}")
        return said

    def tells(self, value: float, unit: str, after: str = "") -> None:
        """Wait until the panel tells this number in this unit, after a word: in its sentence or picture."""

        def said() -> str:
            return self.sentence() + " | " + self.words_of_picture()

        wait_for(
            lambda: told(said(), value, unit, after),
            lambda: f"no {value:.6g} {unit} after {after!r} in: {said()}",
        )

    def words_of_picture(self) -> str:
        """All that is written in the picture."""
        texts = self.panel.locator(".bladelab-picture").first.locator("svg text").all_text_contents()
        return one_line(" | ".join(texts))

    def has_little_room(self) -> bool:
        """Whether the page is too narrow for a picture as wide as on a desk."""
        return bool(self.panel.evaluate("panel => panel.clientWidth < 840"))

    def reads_what_is_meant(self) -> None:
        """See that each dial reads what is meant by it."""
        names = list(self.fresh.controls)
        texts = self._js(
            "([n, names]) => names.map(name => dials.oneLine(dials.text(n, name)))", [self.place, names]
        )
        assert not self._misread(names, texts), self._misread(names, texts)

    def is_true(self) -> bool:
        """Wait until sentence, picture and dials are what the numbers meant give in a panel that is new.

        Returns whether they can be; if not, the sentence is advice.
        """
        wanted, html, fault = self.fresh.answer(self.units, self.has_little_room())
        sentence, names = one_line(wanted), list(self.fresh.controls)
        self._js("html => dials.want(html)", html)
        trouble = ""

        def true() -> bool:
            nonlocal trouble
            look = self._js("given => dials.look(...given)", [self.place, names, sentence])
            trouble = self._untrue(look, sentence, fault) or self._misread(names, look["texts"])
            return not trouble

        wait_for(true, lambda: f"{trouble}\nmeant, in {self.units}: {self._moved()}\nafter {self.story}")
        self.acts = 0
        return not fault

    # Inside -------------------------------------------------------------------------------------------------

    def _box(self, name: str) -> Locator:
        return self.panel.locator(f'[data-dial="{name}"]')

    def _moved(self) -> dict[str, Any]:
        """What is meant, where it is another value than the panel opened with."""
        of = self.fresh.controls
        return {name: value for name, value in self.fresh.meant.items() if value != of[name].default}

    def _untrue(self, look: dict[str, Any], sentence: str, fault: bool) -> str:
        """What is wrong with the sentence or the picture; nothing, if all is well."""
        said = look["said"]
        kept = said.endswith("The picture shows the last setting that works.")
        if kept is not (fault and self.fresh.has_worked):
            return f"advice is {'missing' if fault else 'given'}: {said}"
        if not said.startswith(sentence):
            return f"the sentence is: {said}\nit should be: {sentence}"
        if fault and (self.acts > 1 or not self.fresh.has_worked):
            return ""  # which of the settings in between still worked, nobody can tell
        shown, wanted = look["parts"]
        apart = [pair for pair in look["apart"] if not alike(*pair)]
        if apart or shown != wanted:
            first = apart[0] if apart else ("", "")
            return (
                f"the picture is not a fresh one: {shown} parts, {wanted} expected, {len(apart)} differ, "
                f"first {apart_at(*first)}"
            )
        return ""

    def _misread(self, names: list[str], texts: list[str]) -> str:
        """The first dial that does not read what is meant by it, in the units chosen."""
        for name, said in zip(names, texts, strict=True):
            wanted, slack = self._reading(name)
            right = said == wanted if isinstance(wanted, str) else abs(meant.number(said) - wanted) <= slack
            if not right:
                return f"{name} reads {said!r}; {wanted!r} is meant"
        return ""

    def _reading(self, name: str) -> tuple[Any, float]:
        """What a dial should read, and within how much."""
        control, value = self.fresh.controls[name], self.fresh.meant[name]
        if isinstance(control, Choice):
            return one_line(next(words for words, one in control.options if one == value)), 0.0
        if isinstance(control, Tick):
            return str(value).lower(), 0.0
        if isinstance(control, Frames):
            return float(value), 0.0
        step = control.step or meant.step(control.quantity, self.units)
        if (control.quantity, self.units) == ("hollow", meant.US):
            step = 0.001  # a slider over usual hollows, in which the one set takes part
        return meant.shown(control.quantity, self.units, value), step / 2 + 1e-6

    def _meant_by_slider(self, name: str, text: str) -> None:
        control, said = self.fresh.controls[name], meant.number(text)
        if isinstance(control, Frames):
            self.fresh.meant[name] = round(said)
            return
        value = meant.kept(control.quantity, meant.system_of(text), said)
        self.fresh.meant[name] = min(max(value, control.low), control.high)


class Person:
    """Someone with one notebook open after the other.

    Parameters
    ----------
    window : Window
        Of JupyterLab or of plain pages.
    """

    def __init__(self, window: Window) -> None:
        self._window, self.page = window, None
        self.notebooks = window.server.folder / "notebooks"

    def open(self, name: str, **size: int) -> list[Hand]:
        """Close the notebook that is open, and open this one; returns its panels in the order of the page. In
        JupyterLab they are in one view, and can be used by everyone."""
        self.close()
        in_lab = self._window.server.kind == "lab"
        self.page = self._window.open(name, **(DESKTOP if in_lab else size))
        # Made while the page opens.
        fresh = [Fresh(make, self.notebooks) for make in factories(self.notebooks / name)]
        self.page.wait_until_run()
        self.page.wait_for_panel()
        if in_lab:
            is_seen_in_one_view(self.page)
            assert violations(self.page.page) == []
        self.page.page.evaluate(IN_PAGE)
        return [Hand(self.page, place, one, meant.US) for place, one in enumerate(fresh)]

    def close(self) -> None:
        """Close the notebook that is open; nothing may have gone wrong in it."""
        if self.page:
            errors = self.page.all_errors()
            self._window.close_notebook()
            self.page = None
            assert errors == [], errors
