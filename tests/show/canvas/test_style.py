"""Matplotlib's settings, which pictures borrow."""

import threading

import matplotlib as mpl

from bladelab.show.canvas.style import style_context


def test_pictures_of_two_threads_leave_the_readers_settings_as_they_were():
    entered, left = threading.Event(), threading.Event()

    def draw() -> None:
        with style_context():
            entered.set()
            left.wait(10)

    before = dict(mpl.rcParams)
    other = threading.Thread(target=draw)
    with style_context():
        other.start()
        assert not entered.wait(0.1), "it waits for the picture begun first"
    left.set()
    other.join()
    assert entered.is_set() and dict(mpl.rcParams) == before
