"""The picture of a drop test: each crater, the hardness against the time pressed, bite and friction."""

from __future__ import annotations

import numpy as np

from bladelab.show.canvas.limits import step_above
from bladelab.show.canvas.parts import BarsPart
from bladelab.show.canvas.style import INK, LINES, PRESENT, QUIET
from bladelab.show.canvas.view import View
from bladelab.show.panels.rink.drop_test_answer import HardnessFound

_HARDNESSES_MPA = (10.0, 20.0, 30.0, 50.0, 80.0, 150.0, 400.0)
#: How long a gliding blade presses the ice under it, s: contact length over speed.
_BLADE_S = (0.005, 0.014)
_MOST_SHOWN = 30


class DropTestView(View[HardnessFound]):
    """Each crater, the hardness against the time pressed, and bite and friction on this and the usual ice."""

    height_px = 360

    def draw(self) -> None:
        self.each = self.figure.add_axes((0.065, 0.15, 0.36, 0.7), xlabel="crater", ylabel="hardness, MPa")
        self.band = self.new_area(self.each, color=PRESENT, alpha=0.2)
        self.mean = self.new_level(self.each, **LINES["present"])
        self.fit = self.new_level(self.each, **LINES["trial"])
        self.dots = self.new_line(self.each, color=INK, marker="o", markersize=6, linestyle="none")
        self.odd = self.new_line(
            self.each, color=INK, marker="o", markersize=13, markerfacecolor="none", linestyle="none"
        )
        # At the foot of the picture no crater ever lies.
        for x, side, words, colour in (
            (0.02, "left", "this ice (line)", PRESENT),
            (0.98, "right", "usual (dashed)", LINES["trial"]["color"]),
        ):
            self.each.text(x, 0.03, words, color=colour, ha=side, va="bottom", transform=self.each.transAxes)
        self.time = self.figure.add_axes((0.49, 0.15, 0.24, 0.7))
        self.time.set(xscale="log", xlim=(1e-4, 300.0), xlabel="time pressed, s", yscale="log", ylim=(1, 100))
        self.time.set_yticks([1, 3, 10, 30, 100], labels=["1", "3", "10", "30", "100"])
        self.time.set_xticks([1e-3, 0.1, 10], labels=["0.001", "0.1", "10"])
        self.time.axvspan(*_BLADE_S, color=QUIET, alpha=0.25, linewidth=0)
        self.time.text(0.0085, 1.15, "blade", rotation=90, ha="center", va="bottom", color=INK, fontsize=10)
        self.tests = self.new_line(self.time, color=PRESENT, marker="o", markersize=8, linewidth=1.6)
        self.doubts = [self.new_line(self.time, color=INK, linewidth=1.6) for _ in range(2)]
        self.tags = [self.new_text(self.time, word, va="bottom") for word in ("ball", "slow press")]
        self.bars = []
        for bottom, name, steps in (
            (0.56, "bite, mm", (0.1, 0.2, 0.5, 1.0, 2.0)),
            (0.15, "computed friction", (0.005, 0.01, 0.02, 0.05)),
        ):
            axes = self.figure.add_axes((0.825, bottom, 0.16, 0.24))
            axes.locator_params(axis="x", nbins=3)
            self.bars.append(BarsPart(self, axes, name, ("this ice", "usual"), steps))

    def update(self, result: HardnessFound) -> None:
        test = result.test
        each = test.craters.each_MPa[:_MOST_SHOWN]
        right = max(len(each), 4) + 0.6
        self.each.set_xlim(0.4, right)
        low, high = test.interval_MPa
        top = step_above(1.15 * max(float(each.max()), high, result.usual_MPa), _HARDNESSES_MPA)
        self.each.set_ylim(0, top)
        self.dots.set_data(np.arange(1, len(each) + 1), each)
        odd = [at for at in test.craters.odd if at < len(each)]
        self.odd.set_data([at + 1 for at in odd], each[odd])
        self.band.set_data([0.4, right], [low] * 2, [high] * 2)
        self.mean.set_ydata([test.hardness_MPa] * 2)
        self.fit.set_ydata([result.usual_MPa] * 2)
        tests = [one for one in (test, result.press) if one is not None]
        self.tests.set_data([t.loading_time_s for t in tests], [t.hardness_MPa for t in tests])
        for at, (doubt, tag) in enumerate(zip(self.doubts, self.tags, strict=True)):
            shown = at < len(tests)
            doubt.set_visible(shown)
            tag.set_visible(shown)
            if shown:
                one = tests[at]
                doubt.set_data([one.loading_time_s] * 2, one.interval_MPa)
                tag.set_position((one.loading_time_s, 1.25 * one.interval_MPa[1]))
                tag.set_horizontalalignment("left" if at == 0 else "center")
        bite, friction = self.bars
        bite.update(result.here.contact.depth_mm, result.usual.contact.depth_mm)
        friction.update(float(result.here.total), float(result.usual.total))
