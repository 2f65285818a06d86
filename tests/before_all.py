"""Loaded before anything else (pyproject.toml names it): leaves out what nobody asks for and takes a second.

nbformat's checks of a notebook bring with them a check of addresses with letters of all scripts, whose
grammar is rebuilt in every process; lab/serve.py leaves it out for JupyterLab.
"""

import sys

sys.modules["rfc3987_syntax"] = None
