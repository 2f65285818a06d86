"""What the forms around panels are made of."""

from bladelab.show.panel import forms


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
