"""The house stands as drawn: each room uses only the rooms before it, draws only on the page side, and
lessons keep to themselves."""

import ast
import subprocess
import sys
from functools import cache
from pathlib import Path

import pytest

import tonewood

LIB = Path(tonewood.__file__).parent
ROOMS = ["wood", "strings", "neck", "sound", "bench", "brief", "panel", "lesson"]
FLOORS = {"neck": ["layup", "section", "load", "seasons", "report", "design", "design_file"]}
COMMON = {"checks", "constants", "files", "schema", "tables", "draws", "materials", "remember"}
PAGE = {"panel", "lesson"}
DRAWING = {"ipywidgets", "matplotlib", "IPython", "PIL", "traitlets", "jupyter_server", "nbconvert"}
FILES = sorted(LIB.rglob("*.py"))


def place(path):
    """('neck', 'load', …): where a file stands, without .py."""
    return path.relative_to(LIB).with_suffix("").parts


@cache
def parsed(path):
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def nodes(path):
    return list(ast.walk(parsed(path)))


@cache
def is_folder(module):
    return (LIB.parent / module.replace(".", "/")).is_dir()


def imports(path, top_only=False):
    """(imported module, line) pairs of a file, wherever in it they stand; type-only imports count as
    imports."""
    for node in parsed(path).body if top_only else nodes(path):
        if isinstance(node, ast.Import):
            yield from ((alias.name, node.lineno) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name}:{node.lineno}: write imports out in full"
            whole = node.module == "tonewood" or is_folder(node.module)
            yield from ((f"{node.module}.{alias.name}" if whole else node.module, node.lineno)
                        for alias in node.names)


def house_imports():
    """(file, its place, place of what it imports) for every import of the house's own modules."""
    for path in FILES:
        for module, line in imports(path):
            top, *there = module.split(".")
            if top == "tonewood" and there and there[0] != "__version__":
                yield f"{'/'.join(place(path))}:{line}", place(path), there


def test_a_room_uses_only_rooms_before_it():
    wrong = []
    for where, here, there in house_imports():
        allowed = set(ROOMS[: ROOMS.index(here[0]) + 1]) if len(here) > 1 else set()
        if here in (("__init__",), ("__main__",)) or there[0] in COMMON:
            continue
        if there[0] not in allowed:
            wrong.append(f"{where} imports {'.'.join(there)}")
        floors = FLOORS.get(here[0], []) if there[0] == here[0] and len(there) > 1 else []
        if here[1] in floors and there[1] in floors and floors.index(there[1]) > floors.index(here[1]):
            wrong.append(f"{where} imports {'.'.join(there)}, a floor above it")
    assert wrong == []


def test_every_room_is_known():
    assert {place(p)[0] for p in FILES if len(place(p)) > 1} <= set(ROOMS)
    assert {place(p)[0] for p in FILES if len(place(p)) == 1} <= COMMON | {"__init__", "__main__"}


def test_the_page_toolkit_knows_no_wood():
    assert [(w, t) for w, here, t in house_imports() if here[0] == "panel"
            and t[0] not in COMMON - {"materials"} | {"panel"}] == []


def test_no_lesson_imports_another():
    assert [(where, there) for where, here, there in house_imports() if here[0] == "lesson" == there[0]
            and len(here) > 2 and there[1:2] and there[1] not in (here[1], "shared")] == []
    assert [(where, there) for where, here, there in house_imports() if here[:2] == ("lesson", "shared")
            and there[0] == "lesson" and there[1] != "shared"] == []


def test_only_the_page_side_draws():
    assert [(place(p), module) for p in FILES if place(p)[0] not in PAGE for module, _ in imports(p)
            if module.split(".")[0] in DRAWING] == []


def test_said_once():
    """One way to keep results, one to make a table of HTML."""
    assert [place(p) for p in FILES if {"functools.lru_cache", "functools.cache"} & {
        f"{n.module}.{a.name}" for n in nodes(p) if isinstance(n, ast.ImportFrom)
        for a in n.names}] == [("remember",)]
    assert [place(p) for p in FILES if "<table" in p.read_text(encoding="utf-8")] == [("panel", "page")]


CHANGES = {"append", "add", "update", "setdefault", "pop", "clear", "extend", "insert", "remove", "discard",
           "popitem", "appendleft"}
STATE = {("wood", "species"): "the own woods a process has been told of",
         ("panel", "chosen"): "the units chosen, and what follows them",
         ("panel", "reruns"): "what a cell made the time before, to be closed",
         ("panel", "open"): "the word a browser must know, one a process"}
"""Modules that keep something between calls which is no result of a pure function, and what."""
MAKERS = {("wood", "board"), ("bench", "log_form")}
"""They fill the dictionary of an object they are just making from one that was checked."""


def changed_places(path):
    """(kind, line) of what functions of this file change and is not theirs: "module" for a name of the
    module, "object" for the dictionary of an object."""
    names = {target.id for node in parsed(path).body if isinstance(node, (ast.Assign, ast.AnnAssign))
             for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
             if isinstance(target, ast.Name)}

    def kind(thing):
        if isinstance(thing, ast.Name) and thing.id in names:
            return "module"
        if isinstance(thing, ast.Attribute) and thing.attr == "__dict__":
            return "object"
        called = isinstance(thing, ast.Call) and isinstance(thing.func, ast.Name) and thing.func.id == "vars"
        return "object" if called and thing.args else None

    for function in (n for n in nodes(path) if isinstance(n, (ast.FunctionDef, ast.Lambda))):
        for node in ast.walk(function):
            if isinstance(node, ast.Global):
                yield "module", node.lineno
            called = node.func if isinstance(node, ast.Call) else None
            if isinstance(called, ast.Attribute) and called.attr in CHANGES:
                yield kind(called.value), node.lineno
            if isinstance(node, (ast.Assign, ast.AugAssign, ast.Delete)):
                for target in [node.target] if isinstance(node, ast.AugAssign) else node.targets:
                    if isinstance(target, ast.Subscript):
                        yield kind(target.value), node.lineno


def test_nothing_is_kept_but_results():
    """By `remember`, and by cached properties of the object itself."""
    found = {(place(p), kind) for p in FILES for kind, _ in changed_places(p) if kind}
    assert {where for where, kind in found if kind == "module"} == set(STATE)
    assert {where for where, kind in found if kind == "object" and where[0] not in PAGE} <= MAKERS


@pytest.mark.parametrize("code, found", [
    ("def f(x):\n    vars(x).setdefault('a', 1)", "object"), ("def f(x):\n    x.__dict__['a'] = 1", "object"),
    ("K = {}\ndef f(x):\n    K[x] = 1", "module"), ("K = []\ndef f(x):\n    K.append(x)", "module"),
    ("def f(x):\n    y = dict(vars(x))\n    y['a'] = 1", None)])
def test_the_rule_of_keeping_notices(tmp_path, code, found):
    path = tmp_path / "module.py"
    path.write_text(code)
    assert {kind for kind, _ in changed_places(path)} - {None} == ({found} if found else set())


def test_slow_libraries_are_imported_where_they_are_needed():
    """A lesson must start within seconds."""
    assert [(place(p), module, line) for p in FILES if place(p)[0] not in PAGE
            for module, line in imports(p, top_only=True)
            if module.split(".")[0] in ("scipy", "pandas")] == []


def graph():
    """{file: files it imports}, imports inside functions and type-only imports included."""
    known = {".".join(place(p)).removesuffix(".__init__"): p for p in FILES}
    found = {name: set() for name in known}
    for name, path in known.items():
        for module, _ in imports(path):
            inner = module.removeprefix("tonewood.")
            while inner not in known and "." in inner:
                inner = inner.rpartition(".")[0]
            if module.startswith("tonewood.") and inner in known and inner != name:
                found[name].add(inner)
    return found


def folders(edges):
    """{folder: folders it imports from}; the files beside the rooms that stand under all of them, and the
    package's two doors above them, each by itself."""
    def folder(name):
        inside = "." in name and not (LIB / name.replace(".", "/")).is_dir()
        return name.rpartition(".")[0] if inside else name

    found = {}
    for name, others in edges.items():
        found.setdefault(folder(name), set()).update({folder(o) for o in others} - {folder(name)})
    return found


@pytest.mark.parametrize("whole", [lambda edges: edges, folders], ids=["file", "folder"])
def test_nothing_leads_back_to_itself(whole):
    edges, state = whole(graph()), {}
    assert sum(map(len, edges.values())) > len(edges)

    def visit(name, trail):
        assert state.get(name) != "open", " -> ".join([*trail[trail.index(name) :], name])
        if name not in state:
            state[name] = "open"
            for other in sorted(edges[name]):
                visit(other, [*trail, name])
            state[name] = "done"

    for name in edges:
        visit(name, [])
    assert len(state) == len(edges)


def run(code):
    return subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60,
                          check=True).stdout.strip()


def test_importing_the_package_is_light():
    heavy = "('numpy', 'pandas', 'scipy', 'matplotlib', 'ipywidgets')"
    assert (
        run(f"import sys, tonewood, tonewood.lesson; print([m for m in {heavy} if m in sys.modules])") == "[]"
    )


def test_importing_the_package_changes_nothing_around_it():
    code = (
        "import gc, os, sys, signal, warnings, locale\n"
        "def state(): return dict(os.environ), list(sys.path), locale.getlocale(), gc.get_threshold()\n"
        "before = state()\nimport tonewood, tonewood.panel.server, tonewood.lesson\n"
        "tonewood.Neck, tonewood.relief\nprint(state() == before)"
    )
    assert run(code) == "True"


def test_every_export_is_there_and_belongs_to_its_home():
    assert ({"species", "Board", "Neck", "section", "relief",
             "movement"} <= set(tonewood.__all__) <= set(dir(tonewood)))
    for name in tonewood.__all__:
        thing = getattr(tonewood, name)
        assert name == "__version__" or thing.__module__ == tonewood._HOME[name], name
    with pytest.raises(AttributeError, match="no attribute 'plank'"):
        tonewood.plank  # noqa: B018


def test_files_stay_readable():
    long = {"/".join(place(p)): n for p in FILES
            if (n := len(p.read_text(encoding="utf-8").splitlines())) > 330}
    assert long == {}, "split it: one idea per file"
