"""The picture of the layers in DEVELOPERS.md, compared with the code: arrows point down only."""

import ast
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path

ROOT = Path(__file__).parent.parent
PACKAGE = ROOT / "intake"
WORDS = {"units", "errors", "model"}
STEPS = {
    "identifiers",
    "reading",
    "covers",
    "matching",
    "packing",
    "runs",
    "weighing",
    "carriage",
    "shelving",
    "valuing",
    "documents",
}
EDGES = {"edges"}
FLOW = {"flow"}
SURFACES = {"cli", "desk"}
COMMAND = {"__main__"}
"""`python -m intake`, which is the command line and nothing else."""
STARTUP = {"cli/startup.py", "desk/desk_startup.py"}
"""The one module of each surface that wires the edges; no other may pass `flow` by."""
RING = {name: str(nth) for nth, ring in enumerate((WORDS, STEPS, EDGES, FLOW, SURFACES | COMMAND)) for name in ring}

ALLOWED = {
    **dict.fromkeys(WORDS, WORDS),
    **{step: WORDS | {step} for step in STEPS},
    "edges": WORDS | EDGES,
    "flow": WORDS | STEPS | EDGES | FLOW,
    "cli": WORDS | FLOW | {"cli", "desk"},  # `intake serve` starts the desk
    "desk": WORDS | FLOW | {"desk"},
    "__main__": {"cli"},
}
OUTSIDE_WORLD = {"os", "pathlib", "time", "subprocess", "socket", "tempfile", "sqlite3", "sqlalchemy", "random", "io"}
OWNERS = {
    "sqlalchemy": ("edges/store",),
    "sqlite3": ("edges/store",),
    "alembic": ("edges/store",),
    "pikepdf": ("edges/pdf.py", "edges/pdf_fonts.py", "edges/pdf_structure.py"),
    "uharfbuzz": ("edges/fonts.py", "edges/font_files.py", "edges/pdf_fonts.py"),
    "cv2": ("edges", "reading", "covers"),
    "PIL": ("edges",),
    "click": ("cli",),
    "rich": ("cli",),
    "xlsxwriter": ("edges/workbook_writer.py",),
    "python_calamine": ("edges/exchange",),
    "starlette": ("desk",),
    "uvicorn": ("desk/run.py", "desk/door_protocol.py"),
    "jinja2": ("desk/rendering.py", "edges/collection_pages.py"),
    "cryptography": ("edges/certificates.py",),
    "httpx": ("edges/exchange/http_fetch.py",),
    "anyio": ("edges/exchange/http_fetch.py",),
    "lxml": ("edges/exchange",),
    "pymarc": ("edges/exchange/marc_files.py",),
}

FILES = sorted(PACKAGE.rglob("*.py"))


def layer(path: Path) -> str:
    return path.relative_to(PACKAGE).parts[0].removesuffix(".py")


@cache
def nodes(path: Path) -> tuple[ast.AST, ...]:
    """Return every node of a module; several tests look at each."""
    return tuple(ast.walk(ast.parse(path.read_text(encoding="utf-8"))))


def imports(path: Path) -> Iterator[str]:
    for node in nodes(path):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path} imports relatively"
            yield str(node.module)
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def place_of(path: Path) -> str:
    return path.relative_to(PACKAGE).as_posix()


def test_arrows_point_down_only() -> None:
    assert not list(imports(PACKAGE / "__init__.py"))
    upward = {}
    for path in FILES[1:]:
        used = {name.split(".")[1] for name in imports(path) if name.startswith("intake.")}
        wires = STEPS | EDGES if place_of(path) in STARTUP else set()
        upward[place_of(path)] = used - ALLOWED[layer(path)] - wires
    assert {place: used for place, used in upward.items() if used} == {}


def test_a_step_touches_nothing_outside() -> None:
    touched = {}
    for path in (path for path in FILES if layer(path) in STEPS | WORDS):
        calls = {n.func.id for n in nodes(path) if isinstance(n, ast.Call) and isinstance(n.func, ast.Name)}
        used = {name.split(".")[0] for name in imports(path)}
        touched[place_of(path)] = used & OUTSIDE_WORLD | calls & {"open", "print", "input"}
    assert {place: used for place, used in touched.items() if used} == {}


def test_each_outside_thing_has_one_owner() -> None:
    strangers = [
        (place_of(path), name)
        for path in FILES
        for name in {name.split(".")[0] for name in imports(path)} & OWNERS.keys()
        if not place_of(path).startswith(OWNERS[name])
    ]
    assert strangers == []


def test_a_module_says_what_it_is_and_stays_small() -> None:
    assert [place_of(path) for path in FILES if not ast.get_docstring(module_of(path))] == []
    assert [place_of(path) for path in FILES if path.read_bytes().count(b"\n") > 300] == []


def module_of(path: Path) -> ast.Module:
    module = nodes(path)[0]
    assert isinstance(module, ast.Module)
    return module


def test_the_top_level_is_the_one_a_newcomer_expects() -> None:
    expected = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "intake", "label_templates", "demo_scans"}
    assert expected <= {entry.name for entry in ROOT.iterdir()}


FLOORS = (
    {"lookup", "pictures", "safekeeping", "undo"},
    {"lists", "values", "condition"},
    {"moving", "runs", "shelves"},
    {"unpacking", "papers", "corrections"},
    {"demo"},
)
"""The packages of `flow`, each above what it may import."""


def test_importing_one_stage_of_the_work_never_reaches_back() -> None:
    back = {}
    for path in (path for path in FILES if layer(path) == "flow" and path.name != "__init__.py"):
        own = path.relative_to(PACKAGE).parts[1].removesuffix(".py")
        below = set().union(*FLOORS[: next(nth for nth, floor in enumerate(FLOORS) if own in floor)])
        used = {name.split(".")[2] for name in imports(path) if name.startswith("intake.flow.")}
        back[place_of(path)] = used - {own} - below
    assert {place: used for place, used in back.items() if used} == {}


def test_one_name_a_class_and_one_name_a_module_in_its_ring() -> None:
    classes: Counter[str] = Counter()
    modules: Counter[tuple[str, str]] = Counter()
    for path in FILES:
        if "migrations" in path.parts:
            continue
        classes.update(node.name for node in nodes(path) if isinstance(node, ast.ClassDef))
        if path.stem != "__init__":
            modules[(RING[layer(path)], path.stem)] += 1
    assert [name for name, count in classes.items() if count > 1] == []
    assert [name for name, count in modules.items() if count > 1] == []


def test_the_picture_for_newcomers_shows_every_package() -> None:
    picture = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## The picture")[2].partition("```")[2]
    drawn = picture.partition("```")[0]
    packages = {path.parent.relative_to(PACKAGE).as_posix() for path in FILES if path.name == "__init__.py"} - {"."}
    top = {package for package in packages if "/" not in package}
    stages = {package.partition("/")[2] for package in packages if package.startswith("flow/")}
    assert {name for name in top | stages if f"{name}/" not in drawn} == set()
    words = {word.removesuffix("/") for word in drawn.split() if word.endswith("/") and word != "intake/"}
    assert words - top - stages == set()
