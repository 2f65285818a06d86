"""A panel with something of its own around it: a form, a search, a shelf of saved blades."""

from __future__ import annotations

from typing import Any

import ipywidgets as widgets

from bladelab.show.engine import Panel


class PanelBox(widgets.VBox):
    """Widgets around one panel, shown to a reader without a kernel as that panel's picture and sentence.

    Attributes
    ----------
    panel : Panel
    """

    panel: Panel

    def _repr_mimebundle_(self, **kwargs: Any) -> tuple[dict[str, Any], dict[str, Any]]:
        bundle = dict(super()._repr_mimebundle_(**kwargs) or {})
        inner, metadata = self.panel._repr_mimebundle_()
        return {**bundle, "text/plain": inner["text/plain"], "image/png": inner["image/png"]}, metadata
