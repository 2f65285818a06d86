"""What is written for a clinic, in memory."""

import io
import re


def as_bytes(write, *what):
    """What `write` writes to a file after these arguments."""
    memory = io.BytesIO()
    write(*what, memory)
    return memory.getvalue()


def pages_of(pdf):
    """How many pages a PDF has."""
    return len(re.findall(rb"/Type\s*/Page\b", pdf))
