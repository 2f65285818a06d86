"""The panels of balance, push, stride and glide keep the rules of the house, and say what the model says."""

from __future__ import annotations

import pytest

from bladelab import Blade, Hollow, Ice, Rocker, Stance, glide_out, read_stride, solve_contact, solve_friction
from bladelab.show.panels_balance import balance_panel
from bladelab.show.panels_glide import glide_panel
from bladelab.show.panels_push import push_panel
from bladelab.show.panels_stride import stride_panel
from tests.show.engine_checks import check_bundle, check_extremes, check_random_states, units

PANELS = [balance_panel, push_panel, stride_panel, glide_panel]
G = 9.81


@pytest.mark.parametrize("make_panel", PANELS)
def test_every_dial_goes_to_its_ends(make_panel):
    check_extremes(make_panel)


@pytest.mark.parametrize("make_panel", PANELS)
def test_moved_about_it_shows_what_a_fresh_panel_shows(make_panel):
    check_random_states(make_panel)


@pytest.mark.parametrize("make_panel", PANELS)
def test_readers_without_a_kernel_see_it(make_panel):
    check_bundle(make_panel)
