"""What a panel shows for one state: the base of every panel's own result."""

from __future__ import annotations

from dataclasses import dataclass


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
    """

    finding: str
    sentence: str
    warns: bool = False
