"""Edges as a fitter measures them, written as files: the journeys know their true shape, having made it."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from bladelab import Rocker

NOISE_MM = 0.003


def heights(rocker: Rocker, seed: int, spot_mm: float = 0.0) -> tuple[np.ndarray, np.ndarray]:
    """Places along a runner, every 2 mm, and heights as a dial indicator reads them: with an error of
    `NOISE_MM`, the runner a little askew, and `spot_mm` of steel gone around 60 mm ahead of the middle."""
    chance = np.random.default_rng(seed)
    half = rocker.length_mm / 2 - 4
    x = np.arange(-half, half + 1, 2.0)
    y = np.asarray(rocker.height_mm(x)) + 0.4 + 0.002 * x
    y = y + spot_mm * np.exp(-(((x - 60) / 8) ** 2))
    return x, y + chance.normal(0, NOISE_MM, x.size)


def write_plain(path: Path, x: np.ndarray, y: np.ndarray) -> Path:
    """As a program writes it: commas between columns, points for decimals, places from the middle."""
    lines = ["position_mm,height_mm", *(f"{a:.1f},{b:.4f}" for a, b in zip(x, y, strict=True))]
    path.parent.mkdir(exist_ok=True)
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def write_german(path: Path, x: np.ndarray, y: np.ndarray, half_mm: float = 140.0) -> Path:
    """As a German spreadsheet saves it: semicolons, decimal commas, CRLF; places counted from the heel."""
    lines = ["position_mm;height_mm", *(f"{a + half_mm:.1f};{b:.4f}" for a, b in zip(x, y, strict=True))]
    path.parent.mkdir(exist_ok=True)
    path.write_bytes(("\r\n".join(lines).replace(".", ",") + "\r\n").encode("cp1252"))
    return path
