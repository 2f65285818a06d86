"""The type face of all pictures, for the page."""

from __future__ import annotations

import base64
import io
import zlib
from contextlib import suppress
from functools import cache
from pathlib import Path

import fontTools  # type: ignore[import-untyped]
import matplotlib as mpl
from matplotlib.font_manager import FontProperties, findfont

from bladelab._errors import InputError
from bladelab._files import write_whole

_LETTERS = [*range(32, 127), *map(ord, "°µ²³·×±÷¼½¾⅛⅜⅝⅞–—−“”‘’…←→↑↓≈≤≥φθρκΔ")]


@cache
def type_face() -> str:
    """A CSS rule that gives the page matplotlib's type face, cut to the letters our pictures use.

    Moving texts are laid out by matplotlib with the metrics of this face; without it the browser would set
    them in another, and each label would end somewhere else.
    """
    fonts = {w: findfont(FontProperties(family="DejaVu Sans", weight=w)) for w in ("normal", "bold")}
    # To cut it takes longer than to draw a panel: it is kept beside what matplotlib keeps of its fonts.
    dated = [(path, Path(path).stat().st_mtime_ns) for path in fonts.values()]
    made_from = zlib.crc32(repr((_LETTERS, dated, fontTools.version)).encode())
    kept = Path(mpl.get_cachedir()) / f"bladelab-{made_from:08x}.css"
    with suppress(OSError):
        return kept.read_text(encoding="ascii")
    rules = [
        f'@font-face{{font-family:"DejaVu Sans";font-weight:{weight};'
        f"src:url(data:font/woff;base64,{base64.b64encode(_cut(path)).decode('ascii')})}}"
        for weight, path in fonts.items()
    ]
    style = f"<style>{''.join(rules)}</style>"
    with suppress(InputError, OSError):  # where nothing can be kept, it is cut every time
        write_whole(kept, style.encode("ascii"), replace=True)
    return style


def _cut(path: str) -> bytes:
    """A font file with our letters alone, as WOFF."""
    from fontTools import subset
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    options = subset.Options(layout_features=["kern"], hinting=False)
    options.drop_tables += ["FFTM"]
    buffer = io.BytesIO()
    with TTFont(path, lazy=True, recalcTimestamp=False) as font:
        cutter = subset.Subsetter(options)
        cutter.populate(unicodes=_LETTERS)
        cutter.subset(font)
        font.flavor = "woff"
        font.save(buffer)
    return buffer.getvalue()
