"""The rooms of the code: data flows one way, and each outside library has its place.

The tables here are the rule; docs/architecture.md draws the first one.
"""

from __future__ import annotations

import ast
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGE = ROOT / "rulewatch"

# room: the rooms that it may import, besides itself
ROOMS: dict[str, set[str]] = {
    "data": set(),  # no code: what is packaged with it, read by its name
    "model": set(),
    "parse": {"model"},
    "store": {"model"},
    "intake": {"model", "parse"},
    "compare": {"model"},
    "assess": {"model", "compare"},
    "decide": {"model", "assess"},
    "publish": {"model"},
    "checks": {"model", "compare", "assess"},
    "workspace": {"model", "parse", "store"},
    "plain_book": {"model", "parse"},
    "library": {"model", "store", "workspace", "plain_book"},
    "carrying": {"model", "parse", "compare"},
    "two_points": {"model", "compare", "library"},
    "amending": {"model", "parse", "store", "compare", "library", "workspace"},
    "suggesting": {"model", "parse", "intake", "library"},
    "courses": {"model", "parse", "store", "compare", "workspace", "library"},
    "car_histories": {"model", "parse", "store", "compare", "assess", "workspace", "library", "courses"},
    "joblists": {"model", "parse", "store", "compare", "assess", "workspace", "courses"},
    "pipeline": {
        *("model", "parse", "store", "intake", "compare", "assess", "decide"),
        *("checks", "workspace", "library", "two_points", "courses", "joblists", "car_histories", "carrying"),
    },
    "classes": {"model", "compare", "library"},
    "new_edition": {"model", "parse", "store", "intake", "workspace", "carrying"},
    "draft_bulletin": {"model", "parse", "store", "intake", "workspace", "new_edition"},
    "carriage": {"model", "parse", "store", "workspace", "carrying"},
    "confirming": {"model", "parse", "store", "intake", "compare", "assess", "workspace", "courses"},
}

ROOMS["cli"] = set(ROOMS)
ROOMS["__main__"] = {"cli"}

# outside library, as imported: the rooms that may
LIBRARIES: dict[str, set[str]] = {
    "click": {"cli"},
    "deepdiff": {"compare"},
    "git": {"store"},
    "jinja2": {"publish"},
    "markdown_it": {"parse", "intake", "publish"},  # parse finds the clauses, intake their looks, publish shows their text
    "numpy": {"decide"},
    "ortools": {"decide"},
    "markupsafe": {"publish"},  # comes with jinja2
    "pypdfium2": {"intake"},
    "rapidfuzz": {"compare"},
    "rich": {"cli"},
    "ruamel": {"parse"},
    "z3": {"compare"},
}

# What these bring into the program is paid for by every command, if the command line imports them when it starts.
HEAVY = {"pint", "z3", "ortools", "jinja2", "git", "deepdiff", "markdown_it", "rapidfuzz", "numpy", "rich", "ruamel"}
HEAVY |= {"pypdfium2"}

# The name to install, where it is not the name to import.
INSTALLED_AS = {"git": "gitpython", "markdown_it": "markdown-it-py", "ruamel": "ruamel.yaml", "z3": "z3-solver"}
COMES_WITH = {"markupsafe", "ruamel.yaml.clib"}  # a part of jinja2; the C half of ruamel.yaml

# What only the rooms at the edge may use: the core takes values and returns values.
EDGE_ONLY = {"os", "shutil", "subprocess", "socket", "tempfile", "urllib.request", "time", "random", "sys"}
EDGE = {"store", "cli"}
# What a single module may have of these: a library that decodes hostile files can only be stopped in a process of its own.
EDGE_BUT = {"rulewatch.intake.pdf": {"subprocess", "sys"}}

MODULES = {
    ".".join(("rulewatch", *file.relative_to(PACKAGE).with_suffix("").parts)).removesuffix(".__init__"): file
    for file in sorted(PACKAGE.rglob("*.py"))
}


def imports(module: str) -> Iterator[tuple[str, int]]:
    """Every module that a module imports, wherever in it, with the line; `from a import b` gives `a.b` where that is one."""
    for node in ast.walk(ast.parse(MODULES[module].read_text())):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{module}:{node.lineno}: a relative import; write the whole name"
            for alias in node.names:
                whole = f"{node.module}.{alias.name}"
                yield (whole if whole in MODULES else str(node.module)), node.lineno


def room(module: str) -> str:
    """The room of one of our modules: the first part below the package."""
    return module.split(".")[1] if "." in module else ""


def circle(graph: Mapping[str, AbstractSet[str]]) -> list[str]:
    """The modules of one import circle, empty where there is none."""
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        return list(error.args[1])
    return []


def test_there_are_modules_to_look_at():
    """The tests below would pass on an empty folder."""
    assert len(MODULES) > 20
    assert {room(module) for module in MODULES} - {""} <= set(ROOMS), "a module that is in no room of the table"


@pytest.mark.parametrize("module", MODULES)
def test_a_module_imports_only_what_its_room_may(module):
    """Arrows never point back."""
    may = ROOMS.get(room(module), set()) | {room(module)}
    wrong = [
        f"{MODULES[module].relative_to(ROOT)}:{line}: {room(module) or 'the package'} imports {name}"
        for name, line in imports(module)
        if name.split(".")[0] == "rulewatch" and name != "rulewatch" and room(name) not in may
    ]
    assert wrong == []


@pytest.mark.parametrize("module", MODULES)
def test_a_module_imports_only_the_libraries_of_its_room(module):
    """Most libraries have one room, so that each can be exchanged there."""
    ours = {"rulewatch", *sys.stdlib_module_names}
    wrong = [
        f"{MODULES[module].relative_to(ROOT)}:{line}: {room(module)} imports {name}"
        for name, line in imports(module)
        if (top := name.split(".")[0]) not in ours and room(module) not in LIBRARIES.get(top, set())
    ]
    assert wrong == []


@pytest.mark.parametrize("module", [module for module in MODULES if room(module) not in EDGE])
def test_the_core_touches_neither_disk_nor_clock_nor_chance(module):
    """Only `store` reads and writes, and only `cli` knows what day it is."""
    forbidden = EDGE_ONLY - EDGE_BUT.get(module, set())
    wrong = [f"{MODULES[module].relative_to(ROOT)}:{line}: {name}" for name, line in imports(module) if name in forbidden]
    tree = ast.parse(MODULES[module].read_text())
    wrong += [
        f"{MODULES[module].relative_to(ROOT)}:{node.lineno}: a call of {ast.unparse(node.func)}"
        for node in ast.walk(tree)
        if isinstance(node, ast.Call)
        and re.search(r"(^open|\bdate\.today|\bdatetime\.(now|utcnow|today)|\bPath\.(cwd|home))$", ast.unparse(node.func))
    ]
    assert wrong == []


def test_no_modules_import_each_other_in_a_circle():
    """Neither directly nor round a corner, late imports included."""
    graph = {module: {name for name, _ in imports(module) if name in MODULES and name != module} for module in MODULES}
    assert circle(graph) == []


def test_a_circle_is_seen():
    """The test before can fail."""
    assert sorted(circle({"a": {"b"}, "b": {"c"}, "c": {"a"}, "d": {"a"}})[1:]) == ["a", "b", "c"]
    assert circle({"a": {"b", "c"}, "b": {"c"}}) == []


def test_every_dependency_is_declared_and_used():
    """What is imported is in pyproject.toml, and nothing is there that no module imports."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    declared = {re.split(r"[<>=\[ ;]", line, maxsplit=1)[0].lower() for line in project["dependencies"]} - COMES_WITH
    imported = {name.split(".")[0] for module in MODULES for name, _ in imports(module)}
    used = {INSTALLED_AS.get(name, name) for name in imported & set(LIBRARIES)} - COMES_WITH
    assert used == declared


def test_the_command_line_starts_without_any_heavy_library():
    """Each command imports what it needs, when it needs it."""
    code = "import sys, rulewatch.cli; print(*sorted({name.split('.')[0] for name in sys.modules}))"
    done = subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True)
    assert "rulewatch" in done.stdout.split()
    assert HEAVY & set(done.stdout.split()) == set()
