"""What a signature says by itself: what it raises, and what its lengths are measured in."""

import ast
import re
from collections.abc import Iterator

from tests.test_architecture import PACKAGES, modules, named, parsed


def test_every_public_function_that_raises_says_so() -> None:
    """Methods of public classes too."""
    faults = []
    # What a command or a page refuses is told to whoever is at it, not to a caller.
    fronts = {*modules("stockroom/cli"), *modules("stockroom/page")}
    for path in (path for path in modules(*PACKAGES) if path not in fronts):
        tree = parsed(path)
        public = {
            element.value
            for node in tree.body
            if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"
            for element in getattr(node.value, "elts", ())
        }
        shown = [node for node in tree.body if getattr(node, "name", "") in public]
        methods = [node for owner in shown if isinstance(owner, ast.ClassDef)
                   for node in owner.body
                   if not getattr(node, "name", "_").startswith("_")]  # fmt: skip
        faults += [f"{named(path)}.{node.name}"
                   for node in (*shown, *methods)
                   if isinstance(node, ast.FunctionDef)
                   and any(isinstance(inner, ast.Raise) and inner.exc for inner in ast.walk(node))
                   and "Raises:" not in (ast.get_docstring(node) or "")]  # fmt: skip
    assert faults == []


LENGTHS = {
    "length", "lengths", "width", "height", "depth", "kerf", "allowance", "trim", "overlap", "keep",
    "margin", "longest", "shortest", "leftover", "across", "upright", "face", "gap", "um", "clear",
    "rails", "stick_length", "cover",
}  # fmt: skip
"""Names that are a length's, unless the module says otherwise."""
NO_LENGTHS = {
    "stockroom.buying.order_terms": "gap", "stockroom.frame.standard_sizes": "width height",
    "stockroom.paper.codes": "across", "stockroom.units.texts": "longest",
    "stockroom.record.jobs": "rails", "stockroom.worth.choose_batch": "rails",
}  # fmt: skip
"""Money, half inches, dots of a code, characters, rails by number."""


def slots(tree: ast.AST) -> Iterator[tuple[str, str, str]]:
    """Every argument and field of a module that is annotated: whose, its name, its type."""
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef):
            arguments = (*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs)
            for one in arguments:
                if one.annotation is not None:
                    yield node.name, one.arg, ast.unparse(one.annotation)
        elif isinstance(node, ast.ClassDef):
            for field in node.body:
                if isinstance(field, ast.AnnAssign):
                    yield node.name, ast.unparse(field.target), ast.unparse(field.annotation)


def test_every_length_names_its_unit() -> None:
    """By its type, Micrometres, or by the end of its name."""
    whole = re.compile(r"\bint\b")
    faults = [
        f"{named(path)}.{owner}: {name}: {kind}"
        for path in modules("planner", "stockroom")
        # The plain engine knows no unit; a terminal's lengths are columns.
        if not named(path).startswith(("planner.cuttingstock", "stockroom.screens"))
        for owner, name, kind in slots(parsed(path))
        if name in LENGTHS - set(NO_LENGTHS.get(named(path), "").split())
        and whole.search(kind.replace("Mapping[int, ", "")) and kind != "dict[int, int]"
        and not (name == "rails" and kind == "int")
    ]  # fmt: skip
    assert faults == []
