"""The picture of a timed trial: the runs in order, and what the pairs say; before, how many it takes."""

from __future__ import annotations

import numpy as np

from bladelab.rink.session import TimedSession
from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.narrow import make_readable, widen
from bladelab.show.canvas.style import INK, PRESENT, QUIET, TRIAL
from bladelab.show.canvas.view import View
from bladelab.show.panels.rink.timed_plan import DIFFERENCES, NAMED, TimedFound

_REACHES_S = (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 50.0, 200.0)
_MOST_PAIRS = 300.0
#: A gap between sessions in a row of runs or pairs.
_GAP = 2
_BLADES = (("A", PRESENT, "o"), ("B", TRIAL, "s"))


class TimedView(View[TimedFound]):
    """Times by run and differences by pair; of a plan, the order and the pairs for each difference."""

    height_px = 390

    def draw(self) -> None:
        self.times = self.figure.add_axes((0.07, 0.14, 0.37, 0.71), xlabel="run", ylabel="time, s")
        self.dots = {
            name: self.new_line(self.times, color=colour, marker=marker, markersize=7, linestyle="none")
            for name, colour, marker in _BLADES
        }
        self.tags = {
            name: self.new_text(self.times, name, color=colour, fontweight="bold", ha="left", va="center")
            for name, colour, _ in _BLADES
        }
        self.pairs = self.figure.add_axes((0.53, 0.14, 0.45, 0.71), ylabel="B less A, s")
        self.band = self.new_area(self.pairs, color=TRIAL, alpha=0.25)
        self.mean = self.new_level(self.pairs, color=TRIAL, linewidth=2.2, linestyle=(0, (5, 2)))
        self.pairs.axhline(0, color=INK, linewidth=1.4)
        self.each = self.new_line(self.pairs, color=INK, marker="D", markersize=6, linestyle="none")
        top = self.pairs.transAxes
        self.slower = self.new_text(
            self.pairs, "B is slower ↑", 0.99, 0.97, transform=top, ha="right", va="top", color=QUIET
        )
        self.quicker = self.new_text(
            self.pairs, "B is quicker ↓", 0.99, 0.03, transform=top, ha="right", va="bottom", color=QUIET
        )
        self.plan = self.figure.add_axes((0.53, 0.14, 0.45, 0.71))
        self.plan.set(
            xscale="log", yscale="log", xlim=(DIFFERENCES[0], DIFFERENCES[-1]), ylim=(2, _MOST_PAIRS)
        )
        self.plan.set_xticks([0.5, 1, 2, 5, 10], labels=["0.5", "1", "2", "5", "10"])
        self.plan.set_yticks([2, 5, 10, 20, 50, 100, 300], labels=["2", "5", "10", "20", "50", "100", "300"])
        self.plan.minorticks_off()
        self.plan.set(xlabel="difference to show, %", ylabel="how many it takes")
        self.curve = self.new_line(self.plan, color=INK, linewidth=2.2)
        self.chosen = self.new_level(self.plan, color=QUIET, linestyle=(0, (3, 2)), linewidth=1.4)
        self.chosen_tag = self.new_text(self.plan, "", DIFFERENCES[-1], 2, ha="right", va="bottom")
        self.wish = self.new_upright(self.plan, color=TRIAL, linestyle=(0, (5, 2)), linewidth=1.8)
        self._planning: bool | None = None

    def stack_up(self) -> None:
        """The pairs and the plan in one place: only one of them is shown."""
        super().stack_up()
        upper, lower = (axes.get_position(original=True) for axes in (self.pairs, self.plan))
        spare = (upper.y0 - lower.y0) * self.height_px
        self.height_px = widen(self.figure, self.height_px, 0.0, -spare)
        make_readable(self.figure, self.headline, self.height_px)
        self.plan.set_position(self.pairs.get_position(original=True))

    def update(self, result: TimedFound) -> None:
        planning = result.outcome is None
        if planning != self._planning:
            self._planning = planning
            self.pairs.set_visible(not planning)
            self.plan.set_visible(planning)
            self.times.set_yticks([])
            self.times.set_ylabel("" if planning else "time, s")
            if not planning:
                from matplotlib.ticker import AutoLocator, ScalarFormatter

                self.times.yaxis.set_major_locator(AutoLocator())
                self.times.yaxis.set_major_formatter(ScalarFormatter(useOffset=False))
            self.still_changed()
        if planning:
            self._plan(result)
        else:
            self._outcome(result)

    def _plan(self, result: TimedFound) -> None:
        runs = np.arange(1, len(result.order.runs) + 1)
        for row, (name, _, _) in enumerate(_BLADES):
            on = np.array([blade == name for blade in result.order.runs])
            self.dots[name].set_data(runs[on], np.full(on.sum(), 1.0 - row))
            self.tags[name].set_position((len(runs) + 1.2, 1.0 - row))
        self.times.set_xlim(0, len(runs) + 3)
        self.times.set_ylim(-1.5, 2.5)
        self.curve.set_data(DIFFERENCES, result.needed)
        self.chosen.set_ydata([result.units] * 2)
        self.chosen_tag.set_position((0.97 * DIFFERENCES[-1], 1.05 * result.units))
        self.chosen_tag.set_text(f"this session: {result.units} {NAMED[result.order.design][1]}")
        self.wish.set_xdata([result.percent] * 2)

    def _outcome(self, result: TimedFound) -> None:
        places, times, blades = _in_a_row(result.sessions)
        low, high = float(np.nanmin(times)), float(np.nanmax(times))
        spare = max(0.12 * (high - low), 0.01)
        for name, _, _ in _BLADES:
            on = blades == name
            self.dots[name].set_data(places[on], times[on])
            self.tags[name].set_position((places[-1] + 1, float(np.nanmean(times[on]))))
        self._apart(
            float(np.nanmean(times[blades == "A"])), float(np.nanmean(times[blades == "B"])), high - low
        )
        self.times.set_xlim(0, places[-1] + 3)
        self.times.set_ylim(low - spare, high + spare)
        assert result.outcome is not None
        together = result.outcome.together
        differences: list[float] = []
        at: list[int] = []
        begin = 1
        for one in result.outcome.each:
            at += range(begin, begin + one.pairs)
            differences += one.differences.tolist()
            begin = at[-1] + _GAP
        right = at[-1] + 0.7
        self.pairs.set_xlim(0.3, right)
        reach = step_above(
            1.15 * max(*map(abs, differences), abs(together.low), abs(together.high)), _REACHES_S
        )
        self.pairs.set_ylim(-reach, reach)
        self.each.set_data(at, differences)
        self.mean.set_ydata([together.difference] * 2)
        ends = np.clip([together.low, together.high], -reach, reach)
        self.band.set_data([0.3, right], [ends[0]] * 2, [ends[1]] * 2)
        unit = NAMED[result.order.design][0]
        if self.pairs.get_xlabel() != unit:
            self.pairs.set_xlabel(unit)
            self.still_changed()

    def _apart(self, a: float, b: float, spread: float) -> None:
        """Keep the names of both blades from lying on each other."""
        least = 0.09 * max(spread, 0.02)
        if abs(a - b) < least:
            middle, sign = (a + b) / 2, 1 if a >= b else -1
            a, b = middle + sign * least / 2, middle - sign * least / 2
        for name, height in (("A", a), ("B", b)):
            self.tags[name].set_y(height)


def _in_a_row(sessions: tuple[TimedSession, ...]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """All runs, session after session: place, time and blade."""
    places, times, blades, begin = [], [], [], 1
    for session in sessions:
        count = len(session.time_s)
        places.append(np.arange(begin, begin + count))
        times.append(session.time_s)
        blades += list(session.order.runs)
        begin += count + _GAP
    return np.concatenate(places), np.concatenate(times), np.array(blades)
