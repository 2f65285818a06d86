"""Write data/demo/trials.csv: an invented group of six skaters over one invented season.

    python tools/make_demo_trials.py

Nobody in it is real. Each skater starts on a blade, wants something of it, and follows what the log proposes;
the ratings come from the model, from how far the skater feels a change, and from a mood of the day, with a
fixed seed. Two trials break the rule of one change at a time, so that the log has something to warn of.
"""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from bladelab import Blade, Hollow, Rocker, Trial, TrialLog, Zone, feet, inches, propose_next
from bladelab.advice.agreement import against_model
from bladelab.advice.quantities import Conditions
from bladelab.advice.single_change import Change, single_changes
from bladelab.advice.trial import RATINGS, what_changed

FILE = Path(__file__).parents[1] / "data" / "demo" / "trials.csv"
FIRST_DAY = datetime.date(2026, 9, 7)
WEEKS = 26


@dataclass(frozen=True)
class Invented:
    """An invented skater: a code, a mass, a first blade, and the blade that would suit."""

    code: str
    mass_kg: float
    first: Blade
    suits: Blade


def single(radius_ft: float, hollow: str, length_mm: float = 280.0) -> Blade:
    """A blade of a single radius."""
    return Blade(Rocker.single(feet(radius_ft), length_mm), Hollow(inches(hollow), 3.0))


def zones(radii_ft: tuple[float, ...], hollow: str, pivot_mm: float = 0.0) -> Blade:
    """A blade of three zones with a blend of 20 mm."""
    parts = tuple(Zone(feet(r), length) for r, length in zip(radii_ft, (90.0, 100.0, 90.0), strict=True))
    return Blade(Rocker(parts, 20.0, pivot_mm), Hollow(inches(hollow), 3.0))


GROUP = (
    Invented("A11", 62, single(9, "1/2"), single(10, "1/2")),
    Invented("B23", 78, single(10, "5/8"), single(10, "1/2")),
    Invented("C04", 85, zones((9, 11, 9), "5/8"), zones((9, 11, 9), "5/8", pivot_mm=-5)),
    Invented("D17", 70, single(11, "3/4"), single(9, "5/8")),
    Invented("E30", 92, zones((10, 13, 9), "3/4"), zones((10, 13, 9), "7/16", pivot_mm=5)),
    Invented("F08", 55, single(9, "3/8", 264.0), single(9, "7/16", 264.0)),
)

# How far a rating moves for a change of 1 per cent (1 degree for the pitch) from what would suit. Invented.
FEELS = {"glide": 0.25, "hold": 0.12, "turning": 0.12, "steadiness": 0.1, "balance": 14.0}


def rated(skater: Invented, blade: Blade, mood: float, rng: np.random.Generator) -> dict[str, int]:
    """Rate a blade by how far its numbers are from those of the one that would suit."""
    day = datetime.date(2026, 1, 1)
    conditions = Conditions(mass_kg=skater.mass_kg)
    pair = [Trial(day, skater.code, b, dict.fromkeys(RATINGS, 1)) for b in (skater.suits, blade)]
    found = {}
    for both in against_model(pair, conditions):
        scale, (wished, got) = both.rating, both.values
        if scale.key == "balance":
            felt = FEELS["balance"] * (got - wished) + 0.3 * rng.standard_normal()
        else:
            better = scale.better * 100 * (got / wished - 1)
            felt = 4 + FEELS[scale.key] * min(better, 4.0) + mood + 0.35 * rng.standard_normal()
        found[scale.key] = int(np.clip(round(felt), scale.low, scale.high))
    return found


def towards(skater: Invented, blade: Blade) -> Change | None:
    """A coach's eye where the log proposes nothing: one change toward the blade that would suit."""

    def away(one: Blade) -> float:
        radii = zip(one.rocker.zones, skater.suits.rocker.zones, strict=True)
        feet_off = max(abs(z.radius_mm - wished.radius_mm) for z, wished in radii) / feet(1)
        level_off = abs(one.rocker.pivot_mm - skater.suits.rocker.pivot_mm) / 5
        return (
            feet_off + level_off + abs(one.hollow.radius_mm - skater.suits.hollow.radius_mm) / inches("1/16")
        )

    best = min(single_changes(blade), key=lambda change: away(change.blade))
    return best if away(best.blade) < away(blade) else None


def season(skater: Invented, rng: np.random.Generator) -> list[Trial]:
    """One skater's trials: every three to five weeks one, following the proposals."""
    conditions = Conditions(mass_kg=skater.mass_kg)
    trials: list[Trial] = []
    impatient = {"D17", "E30"}
    blade, week = skater.first, int(rng.integers(0, 3))
    while week < WEEKS:
        date = FIRST_DAY + datetime.timedelta(days=7 * week + int(rng.integers(0, 5)))
        changed = what_changed(trials[-1].blade if trials else None, blade)
        note = rng.choice(["", "", "", "soft ice", "cold rink", "after a week off", "new laces"])
        ratings = rated(skater, blade, 0.3 * rng.standard_normal(), rng)
        trials.append(
            Trial(date, skater.code, blade, ratings, f"{skater.code} {len(trials) + 1}", changed, str(note))
        )
        next_one = propose_next(trials, conditions).change or towards(skater, blade)
        if next_one and rng.random() < 0.85:
            blade = next_one.blade
            if len(trials) >= 2 and skater.code in impatient:
                # Changes a second thing along with the first, once.
                impatient.remove(skater.code)
                others = [
                    c
                    for c in single_changes(blade)
                    if (c.part, c.zone) != (next_one.part, next_one.zone)
                    and c.part not in ("whole shape", "blend")
                ]
                blade = others[int(rng.integers(len(others)))].blade
        week += int(rng.integers(3, 6))
    return trials


def main() -> None:
    """Write the file."""
    rng = np.random.default_rng(20260907)
    trials = [trial for skater in GROUP for trial in season(skater, rng)]
    trials.sort(key=lambda trial: (trial.date, trial.skater))
    FILE.unlink(missing_ok=True)
    log = TrialLog(FILE)
    for trial in trials:
        log.append(trial)
    print(f"{len(trials)} trials of {len(GROUP)} invented skaters in {FILE.name}")


if __name__ == "__main__":
    main()
