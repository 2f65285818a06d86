"""The invented group: its log reads without damage and has something to show."""

from pathlib import Path

from bladelab import RATINGS, TrialLog
from bladelab.advice.trial import warnings_of

LOG = TrialLog(Path(__file__).parents[2] / "data" / "demo" / "trials.csv")


def test_the_log_of_the_group_reads_without_damage() -> None:
    reading = LOG.read()
    assert not reading.damage and len(reading.skaters) == 6 and len(reading.trials) == 40
    assert all(set(trial.ratings) == set(RATINGS) for trial in reading.trials)
    days = [trial.date for trial in reading.trials]
    assert days == sorted(days) and 150 < (days[-1] - days[0]).days < 240  # one season


def test_two_skaters_changed_two_things_at_once() -> None:
    reading = LOG.read()
    warned = {skater: warnings_of(reading.of(skater)) for skater in reading.skaters}
    assert {skater for skater, said in warned.items() if said} == {"D17", "E30"}
