"""What the forms around panels are made of."""

import datetime

import pytest

from bladelab import InputError
from bladelab.show.panel import forms
from bladelab.show.panel.file_work import FileWork
from tests.show.engine_checks import bring


def test_a_press_that_waited_for_the_one_before_does_nothing(monkeypatch):
    now, done = [100.0], []

    def slow():
        now[0] += 2.0
        done.append(now[0])

    monkeypatch.setattr(forms.time, "monotonic", lambda: now[0])
    write, tell = forms.button("write it", slow, once=True), forms.button("tell", slow)
    write.click()
    write.click()  # it waited all the two seconds
    assert done == [102.0]
    now[0] += 0.5
    write.click()
    assert done == [102.0, 104.5]
    tell.click()
    tell.click()
    assert len(done) == 4, "another button answers every press"


def test_a_file_is_brought_under_the_name_it_has_at_home():
    brought = []

    def take(name, path):
        brought.append((name, path.suffix, path.read_bytes()))

    bring(forms.upload("bring", ".csv", take), ("K07 left.CSV", b"x,y"))
    assert brought == [("K07 left.CSV", ".csv", b"x,y")]


def test_a_day_in_a_form_is_not_in_the_future_and_one_to_come_is():
    today = datetime.date.today()
    tomorrow = today + datetime.timedelta(days=1)
    assert forms.past_day("day", today) == today and forms.coming_day("day", tomorrow) == tomorrow
    for check, day, says in (
        (forms.past_day, None, "the day is missing"),
        (forms.past_day, tomorrow, f"the day is {tomorrow}, which is in the future"),
        (forms.coming_day, today, f"the day is {today}; it must be after today"),
    ):
        with pytest.raises(InputError, match=says):
            check("day", day)


def test_a_file_is_not_begun_while_another_is_written():
    form = FileWork()
    form.work.going, form.links.value = True, "the last one"
    form.save(lambda: pytest.fail("it began"))
    assert form.links.value == "the last one"
