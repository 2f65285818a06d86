"""Pictures that don't move, for the text of a notebook."""

from __future__ import annotations

import base64

from matplotlib.axes import Axes

from bladelab.show.canvas.result import Result
from bladelab.show.canvas.view import View


class Drawing(View[Result]):
    """A picture that does not move, for the prose of a notebook. Subclass it; give it `draw` and `words`.

    Attributes
    ----------
    words : str
        What the picture shows, for a reader who can't see it.
    """

    words: str = ""

    def bare_axes(
        self, place: tuple[float, float, float, float], x: tuple[float, float], y: tuple[float, float]
    ) -> Axes:
        """Axes without frame and numbers: their place in the figure, and their limits."""
        axes = self.figure.add_axes(place)
        axes.set_axis_off()
        axes.set(xlim=x, ylim=y)
        return axes

    def update(self, result: Result, /) -> None:
        """Nothing moves."""

    def _repr_mimebundle_(self, **kwargs: object) -> tuple[dict[str, str], dict[str, object]]:
        return {"image/png": base64.b64encode(self.png()).decode("ascii"), "text/plain": self.words}, {
            "image/png": self.size()
        }
