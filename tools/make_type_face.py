"""Cut matplotlib's type face to the letters that the pictures use, as a style sheet for the page.

    python tools/make_type_face.py

Writes bladelab/show/panel/type_face.css. Needs brotli beside what the tests need. DejaVu Sans comes with
matplotlib; its licence (Bitstream Vera) allows parts of it to be passed on with this notice.
"""

from __future__ import annotations

import base64
import io
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont
from matplotlib.font_manager import FontProperties, findfont

TARGET = Path(__file__).resolve().parents[1] / "bladelab" / "show" / "panel" / "type_face.css"
LETTERS = [*range(32, 127), *map(ord, "°µ²³·×±÷¼½¾⅛⅜⅝⅞–—−“”‘’…←→↑↓≈≤≥φθρκΔ▶◀")]

_NOTICE = """/* DejaVu Sans, cut to the letters of the pictures by tools/make_type_face.py.
   Copyright (c) 2003 by Bitstream, Inc. All Rights Reserved. Bitstream Vera is a trademark of Bitstream, Inc.
   DejaVu changes are in public domain. */"""


def cut(path: str) -> bytes:
    """A font file with these letters alone, as WOFF2."""
    options = subset.Options(layout_features=["kern"], hinting=False)
    options.drop_tables += ["FFTM"]
    buffer = io.BytesIO()
    with TTFont(path, lazy=True, recalcTimestamp=False) as font:
        cutter = subset.Subsetter(options)
        cutter.populate(unicodes=LETTERS)
        cutter.subset(font)
        font.flavor = "woff2"
        font.save(buffer)
    return buffer.getvalue()


def main() -> None:
    """Write the style sheet."""
    rules = [_NOTICE]
    for weight in ("normal", "bold"):
        letters = base64.b64encode(cut(findfont(FontProperties(family="DejaVu Sans", weight=weight))))
        rules.append(
            f'@font-face {{font-family: "DejaVu Sans"; font-weight: {weight}; '
            f"src: url(data:font/woff2;base64,{letters.decode('ascii')})}}"
        )
    TARGET.write_text("\n".join(rules) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
