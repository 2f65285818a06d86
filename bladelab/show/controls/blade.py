"""The controls that panels share: a blade's shape, the skater, the moment, the ice; what they mean."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace

from bladelab._errors import InputError
from bladelab.book.shape_now import ShapeNow
from bladelab.book.tested_ice import TestedIce
from bladelab.physics.contact import Contact
from bladelab.physics.ice import DROP_TEST_ICE, GRAVITY_M_S2, PRESSED_ICE, Ice
from bladelab.physics.moments import MOMENTS, Moment
from bladelab.physics.stance import Stance
from bladelab.shape.blade import Blade
from bladelab.shape.hollow import Hollow
from bladelab.shape.rocker import Rocker, Zone
from bladelab.show.controls.control import Choice, Control, Slider, Tick, choice_of, for_both
from bladelab.show.wording.units_shown import UNITS

#: Of a glide, where a panel has no dial for it.
SPEED_M_S = 6.0
#: How long a push presses.
PUSH_S = MOMENTS[2].pressed_s
SHAPES = ("single", "stepped", "blended")
MOST_ZONES = 4

# An invented rocker for the stepped and the blended shape, heel to toe: flattest amidships, where a skater
# glides, and rounder toward the toe, where quick steps start. Round numbers, chosen by this reasoning only.
_ZONE_RADII_MM = (2743.2, 3352.8, 2743.2, 1828.8)
_ZONE_LENGTHS_MM = (80.0, 100.0, 60.0)


def _has_zones(side: SimpleNamespace) -> bool:
    return side.shape in ("stepped", "blended")


def _has_zone(number: int) -> Callable[[SimpleNamespace], bool]:
    return lambda side: _has_zones(side) and side.zones >= number


def _is(shape: str) -> Callable[[SimpleNamespace], bool]:
    return lambda side: side.shape == shape


def on_sliders(side: SimpleNamespace) -> bool:
    """Whether the sliders say what shape it is, and not a skater's card."""
    return not isinstance(getattr(side, "shape", None), ShapeNow)


def length_control() -> Control:
    """The length of the runner."""
    return Slider("length_mm", "blade length", "rocker", 220, 320, 280, "length")


def rocker_controls() -> list[Control]:
    """The controls of one blade's rocker; `rocker_of` reads them."""
    controls: list[Control] = [
        replace(length_control(), when=on_sliders),
        choice_of("shape", "shape", "rocker", SHAPES),
        Slider("radius_mm", "radius", "rocker", 1200, 12200, 3048, "radius", when=_is("single")),
        Slider("pivot_mm", "level point", "rocker", -60, 60, 0, "length", when=on_sliders),
        Slider("zones", "number of zones", "rocker", 2, MOST_ZONES, 3, when=_has_zones),
        Slider("blend_mm", "blend", "rocker", 1, 60, 20, "length", when=_is("blended")),
    ]
    for i, radius in enumerate(_ZONE_RADII_MM, 1):
        key, name = f"zone_radius_{i}_mm", "zone 1 (heel) radius" if i == 1 else f"zone {i} radius"
        controls.append(Slider(key, name, "rocker", 1200, 12200, radius, "radius", when=_has_zone(i)))
        if i < MOST_ZONES:
            key, name, length = f"zone_length_{i}_mm", f"zone {i} length", _ZONE_LENGTHS_MM[i - 1]
            controls.append(Slider(key, name, "rocker", 20, 200, length, "length", when=_has_zone(i + 1)))
    return controls


def rocker_of(side: SimpleNamespace) -> Rocker:
    """The rocker that the dials of `rocker_controls` describe.

    A panel about something else may have the radius alone: one radius along 280 mm, level at the middle. A
    shape from a card (`ShapeNow`) is that edge, however many zones it has.

    Raises
    ------
    ValueError
        If the zones leave no length for the last one, or a zone is shorter than the blend that enters it.
    """
    shape = getattr(side, "shape", "single")
    if isinstance(shape, ShapeNow):
        return shape.rocker
    if shape == "single":
        length, pivot = getattr(side, "length_mm", 280.0), getattr(side, "pivot_mm", 0.0)
        return Rocker.single(side.radius_mm, length, pivot)
    count = int(side.zones)
    lengths = [getattr(side, f"zone_length_{i}_mm") for i in range(1, count)]
    blend = side.blend_mm if shape == "blended" else 0.0
    rest = side.length_mm - sum(lengths)
    need = max(blend, 5.0)
    if rest < need:
        raise InputError(
            f"the zones before the last add up to {sum(lengths):.0f} mm; on a blade of "
            f"{side.length_mm:.0f} mm they must add up to at most {side.length_mm - need:.0f} mm"
        )
    radii = [getattr(side, f"zone_radius_{i}_mm") for i in range(1, count + 1)]
    zones = tuple(Zone(radius, length) for radius, length in zip(radii, [*lengths, rest], strict=True))
    return Rocker(zones, blend_mm=blend, pivot_mm=side.pivot_mm)


def hollow_controls() -> list[Control]:
    """The controls of one blade's groove and its edges."""
    return [
        Slider("hollow_mm", "hollow", "hollow", 6.35, 38.1, 15.875, "hollow"),
        Slider("width_mm", "runner width", "hollow", 2.5, 4.0, 2.9, "fine length"),
        # How round they are. No published edge radius is known to us: the range is ours.
        Slider("edge_radius_mm", "edges", "hollow", 0, 0.1, 0, "edge radius"),
    ]


def blade_controls(**trial: object) -> list[Control]:
    """The controls of both blades, rocker and groove; `trial` are defaults of the trial blade that differ."""
    return for_both(*rocker_controls(), *hollow_controls(), trial=trial)


def steel_controls(group: str) -> list[Control]:
    """How high the steel of the runner is, and how low its maker lets it go."""
    return [
        Slider("height_mm", "steel height now", group, 5, 30, 14, "fine length"),
        Slider("least_mm", "maker's minimum", group, 2, 20, 9, "fine length"),
    ]


def mass_control() -> Control:
    """The skater's mass."""
    return Slider("mass_kg", "skater", "skater", 25, 130, 75, "mass")


def skater_controls(moment: Moment = MOMENTS[1]) -> list[Control]:
    """The skater and the moment."""
    return [
        mass_control(),
        Choice("moment", "moment", "skater", tuple((m.name, m) for m in MOMENTS), moment),
    ]


def radius_control(default: float = 3048.0, label: str = "radius of the rocker") -> Control:
    """The radius of a single-radius rocker, for panels about something else."""
    return Slider("radius_mm", label, "rocker", 1500, 9200, default, "radius")


def plain_rocker(state: SimpleNamespace) -> Rocker:
    """The rocker of `radius_control`, on a runner of the usual length."""
    return Rocker.single(state.radius_mm, 280.0)


def load_control(label: str, default: float, high: float = 200) -> Control:
    """The load on the blade as a share of the skater's weight."""
    return Slider("load_percent", label, "skater", 20, high, default, "percent")


def position_control(default: float, label: str = "weight ahead of the middle", reach: float = 80) -> Control:
    """Where the load sits along the runner."""
    return Slider("position_mm", label, "skater", -reach, reach, default, "length")


def lean_control(default: float) -> Control:
    """The lean of the blade."""
    return Slider("lean_deg", "lean of the blade", "skater", 0, 60, default, "angle", step=1.0)


def speed_control() -> Control:
    """The speed of a glide."""
    return Slider("speed_m_s", "speed", "skater", 1, 12, 6, "speed")


def skater_stance(state: SimpleNamespace, pressed_s: float = MOMENTS[0].pressed_s) -> Stance:
    """The stance that the skater's dials describe; by default all the weight, at the middle, upright.

    On pressed ice it glides at the speed of the dial, without one at `SPEED_M_S`, or presses for `pressed_s`.
    """
    share = getattr(state, "load_percent", 100.0) / 100
    place, lean = getattr(state, "position_mm", 0.0), getattr(state, "lean_deg", 0.0)
    return paced(Stance(share * state.mass_kg * GRAVITY_M_S2, place, lean), state, pressed_s)


def paced(stance: Stance, state: SimpleNamespace, pressed_s: float) -> Stance:
    """The stance with its speed and the time it presses, if the ice depends on them: else a slider of the
    speed would have every contact solved again."""
    if not _on_pressed_ice(state):
        return stance
    return replace(stance, speed_m_s=getattr(state, "speed_m_s", SPEED_M_S), standing_s=pressed_s)


def moment_stance(state: SimpleNamespace) -> Stance:
    """The stance of the chosen moment."""
    return paced(state.moment.stance(state.mass_kg), state, state.moment.pressed_s)


def gliding_control() -> Control:
    """Whether the blade runs along its groove or presses at rest."""
    return Tick("gliding", "gliding (not standing still)", "skater")


def ice_control() -> Control:
    """The temperature of the ice."""
    return Slider("temperature_C", "ice", "ice", -12, -1, -5, "temperature")


def ice_controls() -> list[Control]:
    """The temperature of the ice, and how hard it is under a blade."""
    options = (("as in a drop test", DROP_TEST_ICE), ("pressed: softer with time", PRESSED_ICE))
    return [ice_control(), Choice("hardness", "ice under the blade", "ice", options, DROP_TEST_ICE)]


def _on_pressed_ice(state: SimpleNamespace) -> bool:
    return getattr(state, "hardness", DROP_TEST_ICE) == PRESSED_ICE


def ice_of(state: SimpleNamespace) -> Ice:
    """The ice that the dials describe."""
    kind = getattr(state, "hardness", DROP_TEST_ICE)
    if isinstance(kind, TestedIce):
        return kind.at(state.temperature_C)
    return Ice.of_kind(kind, state.temperature_C)


def ice_said(state: SimpleNamespace) -> str:
    """The ice in a few words, as a picture names it: "ice -5 °C, as in a drop test"."""
    kind = "pressed" if _on_pressed_ice(state) else "as in a drop test"
    if isinstance(tested := getattr(state, "hardness", None), TestedIce):
        kind = f"as hard as tested at rink {tested.rink}"
    return f"ice {UNITS.say('temperature', state.temperature_C)}, {kind}"


def softness_said(contact: Contact, where: str = "", dropped_MPa: float | None = None) -> str:
    """How soft pressed ice got under one contact, a sentence with a space before it; else nothing.

    Parameters
    ----------
    where : str
        Whose contact it is, such as " on the present blade".
    dropped_MPa : float, optional
        What a dropped ball found, if one was dropped.
    """
    if not contact.ice.is_pressed:
        return ""
    stance, ice = contact.stance, contact.ice
    if contact.gliding and stance.speed_m_s is not None:
        after = f"{contact.length_mm / stance.speed_m_s:.0f} ms"  # mm over m/s
    else:
        after = f"{stance.standing_s:g} s"
    ball = f"finds {ice.drop_hardness_MPa:.1f}" if dropped_MPa is None else f"found {dropped_MPa:.1f}"
    return (
        f" Pressed for {after}{where}, the ice gives way under {contact.hardness_MPa:.1f} N a mm², where a "
        f"dropped ball {ball}."
    )


def hollow_of(side: SimpleNamespace) -> Hollow:
    """The groove that the dials of `hollow_controls` describe; sharp, where no dial says otherwise."""
    return Hollow(side.hollow_mm, side.width_mm, getattr(side, "edge_radius_mm", 0.0))


def blade_of(side: SimpleNamespace) -> Blade:
    """The blade that one column of dials describes."""
    return Blade(rocker_of(side), hollow_of(side))


def both_blades(state: SimpleNamespace) -> dict[str, Blade]:
    """The blades of the columns *present* and *trial*; one that can't be is named in the error."""
    blades = {}
    for name in ("present", "trial"):
        try:
            blades[name] = blade_of(getattr(state, name))
        except InputError as problem:
            raise InputError(f"{name} blade: {problem}") from None
    return blades
