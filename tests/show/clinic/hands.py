"""A hand at the clinic's panel."""

from bladelab.show.clinic.deck import TOPICS


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
