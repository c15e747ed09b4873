"""The house stands in a straight line: what `import popkit` loads, and who may import whom."""

from __future__ import annotations

import ast
import json
import subprocess
import sys
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

import popkit

PACKAGE = Path(popkit.__file__).parent

# The modules in their order; each may import only those before it. Two stand otherwise than the
# design first had them: regrid is a function of the package, so its module is regridding; and the
# assembly steps stand between the standing of a card and its checks. A module that is not named
# is a part of one that is: it may stand anywhere, so long as nothing named reaches up through it.
LINE = (
    "lengths",
    "language",
    "saying",
    "papers",
    "services",
    "card",
    "areas",
    "pieces",
    "thickness",
    "folding",
    "findings",
    "finishing",
    "standing",
    "assembly",
    "checks",
    "ornaments",
    "refinishing",
    "regridding",
    "wording",
    "posting",
    "sending",
    "recipe",
    "roster",
    "classplan",
    "drawing",
    "handout",
    "panels",
)

HEAVY = ("matplotlib", "ipywidgets", "typst", "highspy", "pint", "numpy", "IPython", "scipy", "babel")


def fresh(code: str) -> object:
    """What a line of Python prints as JSON in an interpreter of its own."""
    done = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        cwd=PACKAGE.parent,
        timeout=120,
    )
    assert done.stderr == ""
    return json.loads(done.stdout)


def loaded_by(code: str) -> set[str]:
    names = fresh(f"import sys, json\n{code}\nprint(json.dumps(sorted(sys.modules)))")
    return {name.partition(".")[0] for name in names}


def test_import_popkit_is_light():
    assert loaded_by("import popkit") & set(HEAVY) == set()


def test_the_arithmetic_loads_no_drawing_notebook_or_printing():
    code = (
        "import popkit\nfor name in ('Card', 'cut_list', 'pose', 'parse_length'): getattr(popkit, name)"
    )
    found = loaded_by(code)
    assert "pint" in found  # so the test can see a library that is loaded
    assert found & {"matplotlib", "ipywidgets", "typst", "highspy", "IPython"} == set()


def test_nothing_above_the_drawing_loads_matplotlib_or_a_notebook():
    modules = [name for name in LINE[: LINE.index("drawing")] if has(name)]
    assert {"card", "checks", "recipe"} <= set(modules)
    found = loaded_by("\n".join(f"import popkit.{name}" for name in modules))
    assert found & {"matplotlib", "ipywidgets", "typst", "IPython"} == set()


def test_every_public_name_is_there():
    missing = fresh(
        "import json, popkit\n"
        "print(json.dumps([name for name in popkit.__all__ if getattr(popkit, name, None) is None]))"
    )
    assert missing == []
    assert sorted(set(popkit.__all__)) == sorted(popkit.__all__)
    assert set(popkit.__all__) <= set(dir(popkit))
    with pytest.raises(AttributeError, match="popkit has no 'crad'"):
        _ = popkit.crad


def test_no_public_name_is_also_a_module():
    """Once a module is imported it is an attribute of the package, and would stand before the name."""
    assert [name for name in popkit.__all__ if has(name)] == []


# Names that the design promises (section 3) in the modules that stand today.
@pytest.mark.parametrize(
    "name",
    [
        *("parse_length", "show_length", "LengthError", "Grid", "Card", "Tier", "ClearFront"),
        *("JoinedFront", "OnePieceFront", "CutStep", "cut_list", "Piece", "pose", "opening_limit"),
    ],
)
def test_the_promised_names_are_public(name):
    assert name in popkit.__all__
    assert callable(getattr(popkit, name))


# Who imports whom ----------------------------------------------------------------------------------


def has(module: str) -> bool:
    return (PACKAGE / f"{module}.py").exists() or (PACKAGE / module / "__init__.py").exists()


def module_name(path: Path) -> str:
    """ "card", "drawing.flat", "drawing" for its __init__, "" for that of the package itself."""
    parts = path.relative_to(PACKAGE).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports_of(path: Path) -> set[str]:
    """Modules of popkit that a file imports, at its top or inside a function, as dotted names."""
    here = module_name(path)
    package = here if path.name == "__init__.py" else here.rpartition(".")[0]
    found = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            found |= {
                alias.name.removeprefix("popkit").lstrip(".")
                for alias in node.names
                if alias.name.split(".")[0] == "popkit"
            }
        elif isinstance(node, ast.ImportFrom):
            if node.level:
                outer = package.split(".") if package else []
                base = ".".join([*outer[: len(outer) - node.level + 1], *filter(None, [node.module])])
            elif (node.module or "").split(".")[0] == "popkit":
                base = node.module.removeprefix("popkit").lstrip(".")
            else:
                continue
            for alias in node.names:  # `from popkit.drawing import flat` is the module drawing.flat
                inner = f"{base}.{alias.name}".lstrip(".")
                spot = PACKAGE.joinpath(*inner.split("."))
                found.add(inner if spot.with_suffix(".py").exists() or spot.is_dir() else base)
    return found - {here}


@pytest.fixture(scope="module")
def edges() -> dict[str, set[str]]:
    """{module: modules of popkit it imports}, every file of the package but its own __init__."""
    files = [path for path in sorted(PACKAGE.rglob("*.py")) if path != PACKAGE / "__init__.py"]
    return {module_name(path): imports_of(path) for path in files}


def reached(start: str, edges: dict[str, set[str]]) -> set[str]:
    found, todo = set(), [start]
    while todo:
        for name in edges.get(todo.pop(), ()):
            if name not in found:
                found.add(name)
                todo.append(name)
    return found


def upward(edges: dict[str, set[str]]) -> list[tuple[str, str]]:
    """(module, one it reaches that stands below it in the line), by whatever way."""
    place = {name: number for number, name in enumerate(LINE)}
    wrong = []
    for module in edges:
        top = module.partition(".")[0]
        if top in place:
            for other in reached(module, edges):
                inner = other.partition(".")[0]
                if inner in place and inner != top and place[inner] > place[top]:
                    wrong.append((module, other))
    return wrong


def test_each_module_imports_only_those_above_it(edges):
    assert {"card", "pieces", "folding"} <= set(edges)
    assert edges["folding"] == {"card", "lengths"}
    assert upward(edges) == []


def test_no_module_imports_itself_by_a_roundabout_way(edges):
    """A package's __init__ gathers its parts, so within a package the parts alone are looked at."""
    gathering = {module for module in edges if (PACKAGE.joinpath(*module.split("."))).is_dir()}
    parts = {
        module: {name for name in names if name not in gathering}
        for module, names in edges.items()
        if module not in gathering
    }
    assert len(list(TopologicalSorter(parts).static_order())) >= len(parts)  # raises CycleError


def test_nothing_imports_popkit_itself(edges):
    """Each module takes a name from where it lives; the package's front door is for others."""
    assert [module for module, names in edges.items() if "" in names] == []


def test_an_import_up_the_line_is_seen(edges):
    """The checker, tried on faults: a straight one, and one round a module that has no place."""
    assert upward(edges | {"card": edges["card"] | {"checks"}})
    assert ("card", "drawing.flat") in upward(
        edges | {"card": {"lengths", "helper"}, "helper": {"drawing.flat"}}
    )
    assert upward(edges | {"lengths": {"helper"}, "helper": set()}) == []


def test_the_reader_of_imports_reads_every_kind(tmp_path, monkeypatch):
    (tmp_path / "drawing").mkdir()
    for name in ("card.py", "lengths.py", "drawing/__init__.py", "drawing/flat.py", "drawing/svg.py"):
        (tmp_path / name).write_text("", encoding="utf-8")
    monkeypatch.setattr(sys.modules[__name__], "PACKAGE", tmp_path)
    path = tmp_path / "drawing" / "flat.py"
    for code, names in (
        ("import popkit.card", {"card"}),
        ("import popkit", {""}),
        ("import popkitchen, numpy", set()),
        ("from popkit.card import Card", {"card"}),
        ("from popkit import card, lengths", {"card", "lengths"}),
        ("from popkit import Card", {""}),
        ("from . import svg", {"drawing.svg"}),
        ("from .svg import draw", {"drawing.svg"}),
        ("from ..card import Card", {"card"}),
        ("from popkit.drawing import svg, thing", {"drawing.svg", "drawing"}),
        ("def late():\n    from popkit.lengths import mm", {"lengths"}),
    ):
        path.write_text(code, encoding="utf-8")
        assert imports_of(path) == names, code
