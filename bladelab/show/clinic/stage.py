"""The artists on a slide. The next drawing reuses them: creating new ones takes several times as long."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any


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

    def put(self, look: object, make: Callable[[], Any], move: Callable[[Any], object]) -> Any:
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
            artist = self._standing[self._at][1]
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


def rewrite(text: Any, x: float, y: float, words: str) -> None:
    """Update the place and words of an existing text."""
    text.set_position((x, y))
    text.set_text(words)


def stage(figure: Any, left: float, bottom: float, width: float, height: float, xlim: Any, ylim: Any) -> Any:
    """Return bare axes at a place in the figure, fractions of it: new ones, or those already there."""
    place = (left, bottom, width, height)
    for axes in figure.axes:
        if axes.get_label() == str(place):
            break
    else:
        axes = figure.add_axes(place, label=str(place))
        axes.axis("off")
        axes.drawn = Drawn()  # kept by the axes, and freed with them
    axes.set_xlim(*xlim)
    axes.set_ylim(*ylim)
    return axes


def put(axes: Any, look: object, make: Callable[[], Any], move: Callable[[Any], object]) -> Any:
    """Return the next artist on a stage, see `Drawn.put`."""
    return axes.drawn.put(look, make, move)


def rewind(figure: Any) -> None:
    """Begin to draw a picture again on the stages of a figure."""
    for axes in figure.axes:
        axes.drawn.rewind()


def drop_unused(figure: Any) -> None:
    """End a picture that was drawn again."""
    for axes in figure.axes:
        axes.drawn.finish()
