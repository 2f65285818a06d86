"""The artists on a slide. The next drawing reuses them: creating new ones takes several times as long."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from matplotlib.axes import Axes
from matplotlib.axis import XAxis, YAxis
from matplotlib.figure import Figure, SubFigure
from matplotlib.text import Text

from bladelab.show.canvas.view import SomeArtist


class Drawn:
    """The artists at one place, in drawing order.

    A drawing begins with `rewind`, hands everything to `put` in its order, and ends with `finish`.
    """

    def __init__(self) -> None:
        self._standing: list[tuple[object, Any]] = []
        self._at = 0

    def rewind(self) -> None:
        """Begin a drawing: existing artists are reused from the first on."""
        self._at = 0

    def put(
        self, look: object, make: Callable[[], SomeArtist], move: Callable[[SomeArtist], object]
    ) -> SomeArtist:
        """Return the next artist: the existing one, moved, if it has this look, or else a new one.

        Parameters
        ----------
        look : object
            All that `move` does not set.
        make : callable
            Makes the artist where it belongs. Artists after it are removed first, so that everything
            lies in the order of a first drawing.
        move : callable
            Gives an artist of this look its data, texts and place.
        """
        if self._at < len(self._standing) and self._standing[self._at][0] == look:
            artist: SomeArtist = self._standing[self._at][1]
            move(artist)
        else:
            self.finish()
            artist = make()
            self._standing.append((look, artist))
        self._at += 1
        return artist

    def finish(self) -> None:
        """End a drawing: artists from the last time that were not reused are removed."""
        for _, artist in self._standing[self._at :]:
            artist.remove()
        del self._standing[self._at :]


def rewrite(text: Text, x: float, y: float, words: str) -> None:
    """Update the place and words of an existing text."""
    text.set_position((x, y))
    text.set_text(words)


class _AcrossStage(XAxis):
    """An axis of a stage: it is never shown, and ticks take most of the time that bare axes take to make."""

    def reset_ticks(self) -> None:
        """Make no first tick."""
        self.majorTicks, self.minorTicks = [], []


class _UpStage(YAxis):
    """The other one."""

    reset_ticks = _AcrossStage.reset_ticks


class Stage(Axes):
    """Bare axes that know what is drawn on them."""

    def __init__(
        self, figure: Figure | SubFigure, place: tuple[float, float, float, float], *, label: str = ""
    ) -> None:
        super().__init__(figure, place, label=label)
        self.axis("off")
        self.drawn = Drawn()

    def _init_axis(self) -> None:
        # Which axes has which kind of axis is settled here in matplotlib's own projections too.
        self.xaxis, self.yaxis = _AcrossStage(self, clear=False), _UpStage(self, clear=False)


def stage(
    figure: Figure | SubFigure,
    left: float,
    bottom: float,
    width: float,
    height: float,
    xlim: tuple[float, float],
    ylim: tuple[float, float],
) -> Stage:
    """Return bare axes at a place in the figure, fractions of it: new ones, or those already there."""
    place = (left, bottom, width, height)
    for axes in _stages(figure):
        if axes.get_label() == str(place):
            break
    else:
        axes = Stage(figure, place, label=str(place))
        figure.add_axes(axes)
    axes.set_xlim(*xlim)
    axes.set_ylim(*ylim)
    return axes


def put(
    axes: Stage, look: object, make: Callable[[], SomeArtist], move: Callable[[SomeArtist], object]
) -> SomeArtist:
    """Return the next artist on a stage, see `Drawn.put`."""
    return axes.drawn.put(look, make, move)


def added(axes: Axes, artist: SomeArtist) -> SomeArtist:
    """Return the artist, added to the axes."""
    axes.add_artist(artist)
    return artist


def rewind(figure: Figure | SubFigure) -> None:
    """Begin to draw a picture again on the stages of a figure."""
    for axes in _stages(figure):
        axes.drawn.rewind()


def drop_unused(figure: Figure | SubFigure) -> None:
    """End a picture that was drawn again."""
    for axes in _stages(figure):
        axes.drawn.finish()


def _stages(figure: Figure | SubFigure) -> list[Stage]:
    every: list[Axes] = figure.axes
    return [axes for axes in every if isinstance(axes, Stage)]
