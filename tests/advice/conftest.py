"""A log with two trials."""

import pytest

from bladelab.advice.trial_log import TrialLog
from tests.advice.blades import FIRST, SECOND


@pytest.fixture
def log(tmp_path):
    log = TrialLog(tmp_path / "trials.csv")
    log.append(FIRST)
    log.append(SECOND)
    return log
