"""Many pictures of one view in little space: those built alike share a drawing, and each keeps what differs.
Still parts, which change seldom and then by a few labels, share their pieces."""

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

#: A tag of an element; matplotlib writes no comments, and no ">" in an attribute.
_TAG = re.compile(r"<(?P<closing>/?)\w[^>]*?(?P<empty>/?)>")

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

    def page(self) -> list[dict[str, object]]:
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


class Stills:
    """The still parts of a page, each as a list of pieces; most pieces belong to several."""

    def __init__(self) -> None:
        self._numbers: dict[str, int] = {}
        self._pieces: dict[tuple[str, int], int] = {}
        self._made_of: list[tuple[str, list[int]]] = []

    def add(self, markup: str) -> int:
        """The number of a still part."""
        if (number := self._numbers.setdefault(markup, len(self._numbers))) == len(self._made_of):
            opening, pieces = _top_level(markup)
            # A piece that is there twice is two pieces.
            keys = [(piece, pieces[:i].count(piece)) for i, piece in enumerate(pieces)]
            self._made_of.append((opening, [self._pieces.setdefault(k, len(self._pieces)) for k in keys]))
        return number

    def page(self) -> dict[str, object]:
        """The still parts as home.js takes them."""
        return {"pieces": [piece for piece, _ in self._pieces], "stills": self._made_of}


def _top_level(markup: str) -> tuple[str, list[str]]:
    """The opening tag of a picture, and the elements right below it."""
    if not (found := re.fullmatch(r"(<svg[^>]*>)(.*)</svg>\s*", markup, re.DOTALL)):
        return "<div>", [markup]  # an image in place of a drawing
    opening, inside = found.groups()
    pieces, depth, start = list[str](), 0, 0
    for tag in _TAG.finditer(inside):
        depth += {"/": -1, "": 0 if tag["empty"] else 1}[tag["closing"]]
        if depth == 0:
            pieces.append(inside[start : tag.end()].strip())
            start = tag.end()
    return opening, pieces


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
    """Plain data as JSON, deflated, in letters."""
    return base64.b64encode(zlib.compress(json.dumps(data).encode(), 9, wbits=-15)).decode("ascii")
