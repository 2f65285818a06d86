"""Writing entries into the book, with what only the book can check."""

from __future__ import annotations

from collections import deque
from collections.abc import Sequence
from dataclasses import replace

from sqlalchemy import Connection, select

from bladelab.book.entry import Entry
from bladelab.book.failures import EntryRefused
from bladelab.book.fold import counting
from bladelab.book.happenings import Joined, Struck
from bladelab.book.rows import entry_of, row_of
from bladelab.book.tables import ENTRIES, SKATERS, STATE


def next_numbers(connection: Connection, count: int) -> int:
    """Take the next numbers and return the last of them; from here on, other writers wait for us."""
    connection.execute(STATE.update().values(last=STATE.c.last + count))
    return int(connection.execute(select(STATE.c.last)).scalar_one())


def write_entries(connection: Connection, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Write entries and return them with their numbers."""
    first = next_numbers(connection, len(entries)) - len(entries) + 1
    numbered = tuple(replace(entry, number=number) for number, entry in enumerate(entries, first))
    known = set(connection.scalars(select(SKATERS.c.code)))
    for skater, number in {entry.skater: entry.number for entry in numbered}.items():
        if skater in known:
            connection.execute(SKATERS.update().where(SKATERS.c.code == skater).values(last=number))
        else:
            connection.execute(SKATERS.insert().values(code=skater, last=number))
    connection.execute(ENTRIES.insert(), [row_of(entry) for entry in numbered])
    for entry in numbered:
        if isinstance(entry.what, Joined | Struck):
            _fits(connection, entry)
    return numbered


def merge_entries(connection: Connection, entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Write those entries that the book does not hold yet, and return them with their numbers.

    Two entries are the same if all but their numbers is. What is twice in `entries` comes in twice, and a
    strike goes with what it struck, whatever number that has here. That a skater of this code joined on this
    day, in no team, does not yet make it the same skater.
    """
    there: dict[tuple[object, ...], deque[int]] = {}
    last = next_numbers(connection, 0)  # from here on, nobody else writes
    for number, *told in connection.execute(ENTRIES.select().order_by(ENTRIES.c.number)):
        there.setdefault(tuple(told), deque()).append(number)
    numbers: dict[int, int] = {}
    new: list[Entry] = []
    both: dict[str, list[Entry]] = {}
    for entry in entries:
        if isinstance(entry.what, Struck):
            if entry.what.entry not in numbers:
                raise EntryRefused(
                    f"entry {entry.number} strikes out entry {entry.what.entry}, which is not before it"
                )
            entry = replace(entry, what=replace(entry.what, entry=numbers[entry.what.entry]))
        same = there.get(tuple(row_of(entry).values())[1:])
        if same:
            numbers[entry.number] = same.popleft()
            both.setdefault(entry.skater, []).append(entry)
        else:
            new.append(entry)
            numbers[entry.number] = last + len(new)
    for skater in {entry.skater for entry in new}:
        if [entry.what for entry in both.get(skater, ())] == [Joined()]:
            raise EntryRefused(
                f"{skater} joined on {both[skater][0].on}, in no team, here and in what comes in, and "
                f"nothing else is in both; say {skater}={skater} if they are one skater, {skater}= and "
                "another code if they are two"
            )
    return write_entries(connection, new) if new else ()


def _fits(connection: Connection, entry: Entry) -> None:
    """Refuse what doesn't fit what is already written."""
    own = ENTRIES.select().where(ENTRIES.c.skater == entry.skater, ENTRIES.c.number < entry.number)
    if isinstance(entry.what, Struck):
        if connection.execute(own.where(ENTRIES.c.number == entry.what.entry)).first() is None:
            raise EntryRefused(
                f"entry {entry.what.entry} can't be struck out: {entry.skater} has no such entry"
            )
        return
    written = own.where(ENTRIES.c.kind.in_(("joined", "struck")))
    before = counting(entry_of(row) for row in connection.execute(written))
    if before and isinstance(entry.what, Joined) and not entry.what.moved:
        team = getattr(before[-1].what, "team", "")
        where = f"in team {team} " if team else ""
        raise EntryRefused(
            f"{entry.skater} is in the book already, {where}since {before[0].on}; give a new skater another "
            "code"
        )
