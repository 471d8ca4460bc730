"""One glossary: a framer's words on screens, paper, pages and in refusals; the old ones nowhere.

Where each new word stands is held by the goldens, the guide and the README, which print them.
"""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

HOUSE = Path(__file__).parents[2] / "stockroom"
GLOSSARY = {
    "shortest offcut kept": r"keep length",
    "cutting loss": r"saw loss",
    "dead offcuts": r"idle (offcuts?|ones)|is idle",
    "proposed": r"plan[^.;]{0,20} drafted|drafted:? plan",
    "leave alone": r"(?:and|is) barred",
    "spare": r"to be safe",
    "picked by eye": r"^by hand$",
    "how it was reckoned, in words": r"(?-i:SBA|TSB)",
}
"""Each word that a framer says, and the pattern of what is said no more."""


def sentences(path: Path) -> Iterator[str]:
    """The texts of a module that a framer may read: no docstrings, no names, no queries."""
    tree = ast.parse(path.read_text("utf-8"))
    notes = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in notes:
            yield node.value


def shown(path: Path) -> str:
    """What a template shows: its text without tags and expressions."""
    return re.sub(r"\{[%#{].*?[%#}]\}|<[^>]*>", " ", path.read_text("utf-8"), flags=re.DOTALL)


@pytest.mark.parametrize("word", GLOSSARY)
def test_a_word_that_no_framer_says_stands_nowhere(word: str) -> None:
    old = re.compile(rf"\b(?:{GLOSSARY[word]})\b", re.IGNORECASE)
    found = [f"{path.relative_to(HOUSE)}: {text!r}"
             for path in sorted(HOUSE.rglob("*.py")) if "migrations" not in path.parts
             for text in sentences(path) if old.search(text)]  # fmt: skip
    found += [f"{path.name}: {hit.group()}" for path in sorted(HOUSE.rglob("*.html"))
              for hit in old.finditer(shown(path))]  # fmt: skip
    assert not found, f"say {word!r}: {found}"
