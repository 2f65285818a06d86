"""A widget that follows the units and the card while it is on a page."""

from __future__ import annotations

import ipywidgets as widgets

from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.units_shown import UNITS


class Follower(widgets.DOMWidget):
    """A widget that shows numbers in the notebook's units and of the skater chosen. Give it `follow`; call
    `begin_to_follow` when it is made.

    A cell that is run again leaves its old panel behind, alive but on no page. The page reports how many
    views of the widget it has; without one it is not drawn again, and follows when it is next shown.
    """

    def begin_to_follow(self) -> None:
        """Follow the units and the card from now on."""
        self._gone, self._shown = False, self._now()
        self._view_count = 0
        self.observe(self._seen, names="_view_count")
        UNITS.listen(self._changed)
        SKATER.listen(self._changed)

    def follow(self, units: bool, card: bool) -> None:
        """Show everything in the units chosen now and of the card that is open.

        Parameters
        ----------
        units, card : bool
            Which of them is another one; neither if only something written on the card has changed.
        """
        raise NotImplementedError

    def catch_up(self) -> None:
        """Follow a change that was not followed when it came."""
        before, self._shown = self._shown, self._now()
        if before != self._shown:
            self.follow(*(old != new for old, new in zip(before[:2], self._shown[:2], strict=True)))

    @staticmethod
    def _now() -> tuple[str, int, object]:
        return UNITS.system, SKATER.edition, SKATER.changes

    def _seen(self, change: dict[str, int]) -> None:
        self._gone = change["new"] == 0
        self._changed()

    def _changed(self) -> None:
        if self.comm is not None and not self._gone:
            self.catch_up()
