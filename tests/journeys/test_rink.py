"""A coach at the rink, on plain pages: tests the ice in metric units, times glides over marks taped in feet,
then tries whether the trial blade is really quicker; the trial log and the papers know all of it."""

from __future__ import annotations

import csv
import io
import re

import numpy as np
import pytest
from playwright.sync_api import expect
from pypdf import PdfReader

from bladelab import exponent_between, hardness_from_drop, hardness_from_press, paired_result
from bladelab.book.happenings import Circumstances, Decided
from bladelab.book.steel_happenings import Fitted, Stated
from bladelab.book.store import open_book
from bladelab.rink.glide_compare import compare_glide_outs
from bladelab.rink.glide_plan import GlidePlan
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker
from bladelab.show.wording.say_rink import measured_on_ice
from tests.journeys.desk import Desk
from tests.show.panel.test_card_bar import write

ICE, GLIDE, TIMED = (
    "21_how_hard_is_this_ice.ipynb",
    "22_how_does_it_glide.ipynb",
    "23_is_it_really_better.ipynb",
)
LOG = "10_keep_a_trial_log.ipynb"
PRESENT, TRIAL = (Blade(Rocker.single(3048.0, 280.0), Hollow(r, 2.9)) for r in (12.7, 15.875))
GRAVITY, MASS_KG, FOOT_M = 9.81, 72.0, 0.3048


# What really happens at the rink: worked out here, with nothing of the library --------------------------


def crater_mm(hardness_MPa: float, height_m: float, radius_mm: float = 12.7) -> float:
    """Diameter of the crater of a steel ball: its energy over the hardness is the volume of the cap."""
    mass_kg = 4 / 3 * np.pi * (radius_mm / 1000) ** 3 * 7800
    volume_mm3 = 1000 * mass_kg * GRAVITY * height_m / hardness_MPa
    low, high = 0.0, radius_mm
    for _ in range(60):  # the depth h of which pi h^2 (3 R - h) / 3 is the volume
        depth = (low + high) / 2
        low, high = (
            (depth, high) if np.pi * depth**2 * (3 * radius_mm - depth) / 3 < volume_mm3 else (low, depth)
        )
    return float(2 * np.sqrt(2 * radius_mm * low - low**2))


def passing_s(friction: float, start_m_s: float, marks_ft: np.ndarray) -> np.ndarray:
    """Times at the marks, by small steps of dv/dt = -(friction g + air v^2), with a drag area of 0.35 m2."""
    air, x, v, t, step = 1.29 * 0.35 / 2 / MASS_KG, 0.0, start_m_s, 0.0, 1e-3
    found = []
    for mark in marks_ft * FOOT_M:
        while x < mark:
            middle = v - (friction * GRAVITY + air * v * v) * step / 2
            v -= (friction * GRAVITY + air * middle * middle) * step
            x, t = x + middle * step, t + step
        found.append(t - (x - mark) / v)
    return np.array(found)


#: Of the diameters, as a caliper reads them.
READ = (1.01, 0.99, 1.0, 1.015, 0.985, 1.005)
MARKS_FT = np.arange(0.0, 105.0, 13.0)
#: Direction, blade, speed at the first mark, m/s. The ice rises by 0.4 in 1,000 along >.
RUNS = (
    (">", "A", 2.7),
    ("<", "B", 2.75),
    (">", "B", 2.8),
    ("<", "A", 2.7),
    (">", "A", 2.85),
    ("<", "B", 2.7),
)
FRICTION = {"A": 0.0072, "B": 0.0060}
TIMES_A, TIMES_B = (4.02, 3.98, 4.05, 3.99, 4.01, 4.03), (3.87, 3.85, 3.88, 3.86, 3.84, 3.89)
AGAIN_A, AGAIN_B = (4.06, 4.00, 4.02, 4.04, 3.99, 4.01), (3.92, 3.90, 3.91, 3.93, 3.88, 3.86)


def a_run(way: str, blade: str, start: float, seed: int) -> list[float]:
    """What the stopwatch says, s."""
    rises = 0.0004 if way == ">" else -0.0004
    times = passing_s(FRICTION[blade] + rises, start, MARKS_FT)
    return [float(f"{t:.2f}") for t in times + np.random.default_rng(seed).normal(0, 0.02, times.size)]


# ---------------------------------------------------------------------------------------------------------


@pytest.fixture
def book(tmp_path):
    """A book with one skater, whose present blade and trial are known."""
    file = tmp_path / "book.sqlite"
    said = Circumstances(MASS_KG, -6.0, 5.0, units="metric")
    write(file, said, Fitted("S1"), Stated("S1", PRESENT), Decided(TRIAL), choose=True)
    return file


class AtTheRink(Desk):
    """Forms under a panel, and the files it saves; one page at a time."""

    def open(self, name, place=0):
        if self.notebook is not None:
            assert self.notebook.all_errors() == []
            self.window.close_notebook()
        super().open(name, place)

    def fill(self, **fields):
        """Fill fields by their labels, with `_` for a space, and press *use these*."""
        for name, text in fields.items():
            self.page.get_by_role("textbox", name=name.replace("_", " ")).fill(text)
        self.page.get_by_role("button", name="use these").click()

    def set(self, name, text):
        """Type a number on a slider."""
        self.dial(name).focus()
        self.page.keyboard.type(text)
        self.page.keyboard.press("Enter")

    def says(self, *parts):
        """Wait until the panel's sentence says all of this."""
        for part in parts:
            expect(self.panel.locator(".bladelab-sentence").first).to_contain_text(part, timeout=30_000)

    def page_says(self, text):
        """Wait until it is said beside the panel."""
        expect(self.page.get_by_text(text).first).to_be_visible(timeout=30_000)

    def fetch(self, words, link):
        """Press a button that saves a file, and download it."""
        self.page.get_by_role("button", name=words).click()
        with self.page.expect_download() as download:
            self.page.get_by_role("link", name=re.compile(link)).last.click()
        return download.value.path()


def the_ice(desk, book):
    desk.open(ICE)
    desk.set("height_m", "80")
    desk.reads("height_m", "80 cm")
    craters = [round(crater_mm(19.0, 0.8) * share, 2) for share in READ]
    slow = [round(np.sqrt(4 * MASS_KG * GRAVITY / (np.pi * 5.0)) * share, 1) for share in READ[:4]]
    desk.page.get_by_label("rink's code").fill("R7")
    listed = " ".join(f"{one:.2f}" for one in craters).replace(".", ",")
    desk.fill(craters=listed, slow_press=" ".join(f"{one:.1f}" for one in slow))
    desk.page_says("Taken over: 6 craters and 4 craters of the slow press.")
    desk.set("press_kg", f"{MASS_KG:g}")
    test = hardness_from_drop(12.7, 0.8, craters)
    press = hardness_from_press(12.7, MASS_KG * GRAVITY, 10.0, slow)
    value, error = exponent_between(test, press)
    assert test.hardness_MPa == pytest.approx(19.0, abs=3 * test.standard_error_MPa)
    assert press.hardness_MPa == pytest.approx(5.0, abs=3 * press.standard_error_MPa)
    desk.says(
        f"These 6 craters give a hardness of {test.hardness_MPa:.1f} ± {test.standard_error_MPa:.1f} MPa",
        f"At −6.0 °C ice usually has {14.7 + 0.6 * 6:.1f} MPa",
        f"this ice gives way at {press.hardness_MPa:.1f} MPa: it softens with the power {value:.3f}",
    )
    desk.press("keep this test of the ice", f"Ice of rink R7 tested: hardness {test.hardness_MPa:.1f} ± ")
    kept = open_book(book).card("K07").ice.what
    assert (kept.rink, kept.crater_mm, kept.press_crater_mm) == ("R7", tuple(craters), tuple(slow))
    desk.page_says("the only test so far")
    table = desk.fetch("save the rink's card", r"rink-r7.*\.csv").read_text(encoding="utf-8-sig")
    (row,) = csv.DictReader(io.StringIO(table))
    assert (row["rink"], row["craters"], float(row["temperature_C"]), float(row["press_s"])) == (
        "R7",
        "6",
        -6,
        10,
    )
    for name, expected in (
        ("hardness_MPa", test.hardness_MPa),
        ("press_MPa", press.hardness_MPa),
        ("exponent", value),
        ("exponent_error", error),
    ):
        assert float(row[name]) == pytest.approx(expected, rel=1e-3), name


def the_glide(desk, book):
    desk.open(GLIDE)
    desk.dial("runs").select_option(label="none yet: plan them")
    plan = GlidePlan(np.arange(9) * 4.0, 2.8, MASS_KG, 0.006, 0.27)
    desk.says(
        "To show a difference of 10 % between two blades", f"takes {plan.runs_needed(10.0)} runs on each"
    )
    desk.dial("units").select_option(label="feet and inches")
    desk.says("Starting at 6.3 mph")
    written = [a_run(*run, seed) for seed, run in enumerate(RUNS)]
    lines = [[f"{time:.2f}" for time in row] for row in written]
    lines[2][4] = "-"  # the thumb missed a mark
    right = lines[1][3]
    lines[1][3] = lines[1][2][:-1]  # and hit a wrong key
    marks = " ".join(f"{mark:g}" for mark in MARKS_FT)

    def typed():
        return "\n".join(
            f"{way} {blade} {' '.join(row)}" for (way, blade, _), row in zip(RUNS, lines, strict=True)
        )

    desk.fill(marks=marks, times=typed())
    desk.page_says("Taken over: 6 runs past 9 marks, on A and B; 1 missed. But run 2 passes mark 4 at")
    lines[1][3] = right
    desk.fill(times=typed())
    written[2][4] = np.nan
    ways, blades = [1 if run[0] == ">" else -1 for run in RUNS], [int(run[1] == "B") for run in RUNS]
    found = compare_glide_outs(MARKS_FT * FOOT_M, written, MASS_KG, blades, ways)
    percent = 100 * found.difference / found.mu[0]
    for mu, error, blade in zip(found.mu, found.mu_error, "AB", strict=True):
        assert mu == pytest.approx(FRICTION[blade], abs=3 * error)
        desk.says(f"{mu:.4f} ± {error:.4f}")
    desk.says(f"B has {-percent:.0f} % less friction than A", f"{found.cda_m2 / FOOT_M**2:.1f} ± ")
    desk.press("keep these glide-outs", f"friction −{-percent:.0f} % on the second blade")
    (kept,) = open_book(book).card("K07").glides
    assert (
        kept.what.distance_m == pytest.approx(MARKS_FT * FOOT_M, abs=1e-9) and kept.what.time_s[2][4] is None
    )
    assert (kept.what.first.hollow, kept.what.second.hollow) == (PRESENT.hollow, TRIAL.hollow)


def order_on_sheet(desk):
    """Print the sheet, and read from it which blade each run is on."""
    sheet = PdfReader(desk.fetch("print the sheet", r"timed_sheet.*\.pdf")).pages[0].extract_text()
    order = re.findall(r"^\d+(?:, pair \d+)?\s+([AB])$", sheet, re.M)
    assert len(order) == 12 and order.count("A") == 6
    assert "A: single 10 ft, hollow 1/2 in. B: single 10 ft, hollow 5/8 in." in sheet.replace("\u00a0", " ")
    return order


def a_session(desk, order, a, b):
    """Type the times of a session in the order of the sheet, one after the other."""
    times = {"A": iter(a), "B": iter(b)}
    desk.page.get_by_label("next time, s").focus()
    for run, blade in enumerate(order, 1):
        desk.page.keyboard.type(f"{next(times[blade]):.2f}".replace(".", "," if run % 2 else "."))
        desk.page.keyboard.press("Enter")
        desk.page_says(re.compile(f"^Run {run} on {blade}: "))


def the_trial(desk, book):
    desk.open(TIMED)
    desk.dial("sessions").select_option(label="none yet: plan them")
    desk.set("count", "6")
    desk.says("12 runs with")
    order = order_on_sheet(desk)
    a_session(desk, order, TIMES_A, TIMES_B)
    result = paired_result(TIMES_A, TIMES_B)
    percent, low, high = result.percent
    desk.says(f"On B this skater is {-result.difference:.2f} s quicker, {-percent:.1f} %")
    desk.says(f"anything from {-low:.1f} % quicker to {-high:.1f} % quicker")
    desk.press("keep the last session", f"12 runs, B took −{-percent:.1f} %")
    desk.page.get_by_role("button", name="begin another session").click()
    desk.page_says("1 session kept")
    times = {"A": iter(AGAIN_A), "B": iter(AGAIN_B)}
    desk.page.get_by_label("next time, s").fill(
        " ".join(f"{next(times[run])}" for run in order_on_sheet(desk))
    )
    desk.page.keyboard.press("Enter")
    both = paired_result([*TIMES_A, *AGAIN_A], [*TIMES_B, *AGAIN_B]).percent[0]
    last = paired_result(AGAIN_A, AGAIN_B).percent
    desk.says(
        f"quicker, {-both:.1f} %",
        f"In 2 sessions B was {-percent:.1f} % quicker and {-last[0]:.1f} % quicker.",
    )
    desk.press("keep the last session", f"12 runs, B took −{-last[0]:.1f} %")
    desk.panel.get_by_role("tab", name="blind pairs").click()
    desk.set("prefers_a", "1")
    desk.set("prefers_b", "9")
    desk.says("tossing a coin is that uneven 2.1 % of the time, so that is a preference.")  # 22 of 1,024
    desk.press("keep the blind pairs", "B preferred 9 times, A 1; a preference")
    assert [entry.what.session.time_s.size for entry in open_book(book).card("K07").timed] == [12, 12]
    return last


def the_proposal(desk, book, last):
    """The trial log goes by what was measured, though nothing was rated; the papers list all of it."""
    percent, low, high = last
    desk.open(LOG)
    desk.says(
        f"{-percent:.1f} % less time than on single 10 ft, hollow 1/2 in (−{-low:.1f} to −{-high:.1f} %)"
    )
    expect(desk.panel.locator(".bladelab-picture")).to_contain_text("not rated: keep the better blade")
    lines = measured_on_ice(open_book(book).card("K07"))  # as on the skater's sheet
    heads = [line.split(",")[0] for line in lines]
    assert heads == ["Ice of rink R7", "Glide-out", "Timed trial", "Timed trial", "Blind pairs"]


def test_from_the_ice_to_the_proposal(sit_down, own_files, book):
    desk = sit_down("voila", book, AtTheRink)
    the_ice(desk, book)
    the_glide(desk, book)
    last = the_trial(desk, book)
    desk.end_the_day()
    the_proposal(desk, book, last)
    desk.end_the_day()
