"""Small notebooks written for the tests and the benchmark, beside the copy of the real ones."""

from pathlib import Path

import nbformat

from tools import execute_notebooks

# A panel in the smallest form that has the parts the harness looks for.
PANEL = """
import io
import ipywidgets
import numpy as np
from matplotlib.figure import Figure

figure = Figure(figsize=(8, 3))
axes = figure.subplots()
turns = np.linspace(0, 1, 200)
(line,) = axes.plot(turns, turns)
axes.set_ylim(-1, 1)
picture = ipywidgets.Image(width=800, height=300).add_class("bladelab-picture")
sentence = ipywidgets.HTML().add_class("bladelab-sentence")
speed = ipywidgets.FloatSlider(description="speed", value=1, min=0, max=10, step=0.1)

def show(_=None):
    line.set_ydata(np.sin(speed.value * turns))
    memory = io.BytesIO()
    figure.savefig(memory, format="png")
    picture.value = memory.getvalue()
    sentence.value = f"The speed is {speed.value:.1f}."

speed.observe(show, "value")
show()
ipywidgets.VBox([speed, picture, sentence]).add_class("bladelab-panel")
"""

# What people write when they want a slider: `interact` around a function that draws with pyplot. Its three
# parts over one shared axis hold about what the panels of the collection show.
INTERACT = """
import matplotlib.pyplot as plt
import numpy as np
from ipywidgets import IntSlider, interact

x = np.linspace(-145, 145, 600)

@interact(radius=IntSlider(description="radius", value=3000, min=1500, max=6000, step=10))
def show(radius):
    fig, (top, middle, bottom) = plt.subplots(3, 1, figsize=(10, 7.2), sharex=True)
    for shown, name in ((radius, "trial"), (3000, "present")):
        top.plot(x, x**2 / (2 * shown), label=name)
        middle.plot(x, shown + 0 * x, label=name)
        bottom.fill_between(x, 0, np.clip(1.5 - x**2 / (0.2 * shown), 0, None), alpha=0.5, label=name)
    top.set(ylabel="height (mm)", title=f"Radius {radius} mm")
    middle.set(ylabel="radius (mm)", ylim=(1000, 6500))
    bottom.set(ylabel="width (mm)", xlabel="heel - place along the blade (mm) - toe")
    for axes in (top, middle, bottom):
        axes.legend()
        axes.grid(True)
    plt.show()
"""

# Panels of the collection by themselves: what their notebooks have besides takes longer to run than they do.
CLINIC = """
from bladelab.show.clinic.panel import clinic_panel

clinic_panel()
"""
PHOTO = """
from bladelab.show.panels.workshop.photo import photo_panel

photo_panel()
"""


def write_notebook(path: Path, code: str, run_on_open: bool = True) -> Path:
    """Write a notebook of one question and one code cell, not yet run, in a folder of a copy of the project;
    with `run_on_open`, put it on the copy's list of those that run when they open."""
    notebook = nbformat.v4.new_notebook(
        cells=[nbformat.v4.new_markdown_cell("# Does it move?"), nbformat.v4.new_code_cell(code.strip())]
    )
    notebook.metadata["kernelspec"] = {"name": "python3", "display_name": "Python 3", "language": "python"}
    nbformat.write(notebook, path)
    if run_on_open:
        project = path.parents[1]
        listed = execute_notebooks.read_list(project)
        listed[path.name] = execute_notebooks.code_hash(notebook)
        execute_notebooks.write_list(project, listed)
    return path
