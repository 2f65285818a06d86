"""How long the kernel takes for one frame of each panel, against a full redraw of the same figure as a PNG.

    python -m tests.benchmarks.panel_frame               every panel
    python -m tests.benchmarks.panel_frame glide trust   those whose function begins so
    python -m tests.benchmarks.panel_frame --quick       one slider of a small one, to try this

Each slider in sight goes some steps up and as many down, as a held key moves it; the line of a panel is that
of its slowest slider. Time is that of this process alone, so that a busy machine counts little. Aim: under
20 ms for every panel.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from typing import Any

import numpy as np

from bladelab.show.controls.control import Frames, Slider
from bladelab.show.controls.dials import Dial
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.panel_box import PanelBox
from bladelab.units import SYSTEMS
from tests.benchmarks.timing import command_line
from tests.show.engine_checks import hand, panel_makers, units

STEPS, REDRAWS = 6, 5


def milliseconds(work: Callable[[Any], object], given: Any) -> np.ndarray:
    """The time this process takes for each call, ms."""
    taken = []
    for one in given:
        start = time.process_time()
        work(one)
        taken.append(1e3 * (time.process_time() - start))
    return np.array(taken)


def steps_of(dial: Dial) -> list[int]:
    """Positions of single steps away from where a dial is, and on from the other end of its scale."""
    page = dial.page()
    return [(page["at"] + k) % (page["last"] + 1) for k in range(1, 2 * STEPS + 1)][: page["last"]]


def measure(name: str, make_panel: Callable[[], Panel | PanelBox], quick: bool = False) -> None:
    """Move each slider of a panel, or with `quick` the first, and print the slowest beside a full redraw."""
    made = make_panel()
    panel = made.panel if isinstance(made, PanelBox) else made
    found: list[tuple[float, float, str]] = []
    for key, dial in panel.dials.items():
        if not isinstance(dial.control, (Slider, Frames)) or not dial.shown:
            continue
        start, moves = dial.value, steps_of(dial)
        if len(moves) < 3:
            continue
        hand(panel, key, moves[0])  # the first step may change what is remembered
        moves = moves[:3] if quick else moves
        frames = milliseconds(lambda at, key=key: hand(panel, key, at), moves[1:])
        found.append((float(np.median(frames)), float(np.percentile(frames, 90)), key))
        dial.value = start
        if quick:
            break
    if not found:
        print(f"{name:<22} no slider")
        return
    found.sort(reverse=True)
    state = panel.state()

    def redraw(_: object) -> None:
        """The same change answered the plain way: the whole figure drawn again, as sharp."""
        panel.view.show(panel._picture.answer(state))
        panel.view.png(2.0)

    full = float(np.median(milliseconds(redraw, range(1 if quick else REDRAWS))))
    middle, slow, key = found[0]
    others = ", ".join(f"{key} {ms:.0f}" for ms, _, key in found[1:4])
    print(
        f"{name:<22} {key:<24} {middle:6.1f} {slow:6.1f} {full:7.1f} {full / middle:5.1f}x "
        f"{len(panel._frame) / 1024:4.0f} kB  then {others}",
        flush=True,
    )


def main() -> None:
    """Measure the panels named on the command line."""
    parser = command_line(__doc__)
    parser.add_argument("names", nargs="*", help="beginnings of names; none means all")
    given = parser.parse_args()
    print(f"{'panel':<22} {'slowest slider':<24} median    p90  redraw  ratio  frame")
    with units(SYSTEMS[0]):
        makers = [
            (name, make_panel)
            for name, make_panel in panel_makers().items()
            if name.startswith(tuple(given.names or ["rocker" if given.quick else ""]))
        ]
        for name, make_panel in makers:
            measure(name, make_panel, given.quick)


if __name__ == "__main__":
    main()
