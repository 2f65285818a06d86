"""JSON documents of users, read strictly."""

from __future__ import annotations

import json
from typing import NoReturn

from bladelab._errors import InputError
from bladelab._files import quoted


def document_of(contents: bytes, kind: str, version: int) -> dict[str, object]:
    """Return the object in a file that says what kind of file it is, and of what version.

    Raises
    ------
    InputError
        As `parsed_json`, or if it is of another kind or version.
    """
    document = parsed_json(contents)
    if not isinstance(document, dict) or document.get("file") != kind:
        raise InputError(f'it is not marked "file": "{kind}"')
    has = document.get("version")
    if isinstance(has, bool) or has != version:
        raise InputError(f"its version is {quoted(has)}; this program reads version {version}")
    return document


def parsed_json(contents: bytes) -> object:
    """Return the document in a file.

    Raises
    ------
    InputError
        If it is not UTF-8 or not JSON, a name appears twice in one object, or something is not a number.
    """

    def no_repeats(pairs: list[tuple[str, object]]) -> dict[str, object]:
        known: dict[str, object] = {}
        for name, value in pairs:
            if name in known:
                raise InputError(f"{quoted(name)} appears twice")
            known[name] = value
        return known

    def refuse(word: str) -> NoReturn:
        raise InputError(f"{word} is not a number")

    try:
        text = contents.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise InputError("it is not UTF-8 text") from None
    try:
        return json.loads(text, object_pairs_hook=no_repeats, parse_constant=refuse)
    except json.JSONDecodeError as problem:
        raise InputError(f"it is not JSON (line {problem.lineno}: {problem.msg})") from None
    except RecursionError:
        raise InputError("it is nested too deep") from None
