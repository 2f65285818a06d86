"""Starts JupyterLab; `start.py` runs this with the options.

The check of addresses with letters of all scripts is left out: JupyterLab loads it with its settings and
never asks it anything, and to build the grammar that it reads by takes half the time of the server's start.
"""

import sys

sys.modules["rfc3987_syntax"] = None  # importing it fails now, which its one user is ready for

from jupyterlab.labapp import main  # noqa: E402

if __name__ == "__main__":
    sys.exit(main())
