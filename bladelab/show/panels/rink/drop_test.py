"""How hard is this ice? Craters of a dropped ball, and what that hardness does to bite and friction."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from bladelab._data import data_file
from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.book.rink_happenings import IceTested
from bladelab.physics.ice import GRAVITY_M_S2
from bladelab.rink.reading import numbers_of_text, read_craters
from bladelab.show.controls import blade as controls
from bladelab.show.controls.control import Choice, Slider
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.declare import panel
from bladelab.show.panel.engine import Panel
from bladelab.show.panel.panel_box import PanelBox
from bladelab.show.panels.rink.drop_test_answer import FREE, WEIGHTED, drop_test_answer
from bladelab.show.panels.rink.drop_test_view import DropTestView
from bladelab.show.panels.rink.keep import ice_button
from bladelab.show.panels.rink.rink_card import RinkCardBox
from bladelab.show.panels.rink.written import WrittenDown, offer_more, text_field
from bladelab.show.wording.words import counted

_INVENTED = read_craters(data_file("demo/craters.csv"))
_PRESS_INVENTED = read_craters(data_file("demo/press_craters.csv"))


class DropTestPanel(Panel):
    """The panel, and the code of the rink whose ice it is.

    Attributes
    ----------
    rink : str
    invented : tuple
        Craters that nobody measured: they aren't kept on a card.
    """

    rink = ""
    invented: tuple[tuple[float, ...], ...] = (_INVENTED, _PRESS_INVENTED)

    def are_invented(self, craters: tuple[float, ...]) -> bool:
        """Whether nobody measured these craters."""
        return any(craters is one for one in self.invented)

    def tested(self) -> IceTested:
        """What the dials say, for the book; an invented slow press is left out."""
        if not self.rink:
            raise InputError(
                "the rink's code is missing; it must be chosen or typed under the picture, such as R1"
            )
        state = self.state()
        weight = state.weight_kg if state.falls == WEIGHTED else None
        test = IceTested(
            self.rink,
            state.ball_mm / 2,
            state.height_m,
            state.craters,
            weight,
            state.rebound_mm / 1000,
            state.temperature_C,
        )
        if not state.press_craters or self.are_invented(state.press_craters):
            return test
        load_N = state.press_kg * GRAVITY_M_S2
        return replace(
            test, press_crater_mm=state.press_craters, press_load_N=load_N, press_s=float(state.press_s)
        )


def _keep(made: DropTestPanel, card: Card) -> list[CardButton]:
    nothing = made.fault or made.are_invented(made.state().craters)
    return [] if nothing else ice_button(card, made.tested)


_drop_test = panel(
    "drop_test",
    DropTestView,
    drop_test_answer,
    Choice(
        "craters",
        "craters",
        "ice",
        (("ten craters (invented)", _INVENTED),),
        _INVENTED,
    ),
    Slider("ball_mm", "ball, across", "ice", 10, 50, 25.4, "fine length"),
    Choice("falls", "what fell", "ice", (("a free steel ball", FREE), ("a guided weight", WEIGHTED)), FREE),
    Slider(
        "weight_kg", "ball and weight", "ice", 0.5, 15, 5, "mass", 0.5, when=lambda s: s.falls == WEIGHTED
    ),
    Slider("height_m", "height of the fall", "ice", 0.02, 3.0, 1.0, "fall"),
    Slider("rebound_mm", "it bounced", "ice", 0, 300, 0, "length"),
    controls.ice_controls(),
    Choice(
        "press_craters",
        "slow press beside it",
        "ice",
        (("none", ()), ("five craters (invented)", _PRESS_INVENTED)),
        (),
    ),
    Slider("press_kg", "pressed by", "ice", 5, 150, 75, "mass", when=lambda s: bool(s.press_craters)),
    Slider("press_s", "pressed for, s", "ice", 1, 120, 10, when=lambda s: bool(s.press_craters)),
    Slider("hollow_mm", "hollow", "hollow", 6.35, 38.1, 15.875, "hollow"),
    controls.radius_control(),
    controls.mass_control(),
    controls.speed_control(),
    tabs=True,
    open_on="ice",
    kind=DropTestPanel,
    more=_keep,
)


def drop_test_panel() -> PanelBox:
    """Craters of a dropped ball, with fields for your own."""
    made = _drop_test()
    assert isinstance(made, DropTestPanel)

    def taken(words: str, found: Mapping[str, tuple[float, ...]] | tuple[float, ...]) -> str:
        craters = found if isinstance(found, Mapping) else {"craters": found}
        for dial, values in craters.items():
            offer_more(made, dial, words, values)
        parts = {"craters": "", "press_craters": " of the slow press"}
        counts = (f"{counted(len(values), 'crater')}{parts[dial]}" for dial, values in craters.items())
        return f"Taken over: {' and '.join(counts)}."

    def read(fields: Mapping[str, str]) -> dict[str, tuple[float, ...]]:
        found = {"craters": numbers_of_text("craters", fields["craters"], 100.0)}
        if fields["press"].strip():
            found["press_craters"] = numbers_of_text("slow press", fields["press"], 100.0)
        return found

    def rink_given(code: str) -> None:
        made.rink = code
        made.refresh()

    tests = RinkCardBox(rink_given)
    form = WrittenDown(
        made,
        "Your own craters",
        {
            "craters": text_field("craters, mm across", "such as 9.8 10.1 9.9 10.0"),
            "press": text_field("slow press, mm across", "may stay empty"),
        },
        read,
        taken,
        read_craters,
    )
    return PanelBox(made, below=[tests, form])
