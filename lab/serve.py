"""Starts JupyterLab or the plain pages; `start.py` runs this with the options.

    python lab/serve.py lab [options of JupyterLab] python lab/serve.py pages [--network] [options of Jupyter
    Server]

The check of addresses with letters of all scripts is left out: the servers load it with their settings and
never use it, and building the grammar it reads by takes half the time of a start (1.2 s of 2.2). None in
`sys.modules` is Python's documented way to say that a module can't be imported (language reference, 5.3.1).
"""

import logging
import sys

# Warnings about what the servers set themselves, or about each of our notebooks: a reader at the terminal
# takes them for faults.
_OF_NO_CONCERN = ("websocket_ping_timeout (", " is not trusted")


def concerns_the_reader(record: logging.LogRecord) -> bool:
    """Whether what the server logs is shown on the terminal."""
    return not any(words in record.getMessage() for words in _OF_NO_CONCERN)


def main(kind: str, *options: str) -> None:
    """Start `kind` ("lab" or "pages") and serve until it is ended."""
    sys.modules["rfc3987_syntax"] = None  # type: ignore[assignment]  # its one user can do without
    for name in ("tornado.general", "ServerApp", "Pages"):
        logging.getLogger(name).addFilter(concerns_the_reader)
    if kind == "lab":
        from jupyterlab.labapp import main as serve
    elif kind == "pages":
        from pages import serve
    else:
        sys.exit(f"{kind!r} can't be started; there are 'lab' and 'pages'")
    serve(list(options))


if __name__ == "__main__":
    main(*sys.argv[1:])
