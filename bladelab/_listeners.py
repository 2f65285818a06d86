"""Telling objects of a change for as long as they live."""

from __future__ import annotations

import weakref
from collections.abc import Callable, Iterator


class Listeners:
    """Bound methods to call after a change; they keep no object alive."""

    def __init__(self) -> None:
        self._methods: list[weakref.WeakMethod[Callable[[], None]]] = []

    def add(self, method: Callable[[], None]) -> None:
        """Call a bound method after each change, for as long as its object lives."""
        self._methods.append(weakref.WeakMethod(method))

    def __iter__(self) -> Iterator[Callable[[], None]]:
        """The methods of objects that still live."""
        self._methods = [method for method in self._methods if method() is not None]
        return (method for one in list(self._methods) if (method := one()))

    def tell(self) -> None:
        """Call them all."""
        for method in self:
            method()
