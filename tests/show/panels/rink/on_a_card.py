"""A card with both blades, for what was tested on the ice."""

import datetime

from bladelab import Blade, Hollow, Rocker

PRESENT, TRIAL = (Blade(Rocker.single(3048.0, 280.0), Hollow(r, 2.9)) for r in (12.7, 15.875))
DAY = datetime.date(2026, 11, 3)


def buttons(panel):
    """The buttons of the line over a panel: name -> text."""
    return dict(panel.bar.page()["buttons"])
