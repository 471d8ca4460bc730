"""The shape of the house: who imports whom, where heavy libraries live, how large rooms are."""

import ast
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PACKAGES = ("planner", "stockroom", "demo", "seeds")
HEAVY = ("ortools", "highspy", "rich", "alembic", "fpdf", "PIL", "segno")
KEPT = (
    "stockroom",
    "stockroom.record.tables",
    "stockroom.record.order_tables",
    "stockroom.record.columns",
)
"""Tables are put on one list as they are imported, so these are imported once."""
FRONTS = ("stockroom.cli", "stockroom.screens", "stockroom.paper")
SHOP = ("stockroom.services", "stockroom.record", "sqlmodel")
LONGEST_MODULE, LONGEST_FUNCTION, FULLEST_FOLDER = 300, 40, 21


def modules(*packages: str) -> list[Path]:
    """The Python files of these packages."""
    return sorted(path for package in packages for path in (ROOT / package).rglob("*.py"))


def named(path: Path) -> str:
    """A file's module name."""
    parts = path.relative_to(ROOT).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def imports(path: Path, *, only_at_top: bool = False) -> Iterator[str]:
    """The modules that a file imports, anywhere in it or outside its functions only."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    for node in ast.walk(tree) if not only_at_top else outside_functions(tree):
        if isinstance(node, ast.Import):
            yield from (name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module:
            yield node.module


def outside_functions(tree: ast.AST) -> Iterator[ast.AST]:
    """The nodes of a module that run when it is imported (type-checking blocks left out)."""
    for child in ast.iter_child_nodes(tree):
        if isinstance(child, ast.FunctionDef | ast.AsyncFunctionDef | ast.Lambda):
            continue
        if isinstance(child, ast.If) and "TYPE_CHECKING" in ast.dump(child.test):
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
        ("stockroom", "PIL"),
        ("stockroom", "segno"),
    ],
)
def test_a_heavy_library_lives_in_one_module(package: str, library: str) -> None:
    assert len(importers(package, library)) == 1


def test_the_shop_plans_only_through_the_planner() -> None:
    assert importers("stockroom", "ortools") | importers("stockroom", "highspy") == set()


def test_alembic_is_imported_by_the_schema_and_its_migrations_alone() -> None:
    users = importers("stockroom", "alembic")
    assert all(name == "stockroom.record.schema" or ".migrations." in name for name in users)


@pytest.mark.parametrize("path", modules("planner", "stockroom"), ids=named)
def test_no_module_imports_a_heavy_library_when_it_is_imported(path: Path) -> None:
    if ".migrations." not in named(path):
        tops = {name.split(".")[0] for name in imports(path, only_at_top=True)}
        assert not tops & set(HEAVY)


@pytest.mark.parametrize(
    ("lower", "higher"),
    [
        ("stockroom/units", (*FRONTS, *SHOP, "stockroom.frame", "stockroom.settings", "planner")),
        ("stockroom/frame", (*FRONTS, *SHOP, "stockroom.settings", "planner")),
        ("stockroom/settings", (*FRONTS, "stockroom.services", "planner")),
        ("stockroom/files", (*FRONTS, *SHOP, "stockroom.settings", "planner")),
        ("stockroom/record", (*FRONTS, "stockroom.services", "stockroom.settings", "planner")),
        ("stockroom/worth", (*FRONTS, *SHOP)),
        ("stockroom/buying", (*FRONTS, *SHOP)),
        ("stockroom/insight", (*FRONTS, *SHOP, "planner")),
        ("stockroom/views", (*FRONTS, *SHOP)),
        ("stockroom/replay", (*FRONTS, *SHOP)),
        ("stockroom/services", ("stockroom.cli", "stockroom.screens")),
        ("stockroom/screens", ("stockroom.cli", "stockroom.paper", *SHOP, "planner")),
        ("stockroom/paper", ("stockroom.cli", "stockroom.screens", *SHOP, "planner")),
    ],
)
def test_nothing_imports_what_stands_above_it(lower: str, higher: tuple[str, ...]) -> None:
    base = ROOT / lower
    files = [base] if base.suffix else sorted(base.rglob("*.py"))
    assert files
    for path in files:
        assert not [name for name in imports(path) if name.startswith(higher)], named(path)


def test_no_folder_of_the_shop_holds_more_modules_than_one_takes_in() -> None:
    held = Counter(path.parent for path in modules("stockroom") if path.name != "__init__.py")
    assert not [folder for folder, many in held.items() if many > FULLEST_FOLDER]


@pytest.mark.parametrize("path", modules(*PACKAGES), ids=named)
def test_modules_and_functions_are_small(path: Path) -> None:
    text = path.read_text(encoding="utf-8")
    if ".migrations.versions" in named(path):
        return
    assert len(text.splitlines()) <= LONGEST_MODULE
    functions = [n for n in ast.walk(ast.parse(text)) if isinstance(n, ast.FunctionDef)]
    # A command's signature is its options; its body is what counts.
    long = [f.name for f in functions if body_lines(f) > LONGEST_FUNCTION]
    assert not long


def body_lines(function: ast.FunctionDef) -> int:
    """How many lines a function's body has, its docstring aside."""
    body = function.body
    if isinstance(body[0], ast.Expr) and isinstance(body[0].value, ast.Constant):
        body = body[1:]
    return (body[-1].end_lineno or 0) - body[0].lineno + 1 if body else 0


@pytest.mark.parametrize("path", modules(*PACKAGES), ids=named)
def test_every_public_name_is_documented(path: Path) -> None:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    kinds = (ast.FunctionDef, ast.ClassDef)
    bare = [
        n.name
        for n in tree.body
        if isinstance(n, kinds) and not n.name.startswith("_") and not ast.get_docstring(n)
    ]
    assert ast.get_docstring(tree)
    assert bare == []


def loaded_after(code: str) -> set[str]:
    """The top-level modules that a fresh process holds after running this code."""
    report = "import sys; print('\\n'.join({name.split('.')[0] for name in sys.modules}))"
    done = subprocess.run(
        [sys.executable, "-c", f"{code}\n{report}"], capture_output=True, text=True, check=True,
        cwd=ROOT,
    )  # fmt: skip
    return set(done.stdout.split())


def test_the_command_line_loads_nothing_heavy_until_a_command_runs() -> None:
    heavy = {"sqlmodel", "sqlalchemy", "ortools", "highspy", "rich", "alembic", "numpy", "pandas"}
    assert not loaded_after("import stockroom.cli") & heavy


def test_commands_that_plan_nothing_load_no_solver(tmp_path: Path) -> None:
    shop = str(tmp_path / "shop.db")
    code = (
        "from stockroom.cli import app\n"
        f"app(['--shop', {shop!r}, 'setup'], standalone_mode=False)\n"
        f"app(['--shop', {shop!r}, 'jobs', '--as', 'csv'], standalone_mode=False)\n"
        f"app(['--shop', {shop!r}, 'find', '--as', 'csv'], standalone_mode=False)\n"
    )
    assert not loaded_after(code) & {"ortools", "highspy", "pandas"}


def test_every_module_can_be_imported_first() -> None:
    names = [
        named(path)
        for path in modules(*PACKAGES)
        if ".migrations" not in named(path) and not named(path).endswith("__main__")
    ]
    code = (
        "import importlib, sys\n"
        f"for name in {names!r}:\n"
        "    for known in [k for k in sys.modules if k.split('.')[0] in "
        f"{PACKAGES!r} and k not in {KEPT!r}]:\n"
        "        del sys.modules[known]\n"
        "    importlib.import_module(name)\n"
    )
    assert "stockroom" in loaded_after(code)
