"""Blades, conditions and trials that the tests of advice share; invented, round numbers."""

import datetime

from bladelab import Blade, Hollow, Rocker, Trial, Zone, feet, inches
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

DAY = datetime.date(2026, 10, 5)
FIRST = Trial(DAY, "K07", SINGLE, {"glide": 4, "balance": -1}, "the old one", "first trial", 'a "note", é 雪')
SECOND = Trial(DAY + datetime.timedelta(7), "K07", THREE, {"hold": 5}, changed="everything")
