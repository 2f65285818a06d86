"""A panel with something of its own around it: a form, a search, a shelf of saved blades."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from bladelab.show.panel.engine import Panel


class PanelBox(widgets.VBox):
    """Widgets around one panel, shown to a reader without a kernel as that panel's picture and sentence.

    Parameters
    ----------
    panel : Panel
    above, below : sequence of Widget

    Attributes
    ----------
    panel : Panel
    """

    def __init__(
        self, panel: Panel, above: Sequence[widgets.Widget] = (), below: Sequence[widgets.Widget] = ()
    ) -> None:
        self.panel = panel
        super().__init__([*above, panel, *below])

    def _repr_mimebundle_(self, **kwargs: object) -> tuple[dict[str, object], dict[str, object]]:
        bundle = dict(super()._repr_mimebundle_(**kwargs) or {})
        inner, metadata = self.panel._repr_mimebundle_()
        kept = {kind: inner[kind] for kind in ("text/plain", "image/png") if kind in inner}
        return {**bundle, **kept}, metadata

    def close(self) -> None:
        """Take it off the page with all its parts, so that nothing keeps it alive."""
        parts: list[widgets.Widget] = list(self.children)
        while parts:
            part = parts.pop()
            parts += getattr(part, "children", ())
            part.close()
        super().close()
