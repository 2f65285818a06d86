"""What a panel shows for one state: the base of every panel's own result."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from bladelab.shape.blade import Blade
from bladelab.workshop.gauge import GaugeReadings
from bladelab.workshop.trace import Trace


@dataclass(frozen=True, kw_only=True)
class Result:
    """The answer to one state. Each panel adds what its view draws: ``class Bites(Result): contacts: ...``.

    Attributes
    ----------
    finding : str
        The headline: what the picture shows.
    sentence : str
        Plain words; a line break starts a new paragraph. Escaped for the page by the panel.
    warns : bool
        Whether the sentence asks for a correction although there is a picture.
    makes : Blade or None
        A blade that the panel came up with, which may become the trial of the skater whose card is open.
    edges : mapping of str to Trace or GaugeReadings
        What was measured, which may go on the card: by side, or under ``""`` where the side is not known.
    """

    finding: str
    sentence: str
    warns: bool = False
    makes: Blade | None = None
    edges: Mapping[str, Trace | GaugeReadings] = field(default_factory=dict)
