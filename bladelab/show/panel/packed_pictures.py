"""Many pictures of one view in little space: those built alike share a drawing; each keeps what differs."""

from __future__ import annotations

import base64
import json
import re
import zlib
from collections.abc import Sequence
from typing import Any, TypeAlias
from xml.etree import ElementTree

#: Spaces that an outline of SVG doesn't need: beside a letter.
_SPACES = re.compile(r"\s*([A-Za-z])\s*")

#: Where in a drawing something stands: the number of the element, and the attribute ("" for its text).
Slot: TypeAlias = tuple[int, str]


class Drawings:
    """The drawings of a page: pictures built alike share one."""

    def __init__(self) -> None:
        self._numbers: dict[object, int] = {}
        self._markup: list[str] = []
        self._first: list[list[str]] = []
        self._slots: list[list[Slot]] = []
        self._differs: list[list[bool]] = []

    def add(self, frame: str) -> tuple[int, list[str]]:
        """The number of a picture's drawing, and all that may differ in it."""
        build, slots, values = _taken_apart(frame)
        if (number := self._numbers.setdefault(build, len(self._numbers))) == len(self._markup):
            self._markup.append(frame)
            self._first.append(values)
            self._slots.append(slots)
            self._differs.append([False] * len(values))
        for i, (value, first) in enumerate(zip(values, self._first[number], strict=True)):
            self._differs[number][i] |= value != first
        return number, values

    def reduce(self, setting: dict[str, Any]) -> None:
        """Leave in a setting only what differs between pictures of its drawing."""
        if not setting["fault"]:
            differs = self._differs[setting["drawing"]]
            setting["values"] = [one for one, does in zip(setting["values"], differs, strict=True) if does]

    def page(self) -> list[dict[str, Any]]:
        """The drawings as home.js takes them."""
        return [
            {"markup": markup, "slots": [slot for slot, does in zip(slots, differs, strict=True) if does]}
            for markup, slots, differs in zip(self._markup, self._slots, self._differs, strict=True)
        ]


def _taken_apart(frame: str) -> tuple[object, list[Slot], list[str]]:
    """How a picture is built, and the attributes and texts that may differ among pictures built so."""
    try:
        elements = list(ElementTree.fromstring(frame).iter())
    except ElementTree.ParseError:  # an image in place of a drawing
        return frame, [], []
    build, slots, values = list[object](), list[Slot](), list[str]()
    for number, element in enumerate(elements):
        build.append((element.tag, tuple(element.attrib), len(element), element.text is None))
        parts = {name: value for name, value in element.attrib.items() if not name.startswith("{")}
        if element.text is not None and not len(element):
            parts[""] = element.text
        if "d" in parts:
            parts["d"] = _SPACES.sub(r"\1", parts["d"])
        slots += [(number, name) for name in parts]
        values += parts.values()
        build += [value for name, value in element.attrib.items() if name.startswith("{")]
    return tuple(build), slots, values


def by_column(settings: Sequence[dict[str, Any]]) -> dict[str, Any]:
    """Settings, with the values of each drawing slot by slot: neighbours are alike, and pack well."""
    rows: dict[int, list[list[str]]] = {}
    for setting in settings:
        if not setting["fault"]:
            row = rows.setdefault(setting["drawing"], [])
            setting["row"] = len(row)
            row.append(setting.pop("values"))
    return {
        "settings": settings,
        "slots": {number: list(zip(*row, strict=True)) for number, row in rows.items()},
    }


def as_pack(data: object) -> str:
    return base64.b64encode(zlib.compress(json.dumps(data).encode(), 9, wbits=-15)).decode("ascii")
