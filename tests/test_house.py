"""The house rules: imports run one way, and importing bladelab costs little."""

import ast
import builtins
import doctest
import inspect
import re
import subprocess
import sys
from dataclasses import fields, is_dataclass
from functools import cache
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[1] / "bladelab"
MODULES = sorted(PACKAGE.rglob("*.py"))

#: What each room may import of bladelab besides itself and the helpers at the door (`_checks` and the like);
#: `trust` checks all that is computed.
ALLOWED = {
    "units": set(),
    "shape": {"units"},
    "physics": {"units", "shape"},
    "workshop": {"units", "shape", "physics"},
    "rink": {"units", "shape", "physics", "workshop"},
    "advice": {"units", "shape", "physics", "workshop", "rink"},
    "trust": {"units", "shape", "physics", "workshop", "rink", "advice"},
    "book": {"units", "shape", "physics", "workshop", "rink", "advice"},
    "show": {"units", "shape", "physics", "workshop", "rink", "advice", "trust", "book"},
}
#: The same for the packages inside `show`, which lie in layers.
BASE = {"wording", "canvas", "controls"}
SHOW = {
    "wording": set(),
    "canvas": {"wording"},
    "controls": {"wording"},
    "panel": BASE,
    "drawings": BASE,
    "papers": BASE | {"panel", "drawings"},
    "panels": BASE | {"panel", "drawings", "papers"},
    "clinic": BASE | {"panel", "drawings"},
}
#: Only `book` knows a database.
DATABASES = {"sqlalchemy", "sqlite3", "psycopg2", "psycopg"}
PICTURES = {"matplotlib", "ipywidgets", "IPython", "pptx", "traitlets"}


@cache
def parsed(path: Path) -> ast.Module:
    return ast.parse(path.read_text(encoding="utf-8"))


def room(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


def imports(path: Path) -> set[str]:
    """Every module that a file imports anywhere, also inside functions, by its full dotted name."""
    found = set()
    for node in ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} line {node.lineno}: a relative import"
            # `from bladelab import Blade` and `from bladelab.physics import ice` name rooms and modules.
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@pytest.mark.parametrize("path", MODULES, ids=lambda path: str(path.relative_to(PACKAGE)))
def test_imports_run_one_way(path: Path) -> None:
    here = room(path)
    for name in imports(path):
        top, *rest = name.split(".")
        if top == "bladelab" and here != "__init__" and not rest[0].startswith("_"):
            assert rest[0] in ALLOWED.get(here, set()) | {here}, f"{here} must not import {name}"
        if here == "show" and top == "bladelab" and rest[0] == "show" and path.parent.name != "show":
            layer = path.relative_to(PACKAGE / "show").parts[0]
            assert rest[1] in SHOW[layer] | {layer}, f"show/{layer} must not import {name}"
        if here != "book":
            assert top not in DATABASES, f"{here} must not import {name}"
        if here != "show":
            assert top not in PICTURES, f"{here} must not import {name}"


#: What every module may define under the same name: the parts of which a panel is declared.
SHARED_NAMES = {"answer"}


def names_of(path: Path) -> set[str]:
    """The functions, classes and constants that a module defines for others: no underscore in front."""
    found: set[str] = set()
    for node in parsed(path).body:
        match node:
            case ast.FunctionDef(name=name) | ast.AsyncFunctionDef(name=name) | ast.ClassDef(name=name):
                found.add(name)
            case ast.Assign(targets=targets):
                # Also those that are unpacked: `LONGEST_MM, LEAST_MM = 1e8, 1e-7`.
                parts = (part for target in targets for part in ast.walk(target))
                found |= {part.id for part in parts if isinstance(part, ast.Name)}
            case ast.AnnAssign(target=ast.Name(id=name)):
                found.add(name)
    return {name for name in found - SHARED_NAMES if not name.startswith("_")}


def test_no_two_things_have_one_name() -> None:
    homes: dict[str, list[str]] = {}
    for path in MODULES:
        for name in names_of(path):
            homes.setdefault(name, []).append(str(path.relative_to(PACKAGE)))
    assert {name: places for name, places in homes.items() if len(places) > 1} == {}


def test_show_is_its_packages() -> None:
    assert [path.name for path in (PACKAGE / "show").glob("*.py")] == ["__init__.py"]


@pytest.mark.parametrize(
    "folder", sorted({path.parent for path in MODULES} - {PACKAGE}), ids=lambda path: path.name
)
def test_the_face_of_a_subpackage_is_empty(folder: Path) -> None:
    assert (folder / "__init__.py").read_text(encoding="utf-8") == ""


def fresh(code: str) -> str:
    """Run code in a Python of its own and return what it printed."""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, cwd=PACKAGE.parent, check=True
    )
    return done.stdout.strip()


@pytest.mark.parametrize(
    "heavy", ["numpy", "matplotlib", "pandas", "scipy", "ipywidgets", "IPython", "PIL", "pptx"]
)
def test_importing_bladelab_loads_nothing_heavy(heavy: str) -> None:
    assert fresh(f"import sys, bladelab; print({heavy!r} in sys.modules)") == "False"


def test_solving_a_contact_loads_numpy_only() -> None:
    code = """
import sys
from bladelab import Blade, Hollow, Ice, Rocker, Stance, solve_contact
solve_contact(Blade(Rocker.single(3048.0, 280.0), Hollow(12.7, 3.0)), Stance(736.0), Ice())
print(sorted({'numpy', 'matplotlib', 'pandas', 'scipy', 'ipywidgets', 'IPython', 'PIL'} & set(sys.modules)))
"""
    assert fresh(code) == "['numpy']"


def test_importing_bladelab_prints_and_warns_nothing() -> None:
    done = subprocess.run(
        [sys.executable, "-W", "error", "-c", "import bladelab"],
        capture_output=True,
        text=True,
        cwd=PACKAGE.parent,
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_every_public_name_is_there_and_described() -> None:
    import bladelab

    assert set(bladelab.__all__) <= set(dir(bladelab))
    for name in bladelab.__all__:
        thing = getattr(bladelab, name)
        if isinstance(thing, type) or callable(thing):
            assert (thing.__doc__ or "").strip(), f"{name} has no docstring"
            assert not (thing.__doc__ or "").startswith(f"{name}("), f"{name} has only a generated docstring"
            assert ">>> " in (thing.__doc__ or ""), f"{name} has no example"


def documented(thing: type) -> set[str]:
    """The fields that a class documents in numpydoc form, each with its type: ``name : type``."""
    text = inspect.cleandoc(thing.__doc__ or "")
    parts = re.findall(r"^(?:Parameters|Attributes)\n-+\n(.*?)(?=^\w+\n-+\n|\Z)", text, re.M | re.S)
    lines = re.findall(r"^(\w+(?:, \w+)*) : .+[^.]$", "\n".join(parts), re.M)
    return {name for names in lines for name in names.split(", ")}


@pytest.mark.slow
def test_what_is_told_of_a_field_is_told_in_numpydoc_form() -> None:
    """Also where nobody from outside looks: never as ``depth_mm : how deep`` in running text."""
    loose = [
        f"{path.relative_to(PACKAGE)}: {node.name}"
        for path in MODULES
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.ClassDef) and (text := ast.get_docstring(node))
        if re.search(r"(^|\. {1,3})\w+(, \w+)* : ", text, re.M)
        if not re.search(r"^(Attributes|Parameters)\n-+$", text, re.M)
    ]
    assert loose == []


def test_every_public_class_documents_its_fields_with_their_types() -> None:
    import bladelab

    for name in bladelab.__all__:
        thing = getattr(bladelab, name)
        if isinstance(thing, type) and is_dataclass(thing):
            public = {field.name for field in fields(thing) if not field.name.startswith("_")}
            assert public <= documented(thing), f"{name} does not document {public - documented(thing)}"


def test_the_example_of_every_public_name_needs_no_other_names() -> None:
    """Examples run with the names of their module at hand (`pytest bladelab`); here, that a reader who wrote
    `from bladelab import *` has them too."""
    import bladelab

    finder = doctest.DocTestFinder(recurse=False)
    for name in bladelab.__all__:
        thing = getattr(bladelab, name)
        if not callable(thing):
            continue  # a constant
        assert re.search(r"^ *Examples\n *-+$", thing.__doc__, re.M), f"{name} has no section Examples"
        found = finder.find(thing, name)
        assert sum(len(test.examples) for test in found), f"{name} has no example"
        for test in found:
            used, made = set(), {*bladelab.__all__, *dir(builtins)}
            for node in ast.walk(ast.parse("".join(example.source for example in test.examples))):
                match node:
                    case ast.Name(id=word, ctx=ast.Load()):
                        used.add(word)
                    case ast.Name(id=word) | ast.arg(arg=word) | ast.ExceptHandler(name=word):
                        made.add(word)
                    case ast.FunctionDef(name=word) | ast.ClassDef(name=word):
                        made.add(word)
                    case ast.Import(names=names) | ast.ImportFrom(names=names):
                        made |= {one.asname or one.name for one in names}
            assert used <= made, f"{name}: its example needs {used - made}"


def test_a_name_that_is_not_public_is_an_attribute_error() -> None:
    import bladelab

    with pytest.raises(AttributeError, match="has no name 'no_such_thing'"):
        _ = bladelab.no_such_thing
