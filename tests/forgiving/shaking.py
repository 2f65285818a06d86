"""Random states of every panel and random arguments of the public functions.

As tests, a few of each; as a script, as many as you like, and it prints what it did:

    python -m tests.forgiving.shaking --count 100000
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time
import traceback
import warnings
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any
from unittest.mock import patch

import ipywidgets as widgets
import numpy as np

from bladelab.show.canvas.style import style_context
from bladelab.show.canvas.view import View
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.panel_box import PanelBox
from bladelab.units import SYSTEMS
from tests.forgiving.arguments import Chance
from tests.forgiving.calls import CALLS, flat
from tests.show.engine_checks import NOT_A_NUMBER, assert_speaks, draw_value, panel_makers, set_state, units

Made = Panel | PanelBox
_WORDS = ("", " ", "K07", "a, b; c", "<b>bold</b>", "x" * 500, "-1", "9999-99-99", "=1+1", "élan\u2028")


def makers() -> dict[str, Callable[[], Made]]:
    """Every function that makes something with sliders, by its name."""
    return panel_makers()


def inputs(widget: widgets.Widget) -> Iterator[widgets.Widget]:
    """All widgets within one that take a value from the reader."""
    for child in getattr(widget, "children", ()):
        yield from inputs(child)
    kinds = (widgets.Dropdown, widgets.Checkbox, widgets.Text, widgets.Textarea, widgets.IntSlider)
    if isinstance(widget, (*kinds, widgets.Select, widgets.SelectMultiple, widgets.ToggleButtons)):
        yield widget


def set_randomly(widget: Any, chance: random.Random) -> None:
    """Give one widget a value that the page would let through."""
    if isinstance(widget, widgets.SelectMultiple):
        count = len(widget.options)
        widget.index = tuple(sorted(chance.sample(range(count), chance.randint(0, count))))
    elif hasattr(widget, "options"):
        if widget.options:
            widget.index = chance.randrange(len(widget.options))
    elif isinstance(widget, widgets.Checkbox):
        widget.value = not widget.value
    elif isinstance(widget, widgets.IntSlider):
        widget.value = chance.randint(widget.min, widget.max)
    else:
        widget.value = chance.choice(_WORDS)


def shake_panel(make_panel: Callable[[], Made], count: int, seed: int) -> Counter[str]:
    """Set a panel to `count` random states; each must give a sentence and no picture with a NaN.

    Half of the states move one dial, as a reader does, half move them all; where there is something around
    the panel, half of the states move that.
    """
    chance, tally = random.Random(seed), Counter()
    labelled = patch.object(View, "still_html", axes_labelled)
    with units(SYSTEMS[seed % len(SYSTEMS)]), warnings.catch_warnings(), labelled:
        warnings.simplefilter("error")  # a notebook shows them on the page
        made = make_panel()
        panel = made if isinstance(made, Panel) else getattr(made, "panel", None)
        around = [] if made is panel else [w for w in inputs(made) if not within(panel, w)]
        start = {name: dial.value for name, dial in panel.dials.items()} if panel else {}
        for turn in range(count):
            if around and (panel is None or turn % 4 < 2):
                set_randomly(chance.choice(around), chance)
            else:
                names = list(panel.dials) if turn % 2 else [chance.choice(list(panel.dials))]
                set_state(panel, {name: draw_value(panel.dials[name], chance) for name in names})
            if panel is None:
                assert not NOT_A_NUMBER.search(" ".join(shown_texts(made)))
                tally["a picture"] += 1
                continue
            assert_speaks(panel)
            tally["a sentence instead of a picture" if panel.fault else "a picture"] += 1
            if panel.fault and chance.random() < 0.5:
                # Else a panel that few states suit would hardly be seen with a picture again.
                set_state(panel, {name: value for name, value in start.items() if name in panel.dials})
        made.close()  # or it would be drawn once more, in the units of before
    return tally


def axes_labelled(view: View) -> str:
    """Label the axes of a picture, in place of drawing all that stays from frame to frame: where an axis ends
    is all that a state changes of it. tests/show draws it, at the ends of every dial."""
    with style_context():
        for axes in view.figure.axes:
            for axis in (axes.xaxis, axes.yaxis) if axes.get_visible() and axes.axison else ():
                labels = [label.get_text() for label in axis.get_majorticklabels()]
                assert not NOT_A_NUMBER.search(" ".join(labels)), labels
    return ""


def within(panel: Panel | None, widget: widgets.Widget) -> bool:
    """Whether a widget is one of the panel's own."""
    return panel is not None and any(widget is one for one in inputs(panel))


def shown_texts(widget: widgets.Widget) -> Iterator[str]:
    """All texts within a widget that the reader sees."""
    for child in getattr(widget, "children", ()):
        yield from shown_texts(child)
    if isinstance(widget, widgets.HTML):
        yield widget.value


def shake_arguments(count: int, seed: int, folder: Path, odd: list[str] | None = None) -> Counter[str]:
    """Call the public functions with random arguments: finite numbers or a sentence, nothing else.

    What is neither raises; given a list `odd`, it is noted there instead.
    """
    chance, tally = Chance(seed), Counter()
    chance.folder = folder
    for call in chance.choices(list(CALLS), weights=list(CALLS.values()), k=count):
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error")
                result = call(chance)
            assert np.all(np.isfinite(flat(result))), result
            tally["answered"] += 1
        except (ValueError, FileExistsError) as problem:
            assert len(str(problem)) > 15, problem
            tally["refused in words"] += 1
        except Exception as problem:
            problem.add_note(f"in {call.__name__}, seed {seed}, after {tally.total()} calls")
            if odd is None:
                raise
            odd.append("".join(traceback.format_exception(problem)))
            tally["neither"] += 1
    return tally


def main() -> None:
    """Shake everything and print the outcome."""
    parser = argparse.ArgumentParser(description=main.__doc__)
    parser.add_argument("--count", type=int, default=2000, help="states and calls, all together")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("only", nargs="*", help="names of panels, or 'arguments'; none means all")
    given = parser.parse_args()
    found = makers()
    if unknown := set(given.only) - {*found, "arguments"}:
        parser.error(f"no panel is called {', '.join(sorted(unknown))}")
    # Panels are slow, arguments quick: a third of the count goes to the panels.
    each = max(1, given.count // 3 // len(found))
    jobs = {name: (each, lambda n, s, m=make: shake_panel(m, n, s)) for name, make in found.items()}
    odd: list[str] = []
    with tempfile.TemporaryDirectory() as folder:
        os.chdir(folder)  # what a panel keeps beside its notebook, and what the calls save
        rest = given.count - each * len(found)
        jobs["arguments"] = (rest, lambda n, s: shake_arguments(n, s, Path(folder), odd))
        for number, (name, (count, job)) in enumerate(jobs.items()):
            if given.only and name not in given.only:
                continue
            start = time.perf_counter()
            tally = job(count, given.seed + number)
            per_state = (time.perf_counter() - start) / count * 1000
            print(f"{name:24s} {dict(tally)}  {per_state:.1f} ms each", flush=True)
    print(*odd[:10], sep="\n")
    if odd:
        raise SystemExit(f"{len(odd)} calls gave neither a number nor a sentence")


if __name__ == "__main__":
    main()
