"""A widget that follows the units while it is on a page."""

from __future__ import annotations

import ipywidgets as widgets

from bladelab.show.wording.units_shown import UNITS


class Follower(widgets.DOMWidget):
    """A widget that shows numbers in the notebook's units. Give it `follow_units`; call `begin_to_follow`
    when it is made.

    A cell that is run again leaves its old panel behind, alive but on no page. The page reports how many
    views of the widget it has; without one it is not drawn again, and follows when it is next shown.
    """

    def begin_to_follow(self) -> None:
        """Follow the units from now on."""
        self._gone, self._units_shown = False, UNITS.system
        self._view_count = 0
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

    def _seen(self, change: dict[str, int]) -> None:
        self._gone = change["new"] == 0
        self._units_changed()

    def _units_changed(self) -> None:
        if self.comm is not None and not self._gone:
            self.catch_up_with_units()
