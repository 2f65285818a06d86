"""bladelab: the shape of a hockey blade, how it meets the ice, and what to try next.

This page is the public face: every name that notebooks and readers need. Names load when first used, so
importing bladelab costs little.
"""

from __future__ import annotations

import importlib
from typing import Any

_HOME = {
    "feet": "units",
    "inches": "units",
    "as_feet": "units",
    "as_fraction": "units",
    "Zone": "shape.rocker",
    "Rocker": "shape.rocker",
    "Hollow": "shape.hollow",
    "Blade": "shape.blade",
    "Ice": "physics.ice",
    "Stance": "physics.stance",
    "Contact": "physics.contact",
    "solve_contact": "physics.contact",
    "Moment": "physics.moments",
    "MOMENTS": "physics.moments",
}

__all__ = list(_HOME)


def __getattr__(name: str) -> Any:
    if name in _HOME:
        return getattr(importlib.import_module(f"bladelab.{_HOME[name]}"), name)
    raise AttributeError(f"module 'bladelab' has no name {name!r}")


def __dir__() -> list[str]:
    return sorted([*globals(), *_HOME])
