"""A hand at the clinic's panel."""

from contextlib import contextmanager
from unittest.mock import patch

from bladelab.show.clinic.deck import TOPICS
from bladelab.show.clinic.overview import Overview


@contextmanager
def no_thumbnails():
    """A clinic draws no thumbnails of its slides, for what does not look at them."""
    with (
        patch.object(Overview, "drawing", lambda *_: iter(())),
        patch.object(Overview, "png", lambda *_: b""),
    ):
        yield


def click(panel, text):
    """Click the button of the form that says this."""
    found = []

    def look(widget):
        if getattr(widget, "description", "") == text and hasattr(widget, "click"):
            found.append(widget)
        for child in getattr(widget, "children", ()):
            look(child)

    look(panel)
    found[0].click()


def press(panel, text):
    """Press the button of the slide's panel that says this."""
    number = panel.panel._spec["buttons"].index(text)
    panel.panel._from_page(panel.panel, {"do": "press", "button": number}, [])


def keep_only(panel, topic):
    """Leave one topic: six slides."""
    with panel.panel.quiet():
        for key in TOPICS:
            panel.panel.dials[key].value = key == topic
