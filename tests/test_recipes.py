"""The recipes name what is there: each module, and what of it is to be changed."""

import ast
import re

from tests.test_architecture import ROOT, parsed

RECIPES = (
    (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").split("## Recipes")[1].split("## ")[0]
)
NAMED = re.compile(r"(?:`([A-Za-z_]+)` (?:in|of) )?`([a-z_/]+\.py)`(?: \(`([a-z_]+)`)?")
"""A module, with what is changed there before it or after."""
ROWS = 20


def test_the_recipes_name_modules_that_are_there_and_what_is_in_them() -> None:
    faults = []
    for before, module, after in NAMED.findall(RECIPES):
        path = next((path for path in (ROOT / module, ROOT / "stockroom" / module)
                     if path.exists()), None)  # fmt: skip
        name = before or after
        if path is None or (name and name not in held(parsed(path))):
            faults.append((module, name))
    assert len(RECIPES.strip().splitlines()) > ROWS
    assert faults == []


def held(tree: ast.Module) -> set[str]:
    """The functions, classes and values of a module."""
    named = {getattr(node, "name", "") for node in tree.body}
    targets = [node.targets[0] for node in tree.body if isinstance(node, ast.Assign)]
    return named | {ast.unparse(target) for target in targets}
