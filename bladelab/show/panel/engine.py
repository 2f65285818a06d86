"""The engine: a `Panel` joins controls, one view and one sentence.

A panel's author writes a pure function ``answer(state) -> Result``. The panel reads all its dials into
`state`, gets the answer, passes it to the view and its sentence to the page, once for each
change. An InputError from the model becomes the sentence, and the last good picture stays, dimmed. Any other
exception is our own bug: the sentence says so, and it is raised.

Held keys and drags need no queue of our own: the browser sends a slider's next value only once the kernel has
acknowledged the one before, and always the last.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from types import MappingProxyType, SimpleNamespace

from bladelab._checks import one_of
from bladelab._errors import InputError
from bladelab.book.card import Card
from bladelab.show.canvas.result import Picture, Result
from bladelab.show.controls.control import GROUPS, Control
from bladelab.show.controls.debounce import WhileMoving
from bladelab.show.controls.dials import make_dials, read
from bladelab.show.panel.card_bar import CardBar, Offer, OwnEntries
from bladelab.show.panel.card_buttons import CardButton
from bladelab.show.panel.files import FOLDER
from bladelab.show.panel.kept_picture import KeptPicture
from bladelab.show.panel.long_work import finish
from bladelab.show.panel.page import PanelPage
from bladelab.show.panel.saving import Saving
from bladelab.show.panel.skater import SKATER
from bladelab.show.wording.units_shown import UNITS
from bladelab.show.wording.words import ended, own_fault


class Panel(PanelPage):
    """Controls, one picture, one sentence.

    Parameters
    ----------
    name : str
        Short, for the names of saved files: ``"rocker"``.
    view : View, or another Picture
    controls : sequence of Control
        Shown group by group in the order of `GROUPS`, whatever order they come in.
    answer : callable
        ``answer(state) -> Result``; pure. May raise InputError with a sentence for the reader.
    buttons : sequence of (text, callable), optional
        Each callable gets the panel; what it does to dials is shown at once, in one update.
    tabs : bool, optional
        One tab to a group. By default for panels with more than ten controls.
    columns_of : str
        What there is a present and a trial one of.
    titles : dict of str to str
        Titles of tabs that differ from the group name.
    open_on : str
        The group whose tab is open at first; the first one by default.
    plain : {"present", "ordered"}
        Which blade of a skater's card the dials without a column describe.
    offers : mapping of str to callable
        By the name of a menu: what it offers from the card that is open (see `CardBar`).
    own : mapping of str to callable
        By the name of a menu in `offers`: its own entries, where they change (see `CardBar`).
    more : callable
        ``more(panel, card)``: buttons of the panel's own for the bar, while a card is open.
    reloads : callable
        ``reloads(state)``: whether the panel shows the card itself, with no dial to lose: then what another
        notebook wrote is shown as soon as the reader is back, and not just offered.

    Attributes
    ----------
    dials : dict of str to Dial
        By name: ``panel.dials["present.radius_mm"].value = 3048``.
    view : View, or another Picture
    sentence_text : str
        The sentence as it is now.
    fault : bool
        Whether the last state had no picture.
    result : Result or None
        The last one that has a picture.
    moving : WhileMoving
        What answers the steps of the sliders.
    saving : Saving
    bar : CardBar
        The skater's card, as this panel has it.
    then : callable
        Called after each answer that has a picture: for what a form around the panel does next.
    """

    #: Whether it can be saved as a page to take home: not where one dial sets others.
    goes_home: bool = True
    #: What a page to take home sets back to its first position when one of the others moves: name -> names.
    taken_back: Mapping[str, tuple[str, ...]] = MappingProxyType({})

    def __init__(
        self,
        name: str,
        view: Picture,
        controls: Sequence[Control],
        answer: Callable[[SimpleNamespace], Result],
        buttons: Sequence[tuple[str, Callable[[Panel], object]]] = (),
        tabs: bool | None = None,
        columns_of: str = "blade",
        titles: Mapping[str, str] = MappingProxyType({}),
        open_on: str = "",
        plain: str = "present",
        offers: Mapping[str, Offer] = MappingProxyType({}),
        own: Mapping[str, OwnEntries] = MappingProxyType({}),
        more: Callable[[object, Card], list[CardButton]] = lambda panel, card: [],
        reloads: Callable[[SimpleNamespace], bool] = lambda state: False,
    ) -> None:
        self.panel_name, self.view = name, view
        ordered = sorted(controls, key=lambda control: GROUPS.index(control.group))
        self.dials = make_dials(ordered, self._dial_set)
        self.result: Result | None = None
        bar = CardBar(self, plain, offers, own)
        self._reloads = reloads
        bar.more = partial(more, self)
        self._quiet, self._settling = False, True
        self._picture = KeptPicture(view, answer)
        bar.load()  # the card may bring other units than the view was drawn in
        self._settling = False
        self.then: Callable[[], object] = lambda: None
        self.moving = WhileMoving(self.refresh)
        layout = {
            "tabs": len(ordered) > 10 if tabs is None else tabs,
            "titles": dict(titles),
            "open_on": open_on,
            "columns_of": columns_of,
        }
        saving = Saving(self, answer, self._show_report)
        super().__init__(view, self.dials, buttons, saving, bar, layout)
        self.begin_to_follow()
        self.refresh()
        self._dials = self._shown_dials
        self.made()

    # What happens on a change ---------------------------------------------------------------------------

    def state(self) -> SimpleNamespace:
        """The values of all dials, in internal units."""
        return read(self.dials.values())

    def refresh(self) -> None:
        """Show the picture and the sentence for what the dials say. The one handler of all controls."""
        state = self.state()
        for dial in self.dials.values():
            control = dial.control
            if control.when:
                dial.shown = control.when(getattr(state, control.column) if control.column else state)
        with self.hold_sync():
            try:
                answer = self.result = self._picture.draw(state)
                self._set_picture(answer.sentence)
            except InputError as problem:
                if kept := self._picture.keep():
                    self._set_picture(kept.sentence)
                self._show_fault(str(problem))
            except Exception as problem:
                self._show_fault(own_fault(problem))
                raise
            else:
                self._stale = False
                self._set_words(answer.sentence, answer.warns)
            finally:
                self._answer_page()
        if not self._stale:
            self.then()

    def look(self) -> None:
        """The reader is back: see what happened to the card in the meantime."""
        SKATER.look()
        if SKATER.changed and self._reloads(self.state()):
            self._load()

    def lay_out(self, narrow: bool) -> None:
        """Lay the picture out for a page with little room, or for one with enough."""
        self._picture.lay_out(narrow)
        self.refresh()

    def made(self) -> None:
        """Begin, once the panel is complete. Nothing, unless a subclass overrides it."""

    def settle(self) -> None:
        """Set what follows from a moved dial. Nothing, unless a subclass overrides it."""

    def say(self, sentence: str, fault: bool = False) -> None:
        """Put another sentence beside the picture; `fault` marks one that asks for a correction."""
        with self.hold_sync():
            self._set_words(sentence, fault)
            self._answer_page()

    @property
    def has_picture(self) -> bool:
        """Whether there is a picture: that of the last setting that works."""
        return self._picture.whole

    def _show_fault(self, problem: str) -> None:
        self._stale, self.result = True, None
        kept = " The picture shows the last setting that works." if self._picture.state else ""
        self._set_words(f"{ended(problem)}{kept}", fault=True)

    @contextmanager
    def quiet(self) -> Iterator[None]:
        """Move several dials inside the block; the panel answers once, at its end."""
        self._quiet = True
        try:
            yield
        finally:
            self._quiet = False
            self.refresh()

    def copy_column(self, source: str, target: str) -> None:
        """Set every dial of the column `target` to the value of its twin in `source`."""
        columns = {dial.control.column for dial in self.dials.values()} - {""}
        for column in (source, target):
            one_of("the column", column, sorted(columns))
        with self.quiet():
            for dial in list(self.dials.values()):
                twin = self.dials.get(f"{target}.{dial.control.key}")
                if dial.control.column == source and twin:
                    twin.value = dial.value

    @staticmethod
    def _load() -> None:
        try:
            SKATER.load()
        except InputError as problem:
            SKATER.tell_trouble(problem)

    def _settle(self) -> None:
        self._settling = True
        try:
            self.settle()
        finally:
            self._settling = False

    def _dial_set(self) -> None:
        if self._settling:
            return
        self._settle()
        if not self._quiet:
            self.catch_up()
            self.refresh()

    def follow(self, units: bool, card: bool) -> None:
        """Show controls, picture and sentence in the units chosen now and of the card that is open."""
        self._settling = True
        try:
            offered = self.bar.offer()
            if card:
                self.bar.load()
            late = self.bar.take_news()
        finally:
            self._settling = False
        if card or late:
            self._settle()
        if units:
            self._units.value = UNITS.system
            for dial in self.dials.values():
                dial.rescale()
        if units or card or late or offered:
            self.refresh()
        self._show_bar()

    # Saved pictures -------------------------------------------------------------------------------------

    def save(self, form: str = "PNG", folder: str | Path = FOLDER) -> Path:
        """Save the current picture to a new numbered file in ``saved/`` beside the notebook.

        Parameters
        ----------
        form : {"PNG", "SVG", "PDF", "GIF"}
            GIF, the moving picture, for panels with a `Frames` control.
        folder : path, optional

        Returns
        -------
        Path
            The file written. No file is ever overwritten.
        """
        return finish(self.saving.steps(form, folder))

    def save_page(self, file: str | Path, dials: Sequence[str], steps: Sequence[int]) -> Path:
        """Save the panel as one HTML file to take home, which opens on a phone without bladelab or a network.

        Parameters
        ----------
        file : path
            Replaced if there is one.
        dials : sequence of str
            The names of the dials that the page offers: ``("trial.radius_mm", "trial.hollow_mm")``.
        steps : sequence of int
            How many positions of each, evenly spread over its scale: ``(21, 13)``; 2,000 settings at most.

        Returns
        -------
        Path
        """
        return finish(self.saving.page_steps(dials, steps, file))
