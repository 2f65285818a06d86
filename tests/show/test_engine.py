"""The engine: frames, dials, units, faults, saved files."""

from __future__ import annotations

import asyncio
import io
import re
from pathlib import Path
from types import SimpleNamespace

import matplotlib as mpl
import pytest
from PIL import Image

from bladelab.show.controls import Choice, Frames, Slider, Tick, for_both
from bladelab.show.engine import Answer, Panel
from bladelab.show.preference import UNITS, Units
from bladelab.show.saving import save_numbered
from bladelab.show.style import LINES, label
from bladelab.show.view import View
from tests.show.engine_checks import check_panel, units


class Bars(View):
    """Two moving lines and two moving texts over a still axes."""

    width_px, height_px = 400, 200

    def draw(self) -> None:
        self.axes = self.figure.add_axes((0.15, 0.2, 0.8, 0.6))
        self.axes.set(xlim=(0, 1), ylim=(0, 10), ylabel=f"radius, {UNITS.unit('radius')}")
        self.line = {n: self.moving(self.axes.plot([0, 1], [0, 0], **LINES[n])[0]) for n in LINES}
        self.tag = {n: self.moving(label(self.axes, 0.5, 0, n)) for n in LINES}

    def update(self, *, heights: dict[str, float]) -> None:  # type: ignore[override]
        for name, height in heights.items():
            self.line[name].set_ydata([height, height])
            self.tag[name].set_position((0.5, height))
        self.axes.set_ylim(0, 10 if max(heights.values()) < 10 else 50)
        self.title(f"{max(heights.values()):.1f} at most")


def answer(state: SimpleNamespace) -> Answer:
    heights = {n: UNITS.shown("radius", getattr(state, n).radius_mm) * state.factor for n in LINES}
    if heights["trial"] > 40:
        raise ValueError(f"the trial is {heights['trial']:.0f}; it must be at most 40")
    return Answer(f"Up to {max(heights.values()):.2f} <high> in frame {state.frame}.", {"heights": heights})


def make() -> Panel:
    radius = Slider("radius_mm", "radius", "rocker", low=600, high=12200, default=1524, quantity="radius")
    return Panel(
        "bars",
        Bars(),
        [
            Tick("grid", "grid", "view"),
            Frames("frame", "stride", "view", count=3, interval_ms=40),
            Choice("factor", "times", "skater", options=(("one", 1.0), ("two", 2.0)), default=1.0),
            *for_both(radius, trial={"radius_mm": 1828.8}),
        ],
        answer,
        buttons=[("start over", lambda panel: panel.copy_column("present", "trial"))],
    )


def test_it_keeps_the_rules_of_the_house():
    check_panel(make)


def test_a_slider_moves_the_picture_and_the_sentence_once():
    panel = make()
    frames = []
    panel._frame.observe(lambda change: frames.append(change["new"]), names="value")
    panel.dials["trial.radius_mm"].widget.value = 7.0  # as the reader does, in feet
    assert panel.state().trial.radius_mm == pytest.approx(2133.6)
    assert "Up to 7.00" in panel.sentence_text
    assert len(frames) == 1
    with panel.quiet():
        panel.dials["trial.radius_mm"].value = 3048.0
        panel.dials["present.radius_mm"].value = 2743.2
    assert len(frames) == 2
    assert "Up to 10.00" in panel.sentence_text


def test_the_still_part_travels_only_when_it_changed():
    panel = make()
    stills = []
    panel._still.observe(lambda change: stills.append(change["new"]), names="value")
    panel.dials["trial.radius_mm"].value = 2000.0
    assert not stills
    panel.dials["trial.radius_mm"].value = 6000.0  # other axis limits
    assert len(stills) == 1


def test_the_frame_holds_the_moving_artists_and_nothing_for_the_whole_page():
    view = Bars()
    view.update(heights={"present": 3.0, "trial": 4.0})
    frame = view.frame_html('say "this" & that')
    within = re.findall(r'<g clip-path="[^"]+">(.*?)</g>', frame, re.S)
    assert sum(group.count('style="fill: none') for group in within) == 2  # one line each
    assert ">present</text>" in frame and ">trial</text>" in frame
    assert "<style" not in frame and "<metadata" not in frame and "<?xml" not in frame
    assert 'aria-label="4.0 at most. say &quot;this&quot; &amp; that"' in frame
    assert frame.rstrip().endswith("</svg>")


def without_names(svg: str) -> str:
    """The SVG without the names that differ from view to view."""
    return re.sub(r"#?\b[a-z][0-9a-f]{8}\b", "", svg)


class Words(View):
    """A text outside the axes, that moves with their limits, beside one inside."""

    def draw(self):
        self.axes = self.figure.add_axes((0.1, 0.2, 0.8, 0.6))
        self.aside = self.moving(self.axes.text(1, 0, "", clip_on=False))

    def update(self, words, right, **look):
        self.title(words.upper())
        self.axes.set_xlim(0, right)
        self.aside.set_text(words)
        plain = {"color": "black", "ha": "left", "va": "top", "rotation": 0, "fontsize": 9}
        self.aside.set(**(plain | {"alpha": None, "fontweight": "normal"} | look))
        self.aside.set_bbox({"facecolor": look.get("backgroundcolor", "white")})


def test_a_text_kept_from_the_last_frame_reads_as_one_written_afresh():
    states = [("one", 10), ("one", 10), ("two", 10), ("two", 20), ("one", 20), ("", 20), ("one", 10)]
    looks = [{}] * 7
    for look in ({"color": "red"}, {"ha": "right"}, {"va": "bottom"}, {"rotation": 30}, {"fontsize": 14},
                 {"alpha": 0.5}, {"backgroundcolor": "blue"}, {"fontweight": "bold"}):  # fmt: skip
        states.append(("one", 10))
        looks.append(look)
    old, plain = Words(), ""
    for number, ((words, right), look) in enumerate(zip(states, looks, strict=True)):
        old.update(words, right, **look)
        if number == 4:
            old.png()  # drawing elsewhere marks every artist as unchanged
        new = Words()
        new.update(words, right, **look)
        frames = [without_names(view.frame_html()) for view in (old, new)]
        assert frames[0] == frames[1], (words, right, look)
        if look:
            assert frames[1] != plain
        elif words == "one" and right == 10:
            plain = frames[1]


def test_the_still_part_holds_no_moving_artist():
    low, high = Bars(), Bars()
    low.update(heights={"present": 1.0, "trial": 2.0})
    high.update(heights={"present": 8.0, "trial": 9.0})
    assert without_names(low.still_html()) == without_names(high.still_html())
    assert "<path" in low.still_html()
    assert low.png() != high.png()
    assert all(artist.get_visible() for artist in high._moving)


def test_the_still_part_looks_the_same_wherever_the_settings_stand():
    view = Bars()
    first = without_names(view.still_html())
    with mpl.rc_context({"font.size": 30, "axes.facecolor": "red", "svg.fonttype": "path"}):
        assert without_names(Bars().still_html()) == first
        assert mpl.rcParams["font.size"] == 30  # and ours leak nowhere


def test_a_sentence_is_escaped_for_the_page():
    panel = make()
    assert "&lt;high&gt;" in panel._sentence.value
    assert "<high>" in panel.sentence_text


def test_a_fault_is_a_sentence_and_the_last_good_picture_stays():
    panel = make()
    before = panel._frame.value
    panel.dials["trial.radius_mm"].widget.value = 39.0
    panel.dials["factor"].value = 2.0
    assert panel.fault and panel.sentence_text.startswith("The trial is 78; it must be at most 40.")
    assert 'class="bladelab-fault"' in panel._sentence.value
    panel.dials["factor"].value = 1.0
    panel.dials["trial.radius_mm"].widget.value = 6.0
    assert not panel.fault and panel._frame.value == before


def test_dials_refuse_values_out_of_range():
    panel = make()
    with pytest.raises(ValueError, match=r"radius is 20.*at least 600 and at most 12200"):
        panel.dials["trial.radius_mm"].value = 20.0
    assert panel.state().trial.radius_mm == 1828.8


def test_groups_stand_in_the_order_of_the_house():
    assert [dial.control.group for dial in make().dials.values()] == ["rocker"] * 2 + ["skater"] + [
        "view"
    ] * 2
    with pytest.raises(ValueError, match="group of 'x' is 'blade'"):
        Tick("x", "x", "blade")


def test_units_change_everywhere_and_lose_nothing():
    one, two = make(), make()
    one.dials["trial.radius_mm"].value = 2000.0
    with units("metric"):
        for panel in (one, two):
            slider = panel.dials["trial.radius_mm"].widget
            assert slider.description == "radius, m"
            assert slider.value == pytest.approx(panel.state().trial.radius_mm / 1000)
            assert panel.view.axes.get_ylabel() == "radius, m"
            assert panel._units_choice.value == "metric"
        assert one.state().trial.radius_mm == 2000.0
    assert one.state().trial.radius_mm == 2000.0
    assert one.dials["trial.radius_mm"].widget.value == pytest.approx(6.5617, abs=1e-4)
    with pytest.raises(ValueError, match="'furlongs'"):
        UNITS.system = "furlongs"


def test_an_old_panel_catches_up_with_the_units_when_it_is_moved():
    panel = make()
    with units("feet and inches"):
        others = [make() for _ in range(6)]
    with units("metric"):
        assert [other.dials["trial.radius_mm"].widget.description for other in others][-1] == "radius, m"
        panel.dials["trial.radius_mm"].value = 3000.0
        assert panel.dials["trial.radius_mm"].widget.description == "radius, m"
        assert panel.view.axes.get_ylabel() == "radius, m"
        assert panel.dials["present.radius_mm"].widget.value == pytest.approx(1.524)
        assert "Up to 3.00" in panel.sentence_text


def test_rounding_by_the_browser_changes_no_value():
    panel = make()
    dial = panel.dials["trial.radius_mm"]
    dial.value = 2000.0  # 6.56 ft: the slider's steps are 0.25 ft
    dial.widget.value = 6.5
    assert dial.value == 2000.0
    dial.widget.value = 6.75
    assert dial.value == pytest.approx(6.75 * 304.8)
    dial.widget.value = 6.8  # typed into the box beside the slider
    assert dial.value == pytest.approx(6.8 * 304.8)


def test_hollows_are_fractions_in_feet_and_free_in_metric():
    hollow = Slider("hollow_mm", "hollow", "hollow", low=6, high=30, default=12.7, quantity="hollow")

    def tell(state: SimpleNamespace) -> Answer:
        return Answer(f"Hollow of {state.hollow_mm:.2f} mm.", {"heights": {"present": 1.0, "trial": 2.0}})

    panel = Panel("h", Bars(), [hollow], tell)
    dial = panel.dials["hollow_mm"]
    assert ("1/2 in", 12.7) in dial.widget.options
    assert [text for text, _ in dial.widget.options][:3] == ["1/4 in", "5/16 in", "3/8 in"]
    with units("metric"):
        dial.widget.value = 13.0
        assert "13.00 mm" in panel.sentence_text
    assert dial.widget.label == "0.512 in" and dial.value == 13.0  # a free one stays what it is
    dial.value = 9.525
    assert dial.widget.label == "3/8 in"
    assert len({text for text, _ in dial.widget.options}) == len(dial.widget.options)


@pytest.mark.parametrize("form", ["PNG", "SVG", "PDF", "GIF"])
def test_saved_pictures_are_numbered_and_whole(form, tmp_path):
    panel = make()
    paths = [panel.save(form, tmp_path) for _ in range(2)]
    assert [path.name for path in paths] == [f"bars-1.{form.lower()}", f"bars-2.{form.lower()}"]
    assert sorted(tmp_path.iterdir()) == sorted(paths)
    if form == "GIF":
        assert Image.open(paths[0]).n_frames in (1, 3)  # equal frames may be joined
        assert panel.state().frame == 0
    elif form == "PNG":
        assert Image.open(io.BytesIO(paths[0].read_bytes())).size == (1200, 600)
        assert paths[0].read_bytes() == paths[1].read_bytes()
    else:
        assert paths[0].read_bytes()[:5] in (b"<?xml", b"%PDF-")


def test_the_save_button_names_the_file_or_says_why_not(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = make()
    panel.saving.button.click()
    assert panel.saving.work.report == "saved as saved/bars-1.png"
    (tmp_path / "other").mkdir()
    monkeypatch.chdir(tmp_path / "other")
    (tmp_path / "other" / "saved").write_text("a file where the folder should be")
    panel.saving.button.click()
    assert panel.saving.work.report.startswith("not saved: ") and panel.saving.work.fault


def frames_of(path: Path) -> list[bytes]:
    with Image.open(path) as picture:
        frames = []
        for number in range(picture.n_frames):
            picture.seek(number)
            frames.append(picture.convert("RGB").tobytes())
    return frames


class Rising(Panel):
    """A panel whose every frame differs from the one before."""

    def __init__(self, count: int = 8) -> None:
        def rise(state: SimpleNamespace) -> Answer:
            if state.frame == state.no_frame:
                raise ValueError("there is no such frame")
            heights = {name: state.start + state.frame / 2 for name in LINES}
            return Answer(f"Up to {UNITS.say('radius', 300 * heights['trial'])}.", {"heights": heights})

        start = Slider("start", "start", "rocker", low=0, high=5, default=1)
        none = Slider("no_frame", "none at", "rocker", low=-1, high=count, default=-1)
        super().__init__(
            "rising", Bars(), [start, none, Frames("frame", "moment", "view", count=count)], rise
        )
        self.saving.form.value = "GIF"


def test_a_moving_picture_shows_its_progress_and_sliders_stay_free(tmp_path, monkeypatch):
    """What is moved while it is saved changes the page, and neither the file nor what is saved after it."""
    monkeypatch.chdir(tmp_path)
    panel, said = Rising(), []
    wanted = frames_of(panel.save("GIF", tmp_path))
    assert len(set(wanted)) == len(wanted) == 8
    panel.saving.work._line.observe(lambda _: said.append(panel.saving.work.report), names="value")

    async def play():
        panel.saving.button.click()
        assert said == ["frame 1 of 8"] and panel.saving.button.disabled
        seen, start = 0, 1.0
        while not panel.saving.work.task.done():
            on_page = panel.view.line["trial"].get_ydata()[0]
            assert on_page == pytest.approx(start), "the picture on the page is the sliders'"
            if len(said) > seen:
                assert not (tmp_path / "saved").exists() or seen == 8, "no file until the last frame"
                seen = len(said)
                panel.dials["start"].value = start = 5 - seen / 4
            await asyncio.sleep(0)
        return seen

    assert asyncio.run(play()) >= 8
    assert said == [*(f"frame {n} of 8" for n in range(1, 9)), "saved as saved/rising-1.gif"]
    assert frames_of(tmp_path / "saved" / "rising-1.gif") == wanted
    assert panel.saving.work.bar.layout.display == "none"
    fresh = Rising()
    fresh.dials["start"].value = panel.dials["start"].value
    assert panel.view.png() == fresh.view.png()


@pytest.mark.parametrize("how", ["the button", "other units", "a frame without a picture", "a full disk"])
def test_a_moving_picture_that_is_not_finished_leaves_no_file(how, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    panel = Rising()

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    async def play():
        if how == "a frame without a picture":
            panel.dials["no_frame"].value = 3
        if how == "a full disk":
            monkeypatch.setattr("bladelab._files.os.fsync", full)
        panel.saving.button.click()
        if how == "the button":
            panel.saving.work.stop_button.click()
        if how == "other units":
            UNITS.system = "metric"
        await panel.saving.work.task

    with units("feet and inches"):
        asyncio.run(play())
    assert [path for path in tmp_path.rglob("*") if path.is_file()] == []
    assert (
        panel.saving.work.report
        == {
            "the button": "stopped after frame 1 of 8; no file was written",
            "other units": "not saved: the units were changed meanwhile; save once more",
            "a frame without a picture": "not saved: there is no such frame",
            "a full disk": "not saved: No space left on device",
        }[how]
    )
    monkeypatch.undo()
    assert len(frames_of(Rising().save("GIF", tmp_path))) == 8
    assert not panel.saving.button.disabled


def test_a_write_that_fails_leaves_nothing(tmp_path):
    def broken(file):
        file.write(b"half")
        raise RuntimeError("the power is out")

    with pytest.raises(RuntimeError):
        save_numbered("x", "png", broken, tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_no_file_is_overwritten_even_by_a_race(tmp_path):
    def rival(file):
        file.write(b"mine")
        (tmp_path / "x-1.png").write_bytes(b"theirs")  # appears while we write

    assert save_numbered("x", "png", rival, tmp_path).name == "x-2.png"
    assert (tmp_path / "x-1.png").read_bytes() == b"theirs"


def test_panels_are_let_go():
    import gc
    import weakref

    units_of_test = Units()
    view = Bars()
    watcher = SimpleNamespace()

    class Listener:
        def hear(self) -> None:
            watcher.heard = True

    listener = Listener()
    units_of_test.listen(listener.hear)
    units_of_test.system = "metric"
    assert watcher.heard
    ghost = weakref.ref(listener)
    del listener, view
    gc.collect()
    assert ghost() is None
    units_of_test.system = "feet and inches"  # nobody left to tell, no error


def test_the_player_and_its_slider_are_one():
    panel = make()
    play, slider = panel.dials["frame"].box.children
    assert (play.min, play.max, play.interval, slider.max) == (0, 2, 40, 2)
    slider.value = 2
    assert panel.sentence_text.endswith("in frame 2.")
