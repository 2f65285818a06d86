"""How long the kernel takes for one frame of each panel, against a full redraw of the same figure as a PNG.

    python -m tests.benchmarks.panel_frame

Aim for the main panel: 8 times faster, under 20 ms.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import numpy as np

from bladelab.show.engine import Panel
from bladelab.show.panels_contact import contact_panel
from bladelab.show.panels_hollow import bite_panel
from bladelab.show.panels_main import main_panel
from bladelab.show.panels_rocker import rocker_panel

FRAMES, REDRAWS = 60, 8


def milliseconds(work: Callable[[int], object], times: int) -> np.ndarray:
    """The time of each call, ms."""
    taken = []
    for i in range(times):
        start = time.perf_counter()
        work(i)
        taken.append(1e3 * (time.perf_counter() - start))
    return np.array(taken)


def measure(make_panel: Callable[[], Panel], dial: str, low: float, high: float) -> None:
    """Move one slider through a range in steps, and print the ratio."""
    panel = make_panel()
    slider = panel.dials[dial].widget
    values = np.linspace(low, high, FRAMES + 1)[1:]

    def frame(i: int) -> None:
        slider.value = float(values[i])

    frame(0)
    frames = milliseconds(frame, FRAMES)
    state = panel.state()

    def redraw(_: int) -> None:
        """The same change answered the plain way: the whole figure drawn again, as sharp."""
        panel.view.update(**panel._answer(state).results)
        panel.view.png(2.0)

    redraws = milliseconds(redraw, REDRAWS)
    middle, slow, full = np.median(frames), np.percentile(frames, 90), np.median(redraws)
    print(
        f"{panel.panel_name:<12} frame {middle:5.1f} ms (nine in ten under {slow:5.1f}), "
        f"full redraw {full:6.1f} ms: {full / middle:4.1f} times faster; "
        f"{len(panel._frame.value) / 1024:.0f} kB a frame"
    )


def main() -> None:
    measure(main_panel, "trial.radius_mm", 8.0, 14.0)
    measure(rocker_panel, "radius_mm", 8.0, 13.0)
    measure(bite_panel, "radius_mm", 8.0, 14.0)
    measure(contact_panel, "radius_mm", 8.0, 14.0)


if __name__ == "__main__":
    main()
