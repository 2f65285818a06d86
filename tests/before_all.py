"""Loaded before anything else (pyproject.toml names it): no test and no notebook that one runs or opens sees
the book of whoever runs it; and what nobody asks for and takes a second is left out.

nbformat's checks of a notebook bring with them a check of addresses with letters of all scripts, whose
grammar is rebuilt in every process; lab/serve.py leaves it out for JupyterLab.

The tests start kernels and servers by the dozen. Where the environment forbids Python to keep what it has
compiled, as in many containers, each would compile bladelab again.
"""

import os
import sys

os.environ["BLADELAB_BOOK"] = ""
sys.modules["rfc3987_syntax"] = None
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False
