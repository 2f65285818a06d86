"""Blades and conditions that the tests of advice share; invented, round numbers."""

from bladelab import Blade, Hollow, Rocker, Zone, feet, inches
from bladelab.advice.quantities import Conditions
from bladelab.physics.moments import MOMENTS

SINGLE = Blade(Rocker.single(feet(10), 280), Hollow(inches("5/8"), 3.0))
THREE = Blade(
    Rocker((Zone(feet(9), 90), Zone(feet(12), 100), Zone(feet(8), 90)), blend_mm=20, pivot_mm=5),
    Hollow(inches("1/2"), 2.9),
)
ALL = Conditions()
NAMED = {moment.name: moment for moment in MOMENTS}
GLIDE = Conditions(moments=(NAMED["one-foot glide"],))
