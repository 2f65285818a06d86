"""A skater's card in words."""

from __future__ import annotations

from collections.abc import Iterable

from bladelab.book.card import Card, Edge
from bladelab.book.steel_happenings import LEFT_AND_RIGHT
from bladelab.show.wording.say import say_blade, say_day, say_edges, say_rocker
from bladelab.show.wording.units_shown import UNITS


def say_card(card: Card) -> str:
    """Present and trial in words, what is ordered, and when it was last sharpened."""
    edges = [card.edge(side) for side in LEFT_AND_RIGHT]
    shapes = [_say_edge(edge) for edge in edges]
    if shapes[0] == shapes[1]:
        words = [f"present: {shapes[0]}" if shapes[0] else "no present blade yet"]
    else:
        pairs = zip(LEFT_AND_RIGHT, shapes, strict=True)
        each = [f"{side} {shape or 'not known'}" for side, shape in pairs]
        words = [f"present: {'; '.join(each)}"]
    words += _ahead(card)
    days = [say_day(edge.sharpened_on) if edge and edge.sharpened_on else "" for edge in edges]
    if days[0] == days[1]:
        words += [f"sharpened {days[0]}"] if days[0] else []
    else:
        pairs = zip(LEFT_AND_RIGHT, days, strict=True)
        words.append(f"sharpened {', '.join(f'{side} {day}' for side, day in pairs if day)}")
    return as_sentences(words)


def _ahead(card: Card) -> list[str]:
    """The blade to be tried, and what is ordered and not ground yet."""
    trial = f"trial: {say_blade(card.trial)}" if card.trial else ""
    orders: dict[tuple[str, str], list[str]] = {}
    for side in LEFT_AND_RIGHT:
        edge = card.edge(side)
        if edge and edge.order and edge.ordered_on and not edge.order_done:
            target = "" if edge.order.target == card.trial else say_blade(edge.order.target)
            orders.setdefault((say_day(edge.ordered_on), target), []).append(side)
    others = []
    for (day, target), sides in orders.items():
        ordered = f"ordered {'' if len(sides) == 2 else f'for the {sides[0]} '}on {day}"
        if target:
            others.append(f"{ordered}: {target}")
        else:
            trial += f", {ordered}"
    return [trial, *others] if trial or others else ["no trial yet"]


def say_blades(card: Card) -> tuple[str, str, str]:
    """The blade on the left, on the right, and the trial; empty for what is not known."""
    left, right = (_say_edge(card.edge(side)) for side in LEFT_AND_RIGHT)
    return left, right, say_blade(card.trial) if card.trial else ""


def _say_edge(edge: Edge | None) -> str:
    """The shape of an edge as far as it is known; empty if nothing is."""
    if edge is None:
        return ""
    parts = [say_rocker(edge.rocker)] if edge.rocker else []
    if not parts and edge.measured is not None and edge.measured_on:
        parts = [f"as measured {say_day(edge.measured_on)}"]
    parts += [f"hollow {UNITS.say('hollow', edge.hollow_mm)}"] if edge.hollow_mm is not None else []
    parts += [f"edges {say_edges(edge.edge_radius_mm)}"] if edge.edge_radius_mm else []
    return ", ".join(parts)


def as_sentences(clauses: Iterable[str]) -> str:
    """Clauses as sentences, without the empty ones: ``"No trial yet."``."""
    return " ".join(f"{clause[:1].upper()}{clause[1:]}." for clause in clauses if clause)
