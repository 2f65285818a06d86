"""What the forms around panels are made of."""

from __future__ import annotations

import html

import ipywidgets as widgets


def beside(*parts: widgets.Widget) -> widgets.HBox:
    """Widgets beside each other, or below where there is no space."""
    return widgets.HBox(parts, layout=widgets.Layout(flex_flow="row wrap"))


class Message(widgets.HTML):
    """A sentence beside a form, as plain text: what people type is no part of the page.

    Attributes
    ----------
    text : str
        What it says.
    """

    text = ""

    def say(self, sentence: str, fault: bool = False) -> None:
        """Show a sentence, or nothing; `fault` marks one that asks for a correction."""
        self.text, kind = sentence, ' class="bladelab-fault"' if fault else ""
        self.value = f"<p{kind}>{html.escape(sentence)}</p>" if sentence else ""
