"""A widget that follows the units while it is on a page."""

from __future__ import annotations

from collections.abc import Sequence

import ipywidgets as widgets

from bladelab.show.preference import UNITS


class Follower(widgets.VBox):
    """A box whose parts show numbers in the notebook's units. Subclass it, and give it `follow_units`.

    A cell that is run again leaves its old panel behind, alive but on no page. The page tells how many views
    of the box it has; without one it is not drawn again, and follows when it is next shown.
    """

    def __init__(self, children: Sequence[widgets.Widget]) -> None:
        self._gone, self._units_shown = False, UNITS.system
        super().__init__(children, _view_count=0)
        self.observe(self._seen, names="_view_count")
        UNITS.listen(self._units_changed)

    def follow_units(self) -> None:
        """Show everything in the units chosen now."""
        raise NotImplementedError

    def catch_up_with_units(self) -> None:
        """Follow a change of the units that was not followed when it came."""
        if self._units_shown != UNITS.system:
            self._units_shown = UNITS.system
            self.follow_units()

    def close(self) -> None:
        """Take it off the page with all its parts, so that nothing keeps it alive."""
        parts: list[widgets.Widget] = list(self.children)
        while parts:
            part = parts.pop()
            parts += getattr(part, "children", ())
            part.close()
        super().close()

    def _seen(self, change: dict[str, int]) -> None:
        self._gone = change["new"] == 0
        self._units_changed()

    def _units_changed(self) -> None:
        if self.comm is not None and not self._gone:
            self.catch_up_with_units()
