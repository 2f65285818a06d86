"""A panel saved as one file to take home: in the file, and in a browser without a network."""

from __future__ import annotations

import base64
import json
import re
import zlib
from itertools import product
from xml.etree import ElementTree

import pytest

from bladelab import InputError
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.packed_pictures import Drawings, Stills
from bladelab.show.panel.saving import PAGE
from bladelab.show.panel.take_home import MOST_SETTINGS, offered_dials, usual_dials
from bladelab.show.panels.advice.complaint import complaint_panel
from bladelab.show.panels.blade.main import main_panel
from bladelab.show.panels.ice.bite import bite_panel
from bladelab.units import SYSTEMS
from tests.browser.for_all import violations
from tests.browser.page import wait_for
from tests.show.bars import make
from tests.show.engine_checks import hand, units

DIALS, STEPS = ("trial.hollow_mm", "lean_deg"), (3, 2)

# In the page, which has no idle moment from now on: what of its pictures is touched.
NOTE = """() => {
  window.requestIdleCallback = () => {};
  window.touched = [];
  new MutationObserver(all => window.touched.push(...all.map(one => one.attributeName ?? one.type))).observe(
    document.querySelector('.bladelab-pile'),
    { subtree: true, childList: true, attributes: true, characterData: true });
}"""


def opened(packed: str):
    """What a pack holds; unpacked by zlib, as RFC 1951 says."""
    return json.loads(zlib.decompress(base64.b64decode(packed), wbits=-15))


def held(page: str) -> tuple[dict, list[dict]]:
    """What a page holds: its data, and all its settings with their pictures put together again."""
    parts = opened(re.search(r'class="stills">(.*?)</script>', page)[1])
    stills = [
        opening + "".join(parts["pieces"][number] for number in numbers) + "</svg>"
        for opening, numbers in parts["stills"]
    ]
    data = json.loads(re.search(r'id="page">(.*?)</script>', page, re.S)[1])
    settings = []
    for text in re.findall(r'class="pack">(.*?)</script>', page, re.S):
        pack = opened(text)
        for setting in pack["settings"]:
            if not setting["fault"]:
                setting["drawn"] = stills[setting["still"]]
                drawing = data["drawings"][setting["drawing"]]
                tree = ElementTree.fromstring(drawing["markup"])
                parts = list(tree.iter())
                for (number, name), values in zip(
                    drawing["slots"], pack["slots"][str(setting["drawing"])], strict=True
                ):
                    if name:
                        parts[number].set(name, values[setting["row"]])
                    else:
                        parts[number].text = values[setting["row"]]
                setting["picture"] = plain(ElementTree.tostring(tree, encoding="unicode"))
            settings.append(setting)
    return data, settings


def hidden(page) -> list:
    """The pictures that lie ready under the one on view."""
    drawn = page.evaluate(
        """() => [...document.querySelectorAll('.bladelab-sheet[aria-hidden=true] svg[role=img]')].map(
            one => one.outerHTML)"""
    )
    return [plain(picture) for picture in drawn]


def plain(svg: str) -> list:
    """A picture without what is another in each view (the names of its clips) and spaces without meaning."""
    named = re.sub(r"\bp[0-9a-f]{8,}\b", "clip", svg.replace("&nbsp;", "\u00a0"))
    return [
        (
            part.tag,
            {k: re.sub(r"\s*([A-Za-z])\s*", r"\1", v) for k, v in part.attrib.items()},
            (part.text or "").strip(),
        )
        for part in ElementTree.fromstring(named).iter()
    ]


def saved(panel: Panel, tmp_path, dials=DIALS, steps=STEPS) -> str:
    return panel.save_page(tmp_path / "page.html", dials, steps).read_text(encoding="utf-8")


@pytest.mark.parametrize("system", SYSTEMS)
def test_each_setting_is_what_the_panel_shows(tmp_path, system):
    with units(system):
        panel = bite_panel()
        data, settings = held(saved(panel, tmp_path))
        assert not panel.view.narrow and data["size"]["narrow"]
        panel.lay_out(narrow=True)
        begins = {name: panel.dials[name].value for name in DIALS}
        lasts = [data["dials"][name]["last"] for name in DIALS]
        assert lasts == [2, 1] and len(settings) == 6
        for places, setting in zip(product(*(range(last + 1) for last in lasts)), settings, strict=True):
            for name, place in zip(DIALS, places, strict=True):
                if place == data["dials"][name]["at"]:
                    panel.dials[name].value = begins[name]
                    continue
                text = data["dials"][name]["texts"][place]
                positions = panel.dials[name].positions
                at = next(k for k in range(positions.last + 1) if positions.say(positions.value(k)) == text)
                hand(panel, name, at)
            assert setting["words"] == panel._words
            assert setting["picture"] == plain(panel.view.frame_html(panel.result.sentence))
            assert plain(setting["drawn"]) == plain(panel.view.still_html())


def test_a_page_begins_with_a_value_between_two_positions_as_it_is():
    with units("metric"):
        (given,) = offered_dials(bite_panel(), ("radius_mm",), (5,))
    assert given.texts[given.at] == "3.05 m" and given.values[given.at] == 3048.0


def test_the_panel_stays_as_it_is_and_its_setting_is_the_first_shown(tmp_path):
    panel = bite_panel()
    hand(panel, "trial.hollow_mm", 6)
    before = panel.state(), panel.view.frame_html(), panel.sentence_text
    data, settings = held(saved(panel, tmp_path))
    assert (panel.state(), panel.view.frame_html(), panel.sentence_text) == before
    at = [data["dials"][name]["at"] for name in DIALS]
    assert data["dials"]["trial.hollow_mm"]["text"] == panel.dials["trial.hollow_mm"].page()["text"]
    assert settings[at[0] * 2 + at[1]]["words"] == panel._words


def test_a_setting_that_cannot_be_says_why(tmp_path):
    panel = make()
    _, settings = held(saved(panel, tmp_path, ("trial.radius_mm", "factor"), (9, 3)))
    faults = [setting for setting in settings if setting["fault"]]
    assert faults and len(faults) < len(settings)
    assert all(re.fullmatch(r"The trial is \d+; it must be at most 40\.", one["words"]) for one in faults)
    assert not any("picture" in one for one in faults)


def test_a_page_without_any_picture_is_not_written(tmp_path):
    def never(_):
        raise InputError("nothing works")

    with pytest.raises(InputError, match=r"^no setting of this page has a picture: Nothing works$"):
        make(never).save_page(tmp_path / "page.html", ("trial.radius_mm",), (3,))
    assert not list(tmp_path.iterdir())


def test_images_in_place_of_drawings_are_kept_whole():
    drawings, stills = Drawings(), Stills()
    images = [f'<img src="data:image/png;base64,{letters}" alt="a blade">' for letters in ("AA", "BB", "AA")]
    assert [drawings.add(image) for image in images] == [(0, []), (1, []), (0, [])]
    assert drawings.page() == [{"markup": image, "slots": []} for image in images[:2]]
    assert [stills.add(image) for image in images] == [0, 1, 0]
    assert stills.page() == {"pieces": images[:2], "stills": [("<div>", [0]), ("<div>", [1])]}


def test_a_page_names_no_address_and_allows_its_own_script_alone(tmp_path):
    page = saved(bite_panel(), tmp_path)
    outside = set(re.findall(r"https?://[^\s\"'<>)\\]+", page)) - {
        "http://www.w3.org/2000/svg",  # names of a language, which nobody fetches
        "http://www.w3.org/1999/xlink",
    }
    assert not outside
    policy = re.search(r'Content-Security-Policy" content="([^"]+)"', page)[1]
    assert policy.startswith("default-src 'none';") and "script-src 'sha256-" in policy
    assert "connect-src" not in policy and "unsafe-eval" not in policy
    assert "Never grind below the maker" in page
    assert "Made on " in page and "<li>present blade: hollow 5/8\u00a0in" in page and "<li>skater: " in page


@pytest.mark.parametrize(
    ("dials", "steps", "says"),
    [
        ((), (), "0 dials and 0 numbers of steps"),
        (("lean_deg",), (3, 4), "1 dials and 2 numbers"),
        (("no such",), (3,), "'no such'; it must be one of radius_mm"),
        (("lean_deg",), (1,), "lean_deg has 1 steps; it must have at least 2"),
        (("radius_mm", "lean_deg"), (100, 40), f"at most {MOST_SETTINGS}: take fewer steps"),
    ],
)
def test_what_no_page_can_offer_is_refused(tmp_path, dials, steps, says):
    with pytest.raises(ValueError, match=re.escape(says)):
        bite_panel().save_page(tmp_path / "page.html", dials, steps)
    assert not list(tmp_path.iterdir())


def test_the_dials_offered_are_those_one_plays_with():
    assert usual_dials(main_panel()) == ("trial.radius_mm", "trial.hollow_mm", "trial.pivot_mm")
    assert usual_dials(bite_panel()) == ("radius_mm", "trial.hollow_mm", "lean_deg")


def test_a_panel_in_which_one_slider_sets_others_has_no_page(tmp_path):
    panel = complaint_panel()
    assert PAGE not in panel.saving.forms and PAGE in bite_panel().saving.forms
    with pytest.raises(ValueError, match="one slider sets others"):
        panel.save_page(tmp_path / "page.html", ("skate",), (2,))


def test_a_page_is_refused_when_the_units_change_under_it(tmp_path):
    panel = bite_panel()
    steps = panel.saving.page_steps(DIALS, STEPS, tmp_path / "page.html")
    next(steps)
    with units("metric"), pytest.raises(ValueError, match="units were changed"):
        next(steps)
    assert not list(tmp_path.iterdir())


def test_the_button_saves_a_page_and_can_be_stopped(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("bladelab.show.panel.saving.USUAL_STEPS", (3, 2, 2))
    panel = make()
    said = []
    panel.saving.work._changed = lambda: said.append(panel.saving.work.report)
    panel._from_page(panel, {"do": "save", "form": PAGE}, [])
    assert said[0].startswith("setting 1 of ") and panel.saving.work.report == "saved as saved/bars-1.html"
    assert (tmp_path / "saved" / "bars-1.html").exists()


def test_a_page_moves_without_a_network(blank_page, tmp_path):
    panel = bite_panel()
    _, settings = held(saved(panel, tmp_path, DIALS, (4, 3)))
    page = blank_page(viewport={"width": 390, "height": 844}, offline=True)
    asked, errors = [], []
    page.on("request", lambda request: asked.append(request.url))
    page.on("pageerror", lambda error: errors.append(str(error)))
    page.on("console", lambda message: errors.append(message.text))
    page.goto((tmp_path / "page.html").as_uri())
    page.wait_for_selector(".bladelab-picture svg text")
    lean, hollow = (page.locator(f'[data-dial="{name}"]') for name in reversed(DIALS))
    page.evaluate(
        """() => {
          const still = document.querySelector('.bladelab-picture svg');
          Object.assign(window, { gone: 0, had: still.children.length });
          new MutationObserver(all => all.forEach(one => { window.gone += one.removedNodes.length; }))
            .observe(still, { childList: true });
        }"""
    )
    top = "document.querySelector('input[type=range]').getBoundingClientRect().top + scrollY"
    before = page.evaluate(top)
    moves = ((lean, "End", 2), (hollow, "Home", 2), (hollow, "ArrowRight", 5), (hollow, "ArrowRight", 8))
    for slider, key, place in moves:
        if place == 8:  # a step away: it was drawn while nothing moved
            wait_for(lambda: all(settings[number]["picture"] in hidden(page) for number in (2, 8)))
            page.evaluate(NOTE)
        slider.press(key)
        page.wait_for_function(
            """said => document.querySelector('.bladelab-sentence')
                .innerText.trim().split(/\\s+/).join(' ') === said""",
            arg=" ".join(settings[place]["words"].split()),
        )
        still, frame = page.evaluate(
            """() => [...document.querySelectorAll('.bladelab-sheet:not([aria-hidden]) > div')].map(
                part => part.innerHTML)"""
        )
        assert plain(frame) == settings[place]["picture"]
        assert plain(still) == plain(settings[place]["drawn"])
        assert page.evaluate(top) == before, "no slider slides away under the finger"
    assert set(page.evaluate("window.touched")) == {"aria-hidden"}
    assert len({setting["still"] for setting in settings}) > 1
    assert 0 < page.evaluate("window.gone / window.had") < 1, "what two still parts share stays where it is"
    assert lean.get_attribute("aria-valuetext") == "60.0°"
    assert asked == [(tmp_path / "page.html").as_uri()] and not errors
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    shadow = "getComputedStyle(document.querySelector('.bladelab-picture'), '::after').opacity"
    assert page.evaluate(shadow) == "1", "there is more of the picture below"
    page.evaluate("document.querySelector('.bladelab-picture').scrollTo(0, 5000)")
    page.wait_for_function(f"() => {shadow} === '0'", timeout=5000)
    assert lean.evaluate("one => one.closest('.bladelab-panel').querySelector('input').offsetTop") <= 800
    assert violations(page) == []
    page.set_viewport_size({"width": 1366, "height": 768})
    least = page.evaluate(
        """() => Math.min(...[...document.querySelectorAll('.bladelab-picture text')].map(text => {
            const { a, b } = text.getScreenCTM();
            return parseFloat(getComputedStyle(text).fontSize) * Math.hypot(a, b);
        }))"""
    )
    assert least >= 11, "letters that can be read in a wide window too"
