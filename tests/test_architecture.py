"""The shape of the house: who imports whom, where heavy libraries live, how large rooms are."""

import ast
import re
import subprocess
import sys
from collections import Counter
from collections.abc import Collection, Iterator
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("planner", "stockroom", "demo", "seeds")
HEAVY = ("ortools", "highspy", "rich", "alembic", "fpdf", "PIL", "segno")
BELOW_FRONTS = (
    "units", "frame", "files", "record", "worth", "buying", "insight", "views", "services",
)  # fmt: skip
NOT_RUN = re.compile("TYPE_CHECKING|__main__")
LONGEST_MODULE, LONGEST_FUNCTION, FULLEST_FOLDER = 300, 40, 20


SHOP_BASE = {"record", "services", "units"}
MAY_KNOW: dict[str, set[str]] = {
    # Below, what knows neither a record nor a front.
    "": set(), "units": set(), "files": set(), "insight": {"units"}, "worth": {"planner"},
    "frame": {"units"}, "buying": {"planner", "units"}, "replay": {"planner", "worth"},
    # The record, and the settings that it keeps.
    "record": {"files", "frame", "units"}, "settings": {"frame", "record", "units", "words"},
    "views": {"frame", "planner", "settings", "units"},
    # The services, those of the rack lowest; the first is who is at the bench, and the planner.
    "services": {"frame", "planner", "record", "settings", "units"},
    "services.rack": SHOP_BASE | {"files", "settings"},
    "services.counter": SHOP_BASE | {"files", "frame", "services.rack", "settings"},
    "services.catalogue": SHOP_BASE | {"files", "seeds", "services.counter", "services.rack",
                                       "settings"},
    "services.record": {"files", "record", "services", "settings", "units"},
    "services.past": {"buying", "files", "planner", "record", "services",
                      "services.counter", "settings", "units"},
    "services.morning": SHOP_BASE | {"frame", "planner", "services.counter", "services.past",
                                     "services.rack", "settings", "views", "worth"},
    "services.saw": SHOP_BASE | {"files", "frame", "insight", "paper", "planner",
                                 "services.counter", "services.morning", "services.rack",
                                 "settings", "views"},
    "services.weekly": SHOP_BASE | {"buying", "frame", "planner", "services.counter",
                                    "services.morning", "services.past", "services.rack",
                                    "settings"},
    "services.insight": SHOP_BASE | {"buying", "frame", "insight", "planner", "replay", "settings",
                                     "services.counter", "services.morning", "services.past",
                                     "services.rack", "views", "worth"},
    "services.now": SHOP_BASE | {"services.counter", "services.morning", "services.saw",
                                 "services.weekly"},
    # What is said of values; then the fronts: only commands and pages ask services.
    "words": {"planner", "units"},
    "paper": {"frame", "settings", "units", "views", "words"},
    "screens": {"files", "frame", "settings", "units", "views", "words"},
    "listings": {"frame", "paper", "record", "services", "services.counter", "services.weekly",
                 "settings", "units", "words", "views"},
    "page": {"files", "frame", "listings", "paper", "record", "settings", "units", "views",
             "words"},
    "cli": {"demo", "files", "frame", "insight", "listings", "page", "paper", "planner", "record",
            "screens", "settings", "units", "views", "words"},
}  # fmt: skip
"""Which rooms of the house each of the shop's may know; fronts may know all services too."""
TWO_MEANINGS = {"enumeration", "solve", "values", "schema", "sizes", "days"}
"""The plain engine's parts are named as the planner's that do the same for frames; schemas are of
JSON and of tables; benchmarks are named for what they measure."""

BOTH_SIDES = {"Frame": "stockroom.record.tables", "Piece": "stockroom.record.tables",
              "Plan": "stockroom.record.order_tables"}  # fmt: skip
"""Classes that the planner's values and the record's rows are called alike: the same thing, asked
about and written down."""


def modules(*packages: str) -> list[Path]:
    """The Python files of these packages."""
    return sorted(path for package in packages for path in (ROOT / package).rglob("*.py"))


def named(path: Path) -> str:
    """A file's module name."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


@cache
def parsed(path: Path) -> ast.Module:
    """A file, read once for all tests."""
    return ast.parse(path.read_text(encoding="utf-8"))


@cache
def imports(path: Path, *, only_at_top: bool = False) -> tuple[str, ...]:
    """The modules that a file imports, anywhere in it or outside its functions only."""
    found: list[str] = []
    for node in ast.walk(parsed(path)) if not only_at_top else outside_functions(parsed(path)):
        if isinstance(node, ast.Import):
            found += [name.name for name in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.append(node.module)
    return tuple(found)


def outside_functions(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes of a module that run when it is imported, by a program and not as one."""
    for child in ast.iter_child_nodes(tree):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(child, ast.If) and NOT_RUN.search(ast.dump(child.test)):
            continue
        yield child
        yield from outside_functions(child)


def importers(package: str, library: str) -> set[str]:
    """The modules of a package that import a library."""
    return {
        named(path)
        for path in modules(package)
        if any(name == library or name.startswith(f"{library}.") for name in imports(path))
    }


@pytest.mark.parametrize(
    "stranger", ["stockroom", "sqlmodel", "sqlalchemy", "typer", "rich", "demo"]
)
def test_the_planner_knows_no_shop_no_database_and_no_screen(stranger: str) -> None:
    assert importers("planner", stranger) == set()


@pytest.mark.parametrize(
    ("package", "library"),
    [
        ("planner", "ortools"),
        ("planner", "highspy"),
        ("planner", "threadpoolctl"),
        ("stockroom", "rich"),
        ("stockroom", "fpdf"),
        ("stockroom", "zxingcpp"),
        ("stockroom", "segno"),
    ],
)
def test_a_heavy_library_lives_in_one_module(package: str, library: str) -> None:
    assert len(importers(package, library)) == 1


def test_pictures_are_drawn_for_paper_and_photos_read_for_pages() -> None:
    assert importers("stockroom", "PIL") == {
        "stockroom.page.label_photo",
        "stockroom.paper.drawing",
    }


@pytest.mark.parametrize(
    ("library", "module"),
    [("uvicorn", "stockroom.page.server"), ("jinja2", "stockroom.page.rendering"),
     ("starlette", "stockroom.page"), ("pydantic", "stockroom.page"),
     ("cryptography", "stockroom.page")],
)  # fmt: skip
def test_what_serves_pages_is_known_to_the_page_alone(library: str, module: str) -> None:
    assert all(name.startswith(module) for name in importers("stockroom", library))
    assert importers("planner", library) == set()


def test_the_planner_reads_and_writes_its_json_by_a_schema_and_there_alone() -> None:
    assert importers("planner", "pydantic_core") == {"planner.io.fields", "planner.io.schema"}


def test_the_shop_plans_only_through_the_planner() -> None:
    assert importers("stockroom", "ortools") | importers("stockroom", "highspy") == set()


def test_the_services_ask_the_planner_through_one_door() -> None:
    values = {"planner.values", "planner.stretches", "planner.worth", "planner.score"}
    faults = [
        f"{named(path)} imports {name}"
        for path in modules("stockroom/services")
        for name in imports(path)
        if name.split(".")[0] == "planner" and name not in values
        and named(path) != "stockroom.services.planning"
    ]  # fmt: skip
    assert faults == []


def test_nothing_below_the_fronts_words_a_command() -> None:
    """What to do is a value there (Remedy); the command line and the page word it."""
    command = re.compile(r"\bstockroom [a-z]|(?<![\w-])--[a-z]")
    faults = [
        f"{named(path)}: {node.value}"
        for path in modules(*(f"stockroom/{room}" for room in BELOW_FRONTS))
        if ".migrations" not in named(path)
        for node in ast.walk(parsed(path))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
        and not node.value.count("\n") and command.search(node.value)
    ]  # fmt: skip
    assert faults == []


def test_alembic_is_imported_by_the_schema_and_its_migrations_alone() -> None:
    users = importers("stockroom", "alembic")
    assert all(name == "stockroom.record.schema" or ".migrations." in name for name in users)


def test_only_what_replays_a_shop_knows_the_simulator() -> None:
    users = importers("stockroom", "stockroom.replay")
    known = {name for name in users if not name.startswith("stockroom.replay")}
    assert known == {f"stockroom.services.insight.{n}" for n in ("replay_shop", "replayed_days")}


def test_no_module_imports_a_heavy_library_when_it_is_imported() -> None:
    faults = [
        f"{named(path)} imports {name}"
        for path in modules("planner", "stockroom")
        for name in imports(path, only_at_top=True)
        if name.split(".")[0] in HEAVY and ".migrations." not in named(path)
    ]
    assert faults == []


def room(name: str) -> str:
    """The room of the shop that a module stands in; what belongs to all is in none."""
    parts = name.split(".")
    if parts[0] != "stockroom":
        return parts[0]
    for deep in (3, 2) if parts[1:2] == ["services"] else (2,):
        if len(parts) >= deep and (ROOT / Path(*parts[:deep])).is_dir():
            return ".".join(parts[1:deep])
    return ""


def doors() -> dict[str, set[str]]:
    """Which other rooms the modules of each room of the shop know."""
    known, found = known_modules(), dict[str, set[str]]()
    for name, path in known.items():
        if name.startswith("stockroom."):
            others = {room(other) for other in needed(path, known, top=False)}
            found.setdefault(room(name), set()).update(others - {room(name), ""})
    return found


def test_a_room_knows_only_the_rooms_that_it_may() -> None:
    faults = [
        f"{name} knows {other}"
        for name, others in sorted(doors().items())
        for other in sorted(others)
        if other not in MAY_KNOW[name]
        and not (name in ("cli", "page") and other.startswith("services"))
    ]
    assert faults == []


def test_rooms_know_each_other_in_no_circle() -> None:
    assert list(TopologicalSorter(doors()).static_order())


def test_a_name_stands_for_one_module() -> None:
    """A front's module may bear the name of what it fronts."""
    held: dict[str, list[str]] = {}
    for name, path in known_modules().items():
        front = name.startswith(("stockroom.cli.", "stockroom.page."))
        if path.name != "__init__.py" and not front:
            held.setdefault(name.rpartition(".")[2], []).append(name)
    files = {name: paths for name, paths in held.items() if len(paths) > 1}
    assert files.keys() - TWO_MEANINGS == set(), files


def test_a_name_stands_for_one_class() -> None:
    """What a module keeps to itself aside, and what is one thing on both sides of the door."""
    held: dict[str, list[str]] = {}
    for path in modules(*PACKAGES):
        for node in parsed(path).body if ".migrations" not in named(path) else ():
            if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                held.setdefault(node.name, []).append(named(path))
    several = {name: where for name, where in held.items() if len(where) > 1}
    assert several == {name: ["planner.values", BOTH_SIDES[name]] for name in BOTH_SIDES}


def test_no_folder_holds_more_modules_than_one_takes_in() -> None:
    held = Counter(path.parent for path in modules(*PACKAGES) if path.name != "__init__.py")
    assert not [folder for folder, many in held.items() if many > FULLEST_FOLDER]


def functions_of(tree: ast.AST) -> list[ast.FunctionDef]:
    """Every function of a module, methods too."""
    return [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]


def test_modules_and_functions_are_small() -> None:
    faults = []
    for path in modules(*PACKAGES):
        if ".migrations.versions" in named(path):
            continue
        text = path.read_text(encoding="utf-8")
        if len(text.splitlines()) > LONGEST_MODULE:
            faults.append(f"{named(path)} has {len(text.splitlines())} lines")
        # A command's signature is its options; its body is what counts.
        faults += [f"{named(path)}.{function.name} has {body_lines(function)} lines"
                   for function in functions_of(parsed(path))
                   if body_lines(function) > LONGEST_FUNCTION]  # fmt: skip
    assert faults == []


def body_lines(function: ast.FunctionDef) -> int:
    """How many lines a function's body has, its docstring aside."""
    body = function.body
    if isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant):
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


def test_every_public_name_is_documented() -> None:
    kinds = (ast.FunctionDef, ast.ClassDef)
    faults = []
    for path in modules(*PACKAGES):
        tree = parsed(path)
        faults += [f"{named(path)}.{node.name}"
                   for node in tree.body
                   if isinstance(node, kinds) and not node.name.startswith("_")
                   and not ast.get_docstring(node)]  # fmt: skip
        faults += [] if ast.get_docstring(tree) else [named(path)]
    assert faults == []


def loaded_after(code: str) -> set[str]:
    """The top-level modules that running this code loads, beside what a bare process holds."""
    before = "import sys; held = {name.split('.')[0] for name in sys.modules}"
    report = "print('\\n'.join({name.split('.')[0] for name in sys.modules} - held))"
    done = subprocess.run(
        [sys.executable, "-c", f"{before}\n{code}\n{report}"], capture_output=True, text=True,
        check=True, cwd=ROOT,
    )  # fmt: skip
    return set(done.stdout.split())


def test_the_command_line_loads_nothing_heavy_until_a_command_runs() -> None:
    heavy = {
        "sqlmodel",
        "sqlalchemy",
        "ortools",
        "highspy",
        "rich",
        "alembic",
        "numpy",
        "pandas",
        "starlette",
        "uvicorn",
        "jinja2",
    }
    assert not loaded_after("import stockroom.cli") & heavy


def test_commands_that_plan_nothing_load_no_solver(tmp_path: Path) -> None:
    shop = str(tmp_path / "shop.db")
    code = (
        "from stockroom.cli import app\n"
        f"app(['--shop', {shop!r}, 'setup'], standalone_mode=False)\n"
        f"app(['--shop', {shop!r}, 'jobs', '--as', 'csv'], standalone_mode=False)\n"
        f"app(['--shop', {shop!r}, 'find', '--as', 'csv'], standalone_mode=False)\n"
    )
    web = {"starlette", "uvicorn", "jinja2"}
    assert not loaded_after(code) & {"ortools", "highspy", "pandas", *web}


def known_modules() -> dict[str, Path]:
    """Every module of ours by its name, migrations and programs aside."""
    return {
        named(path): path
        for path in modules(*PACKAGES)
        if ".migrations" not in named(path) and path.name != "__main__.py"
    }


def needed(path: Path, known: Collection[str], *, top: bool = True) -> set[str]:
    """Which of our modules have to be there before this one, its own packages aside.

    With ``top`` off, those that it imports inside functions and for types alone too.
    """
    found: set[str] = set()
    for node in outside_functions(parsed(path)) if top else ast.walk(parsed(path)):
        if isinstance(node, ast.Import):
            found |= {name.name for name in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            inner = {f"{node.module}.{name.name}" for name in node.names}
            found |= inner & set(known) or {node.module}
    above = {name[:at] for name in found for at, sign in enumerate(name) if sign == "."}
    return (found | {name for name in above if not named(path).startswith(name)}) & set(known)


def test_every_module_can_be_imported_first() -> None:
    """Without circles each finds what it needs, whichever comes first; all are imported once."""
    known = known_modules()
    order = TopologicalSorter({name: needed(path, known) for name, path in known.items()})
    names = list(order.static_order())
    code = "import importlib\n" + "\n".join(f"importlib.import_module({n!r})" for n in names)
    assert "stockroom" in loaded_after(code)
