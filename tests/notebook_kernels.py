"""Notebooks that nbval runs again get kernels forked from a process that has loaded what bladelab needs, and
nothing of bladelab itself (tests/browser/ready_kernels.py). `FROM_NOTHING` begins as a reader's does.

This is a plugin, since tests/conftest.py is not read where only notebooks are asked for.
"""

from contextlib import ExitStack
from unittest.mock import patch

import pytest

FROM_NOTHING = "00_start_here.ipynb"
_running = ExitStack()
_spec: dict | None = None


@pytest.hookimpl(wrapper=True)
def pytest_runtest_setup(item):
    """The first cell of a notebook begins its kernel."""
    if item.path.suffix != ".ipynb" or item.path.name == FROM_NOTHING:
        return (yield)
    from ipykernel import kernelspec

    with patch.object(kernelspec, "get_kernel_dict", _forked(kernelspec.get_kernel_dict)):
        return (yield)


def _forked(usual):
    """What describes a kernel, in place of `usual`; the process that forks runs from the first call."""
    global _spec
    if _spec is None:
        import json

        from tests.browser.server import forked_kernels

        place = _running.enter_context(forked_kernels("bladelab"))
        file = place and place / "kernels" / "python3" / "kernel.json"
        _spec = json.loads(file.read_text()) if file else usual()
    return lambda: _spec


def pytest_unconfigure():
    _running.close()
