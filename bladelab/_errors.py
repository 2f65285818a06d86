"""The one exception for what a user can cause."""

from __future__ import annotations


class InputError(ValueError):
    """A value, a file or a mix of settings that can't be used; the message says which, and what is allowed.

    The pages show its message as advice. Any other exception is a bug in bladelab and is shown as an
    error, never as advice.

    Examples
    --------
    >>> from bladelab import Hollow, InputError
    >>> try:
    ...     Hollow(1.0, 3.0)
    ... except InputError as problem:
    ...     print(problem)
    the hollow's radius_mm is 1 mm; it must be above half the width, 1.5 mm
    """
