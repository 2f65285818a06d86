"""Settings shared by all tests."""

import asyncio
import gc
import os
from pathlib import Path

# Two test workers on two cores: more threads inside each would only make them wait for each other. Set before
# numpy loads, and inherited by the kernels of the notebooks.
for _name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(_name, "1")

import ipywidgets  # noqa: E402
import pytest  # noqa: E402
from _pytest.doctest import DoctestModule  # noqa: E402
from fontTools import subset  # noqa: E402
from hypothesis import settings  # noqa: E402

from tests.browser.shared import (  # noqa: E402, F401
    blank_page,
    browser,
    kernels,
    lab,
    project_copy,
    voila,
    windows,
)

# No time limit for a single example, since a busy machine would fail it by chance. Under CI the examples are
# the same on every run; elsewhere they are new each time.
settings.register_profile("here", deadline=None, max_examples=50)
settings.register_profile("ci", deadline=None, max_examples=50, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


# A PDF gets the letters it shows. matplotlib has them picked from the whole typeface, and more than half of
# the time that takes goes into its tables of ligatures and kerning, for which no reader of a PDF asks: the
# papers of tests do without.
_load_font = subset.load_font


def _without_ligatures(*what, **how):
    font = _load_font(*what, **how)
    for table in {"GDEF", "GPOS", "GSUB", "kern"} & {*font.keys()}:
        del font[table]
    return font


subset.load_font = _without_ligatures


# What opens a browser, by its folder here and the name of its mark: a quick run leaves it out.
_IN_BROWSER = {"browser": "browser", "journeys": "journey"}
# What of it is about the plain pages; the rest is about JupyterLab, most of it.
_ON_PAGES = (
    "tests/browser/test_pages.py",
    "tests/browser/test_photograph.py::test_a_reader",
    "tests/journeys/test_one_skater.py::test_a_team",
    "tests/journeys/test_rink.py",
    "tests/journeys/test_telephone.py",
    "tests/journeys/test_walks.py",
)


@pytest.hookimpl(wrapper=True)
def pytest_collect_file():
    """No test has an example in a docstring: to look for one would load every script and helper here."""
    return [found for found in (yield) if not isinstance(found, DoctestModule)]


def pytest_collection_modifyitems(items):
    """Mark what opens a browser, and notebooks as slow; begin with what takes longest, so that all workers
    end at about the same time."""
    here = Path(__file__).parent
    marks = {str(here / folder) + os.sep: mark for folder, mark in _IN_BROWSER.items()}
    items.sort(key=lambda item: not str(item.path).startswith((*marks,)))
    for item in items:
        for folder, mark in marks.items():
            if str(item.path).startswith(folder):
                item.add_marker(mark)
        if "browser" in getattr(item, "fixturenames", ()):
            item.add_marker("browser")
        if item.path.suffix == ".ipynb":
            item.add_marker("slow")


def pytest_collection_finish():
    """What is loaded by now stays: the garbage collector, which would walk through it again and again, leaves
    it alone, and looks for garbage less often."""
    gc.freeze()
    gc.set_threshold(50_000, 20, 20)


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config, log):
    """What is about JupyterLab goes to one worker, and what is about the plain pages to another, so that each
    starts one server and loads its scripts once: while a page is waited for, other workers' tests compute."""
    from xdist.scheduler import LoadFileScheduling

    class Scheduling(LoadFileScheduling):
        def _split_scope(self, nodeid):
            if nodeid.startswith(_ON_PAGES):
                return "pages"
            in_browser = nodeid.startswith(tuple(f"tests/{folder}/" for folder in _IN_BROWSER))
            return "lab" if in_browser else super()._split_scope(nodeid)

    return Scheduling(config, log) if config.getoption("dist") == "loadfile" else None


@pytest.fixture(autouse=True)
def no_loop_of_the_browsers(request):
    """playwright leaves its event loop running in the thread as long as a browser is open for the tests of
    this worker: what needs no browser runs without a loop, as it does elsewhere."""
    if "browser" in request.fixturenames:
        yield
        return
    try:
        loop = asyncio.get_running_loop()
    except RuntimeError:
        loop = None
    asyncio._set_running_loop(None)
    yield
    asyncio._set_running_loop(loop)


@pytest.fixture(autouse=True)
def closed_panels():
    """The panels of a test end with it: ipywidgets keeps them, and a change of the units draws the last."""
    yield
    ipywidgets.Widget.close_all()
