"""Contacts and frictions for panels: solved together, and remembered over the last few settings.

A slider mostly moves one blade of two; what belongs to the other is not solved again.
"""

from __future__ import annotations

from collections.abc import Sequence

from bladelab._errors import InputError
from bladelab._remembering import Remembering
from bladelab.physics.contact import Contact, ContactCase, all_solved, solve_contacts
from bladelab.physics.glide import Friction, FrictionCase, frictions_of_contacts, gliding_case


def _frictions(cases: Sequence[FrictionCase]) -> list[Friction]:
    contacts = contacts_of([gliding_case(*case) for case in cases])
    return frictions_of_contacts(contacts, [speed for *_, speed in cases])


def contacts_of(cases: Sequence[ContactCase]) -> list[Contact]:
    """Return the contacts.

    Raises
    ------
    ValueError
        If a single stance can't be solved.
    """
    return list(all_solved(_contacts(cases)))


_contacts = Remembering(solve_contacts)
frictions_of = Remembering(_frictions)


def named_contacts(cases: dict[str, ContactCase]) -> dict[str, Contact]:
    """Return the contacts by name.

    Raises
    ------
    ValueError
        If one stance can't be solved; the sentence begins with the name: "present blade: ...".
    """
    contacts = dict(zip(cases, _contacts(list(cases.values())), strict=True))
    for name, contact in contacts.items():
        try:
            all_solved([contact])
        except InputError as problem:
            raise InputError(f"{name} blade: {problem}") from None
    return contacts
