"""A window with one notebook after the other, and the panel that is in front."""

from __future__ import annotations

from playwright.sync_api import expect

from tests.browser.page import wait_for
from tests.journeys.reading import told


class Desk:
    """A window of JupyterLab or of plain pages; what is asked for is in the panel that is in front."""

    def __init__(self, window):
        self.window, self.notebook, self.place = window, None, 0

    def open(self, name, place=0):
        """Open a notebook, or look at its tab again, and turn to one of its panels."""
        self.notebook, self.place = self.window.open(name), place
        self.notebook.wait_until_run()
        self.notebook.wait_for_panel()

    @property
    def page(self):
        return self.notebook.page

    def dial(self, name):
        return self.panel.locator(f'[data-dial="{name}"]')

    @property
    def panel(self):
        return self.page.locator(".bladelab-panel:visible").nth(self.place)

    def press(self, words, says):
        """Press a button of the bar; how it went is said beside it."""
        self.bar.get_by_role("button", name=words).click()
        expect(self.bar.locator(".bladelab-report")).to_contain_text(says, timeout=30_000)

    def tells(self, value, unit, after):
        """Wait until the sentence tells this number in this unit, after a word."""
        sentence = self.panel.locator(".bladelab-sentence")
        wait_for(lambda: told(sentence.inner_text(), value, unit, after), sentence.inner_text)

    @property
    def bar(self):
        return self.panel.locator(".bladelab-bar")

    def reads(self, name, text):
        """Wait until a slider says this."""
        expect(self.dial(name)).to_have_attribute("aria-valuetext", text)

    def end_the_day(self):
        """Close all notebooks: no kernel remembers anything."""
        assert self.notebook.all_errors() == []
        self.window.close_notebook()
