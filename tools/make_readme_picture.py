"""Draw the picture of README.md from the main panel: `python tools/make_readme_picture.py`."""

from __future__ import annotations

from pathlib import Path

from bladelab import MOMENTS
from bladelab.show.panels.blade.main import main_panel

PICTURE = Path(__file__).resolve().parents[1] / "notebooks" / "pictures" / "main_panel.png"


def main() -> None:
    """Set the sliders to two blades that differ visibly, and write the picture."""
    panel = main_panel()
    with panel.quiet():
        panel.dials["trial.shape"].value = "blended"
        panel.dials["moment"].value = next(m for m in MOMENTS if m.name == "stride push")
    if panel.fault:
        raise ValueError(panel.sentence_text)
    PICTURE.parent.mkdir(exist_ok=True)
    PICTURE.write_bytes(panel.view.png(1.5))
    print(panel.sentence_text)


if __name__ == "__main__":
    main()
