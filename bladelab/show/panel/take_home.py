"""A panel as one file to take home: it needs no kernel, no server and no network, and opens on a phone.

The file holds a picture and a sentence for every combination of a few dials, drawn by the view that draws
the panel. Two pictures of the same build (the same elements with the same attributes) share one drawing, and
a setting keeps only what differs; home.js puts them together again.
"""

from __future__ import annotations

import base64
import datetime
import hashlib
import html
import json
from collections.abc import Callable, Generator, Iterator, Sequence
from copy import copy
from dataclasses import dataclass
from itertools import product, zip_longest
from pathlib import Path
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np

from bladelab._checks import one_of
from bladelab._errors import InputError
from bladelab.show.canvas.result import Result
from bladelab.show.controls.control import Control, Frames, Slider
from bladelab.show.panel.long_work import Step
from bladelab.show.panel.packed_pictures import Drawings, Stills, as_pack, by_column
from bladelab.show.wording.say import say_day
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import CAUTIONS, capital, unbroken

if TYPE_CHECKING:
    from bladelab.show.panel.engine import Panel

#: More settings make a file that is slow to send and to open.
MOST_SETTINGS = 2000
#: Settings packed together: more pack better, and take longer to unpack.
_PACKED = 40
#: How many positions of each dial the button offers, the first dial the most.
USUAL_STEPS = (21, 13, 4)

#: The dials of most use to someone who plays with a page, the first the most.
_FIRST = ("radius_mm", "hollow_mm", "lean_deg", "pivot_mm", "mass_kg")

_HEADING = "Move a slider, and see what changes"
_HERE = Path(__file__).parent
_LEAVES_OUT = (
    "Computed from the shape of the steel and from ice that gives way at one pressure. Skating is more: "
    "boots, legs, habit and the ice of the day. Take it as a direction, and skate it to find out."
)


@dataclass(frozen=True)
class Offered:
    """A dial of the page: its positions, evenly spread over all it has, the present one among them."""

    control: Control
    values: tuple[object, ...]
    texts: tuple[str, ...]
    at: int

    def page(self) -> dict[str, object]:
        """What panel.js needs of it."""
        return {
            "edition": 0,
            "at": self.at,
            "last": len(self.values) - 1,
            "text": self.texts[self.at],
            "texts": self.texts,
            "scale": None,
            "shown": True,
        }


def usual_dials(panel: Panel) -> tuple[str, ...]:
    """The dials that a page offers unless told otherwise: sliders in sight, of the trial or of all."""
    of = [dial.control for dial in panel.dials.values() if dial.shown and dial.control.column != "present"]
    sliders = [control for control in of if isinstance(control, Slider | Frames)]
    ranked = sorted(
        sliders,
        key=lambda one: (_FIRST.index(one.key) if one.key in _FIRST else len(_FIRST), not one.column),
    )
    return tuple(control.name for control in ranked[: len(USUAL_STEPS)])


def offered_dials(panel: Panel, dials: Sequence[str], steps: Sequence[int]) -> list[Offered]:
    """The dials of a page with so many positions each.

    Raises
    ------
    InputError
        If there is no such dial, it has no positions, or there are too many settings.
    """
    if not 1 <= len(dials) == len(steps):
        raise InputError(
            f"there are {len(dials)} dials and {len(steps)} numbers of steps; each dial needs one number"
        )
    found = []
    for name, count in zip(dials, steps, strict=True):
        dial = panel.dials[one_of("the dial", name, panel.dials)]
        positions = dial.positions
        if count < 2 or positions.last < 1:
            raise InputError(f"{name} has {min(count, positions.last + 1)} steps; it must have at least 2")
        now = positions.nearest(dial.value)
        places = np.unique(
            np.rint(np.linspace(0, positions.last, min(count, positions.last + 1))).astype(int)
        )
        places[np.abs(places - now).argmin()] = now
        # The present value may lie between two positions, such as 10 ft on a scale in metres.
        values = tuple(dial.value if place == now else positions.value(int(place)) for place in places)
        texts = tuple(positions.say(value) for value in values)
        found.append(Offered(dial.control, values, texts, int(np.flatnonzero(places == now)[0])))
    settings = int(np.prod([len(one.values) for one in found]))
    if settings > MOST_SETTINGS:
        raise InputError(
            f"there are {settings} settings; a page holds at most {MOST_SETTINGS}: take fewer steps"
        )
    return found


def page_to_take_home(
    panel: Panel,
    answer: Callable[[SimpleNamespace], Result],
    dials: Sequence[str],
    steps: Sequence[int],
    more: str = "",
    heading: str = _HEADING,
) -> Generator[Step, None, bytes]:
    """Draw every setting in a view of its own, and put the page together.

    Parameters
    ----------
    panel : Panel
        Its other dials stay as they are.
    answer : callable
        The panel's own ``answer(state) -> Result``.
    dials : sequence of str
        The names of the dials that the page offers.
    steps : sequence of int
        How many positions of each.
    more : str
        HTML to show below the panel.
    heading : str
        What the page is about.

    Yields
    ------
    Step
        One for each setting.

    Returns
    -------
    bytes
        The HTML of the page.
    """
    given, units = offered_dials(panel, dials, steps), UNITS.system
    state, view = panel.state(), type(panel.view)()
    view.lay_out(narrow=True)
    fixed = list(_fixed(panel, given))
    total, drawings, stills = int(np.prod([len(one.values) for one in given])), Drawings(), Stills()
    settings: list[dict[str, object]] = []
    for values in product(*(one.values for one in given)):
        if UNITS.system != units:
            raise InputError("the units were changed in the meantime; please save again")
        settings.append(_setting(view, answer, _with(state, given, values), drawings, stills))
        yield Step(len(settings), total, f"setting {len(settings)} of {total}")
    if all(one["fault"] for one in settings):
        raise InputError(f"no setting of this page has a picture: {settings[0]['words']}".rstrip("."))
    paragraphs = [str(one["words"]).split("\n") for one in settings]
    for setting in settings:
        drawings.reduce(setting)
    packs = [as_pack(by_column(settings[start : start + _PACKED])) for start in range(0, total, _PACKED)]
    size = {"width": view.width_px, "height": view.height_px, "narrow": view.narrow, "stacks": False}
    longest = [max(texts, key=len) for texts in zip_longest(*paragraphs, fillvalue="")]
    pictures = {"size": size, "drawings": drawings.page(), "together": _PACKED, "longest": longest}
    return _html(panel, given, fixed, pictures, packs, as_pack(stills.page()), more, heading).encode()


def _with(state: SimpleNamespace, given: Sequence[Offered], values: Sequence[object]) -> SimpleNamespace:
    """The state with the values of these dials."""
    new = copy(state)
    for one, value in zip(given, values, strict=True):
        home = new
        if column := one.control.column:
            setattr(new, column, home := copy(getattr(new, column)))
        setattr(home, one.control.key, value)
    return new


def _setting(
    view: Any,
    answer: Callable[[SimpleNamespace], Result],
    state: SimpleNamespace,
    drawings: Drawings,
    stills: Stills,
) -> dict[str, object]:
    """What the page shows for a state."""
    try:
        result = answer(state)
    except InputError as problem:
        return {"words": unbroken(f"{capital(str(problem))}."), "fault": True}
    view.show(result)
    still = stills.add(view.still_html())
    drawing, values = drawings.add(view.frame_html(result.sentence))
    words = unbroken(capital(result.sentence))
    return {"words": words, "fault": False, "still": still, "drawing": drawing, "values": values}


def _html(
    panel: Panel,
    given: Sequence[Offered],
    fixed: Sequence[str],
    pictures: dict[str, object],
    packs: Sequence[str],
    stills: str,
    more: str,
    heading: str,
) -> str:
    """The whole page."""
    from bladelab.show.panel.page import _info

    spec = {
        "controls": [_info(one.control) for one in given],
        "buttons": [],
        "forms": [],
        "tabs": False,
        "titles": {},
        "open_on": "",
        "columns_of": panel._spec["columns_of"],
    }
    page = {
        "spec": spec,
        "dials": {one.control.name: one.page() for one in given},
        "back": dict(panel.taken_back),
        **pictures,
    }
    script = "".join(
        (_HERE / name).read_text(encoding="utf-8") for name in ("panel.js", "bar.js", "home.js")
    ) + (
        'takeHome(document.querySelector("#panel"),\n'
        '  JSON.parse(document.querySelector("#page").textContent),\n'
        '  document.querySelectorAll(".pack"), document.querySelector(".stills"));\n'
    )
    looks = "".join(
        (_HERE / name).read_text(encoding="utf-8") for name in ("panel.css", "type_face.css", "home.css")
    )
    allowed = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode("ascii")
    policy = (
        f"default-src 'none'; script-src 'sha256-{allowed}'; style-src 'unsafe-inline'; font-src data:; "
        "img-src data:; base-uri 'none'; form-action 'none'"
    )
    rest = "".join(f"<li>{html.escape(line)}</li>" for line in fixed)
    said = panel.bar.footer(tuple({"present", "trial"} - {one.control.column for one in given}))
    said = said or f"Made on {say_day(datetime.date.today())}"
    data = json.dumps(page).replace("<", "\\u003c")
    return "\n".join(
        [
            '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
            '<meta name="viewport" content="width=device-width, initial-scale=1">',
            f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
            f"<title>{html.escape(heading)}</title>\n<style>\n{looks}</style>\n</head>\n<body>\n<main>",
            f'<h1>{html.escape(heading)}</h1>\n<p class="whose">{html.escape(said)}.</p>',
            '<div id="panel"></div>',
            *([more] if more else []),
            *([f"<h2>What stays as it is on this page</h2><ul>{rest}</ul>"] if rest else []),
            f"<h2>How far to trust it</h2><p>{html.escape(_LEAVES_OUT)}</p>",
            f"<h2>On the ice</h2><p>{' '.join(CAUTIONS.values())}</p>\n</main>",
            "<noscript>This page moves its picture by a script, which is switched off here.</noscript>",
            f'<script type="application/json" id="page">{data}</script>',
            f'<script type="text/plain" class="stills">{stills}</script>',
            *(f'<script type="text/plain" class="pack">{pack}</script>' for pack in packs),
            f'<script type="module">{script}</script>\n</body>\n</html>\n',
        ]
    )


def _fixed(panel: Panel, given: Sequence[Offered]) -> Iterator[str]:
    """What the page does not move, in words: each blade's in one line, then the rest."""
    moved = {one.control.name for one in given}
    lines: dict[str, list[str]] = {"present": [], "trial": [], "": []}
    for name, dial in panel.dials.items():
        if dial.shown and name not in moved and dial.positions.last >= 0:
            means = " " if dial.control.column else ": "
            lines[dial.control.column].append(
                means.join((dial.control.label, dial.positions.say(dial.value)))
            )
    shared = lines.pop("")
    for column, said in lines.items():
        if said:
            yield unbroken(f"{column} {panel._spec['columns_of']}: {', '.join(said)}")
    yield from map(unbroken, shared)
