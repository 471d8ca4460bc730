"""One glossary: a framer's words on screens, paper and pages of a worked shop; no old ones."""

import ast
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

import pytest

from stockroom.paper.cut_sheet import cut_sheet
from stockroom.paper.drawing import Words
from stockroom.paper.pictures import plan_picture
from stockroom.services.morning.sheets import sheet_of
from stockroom.services.shop import open_shop
from stockroom.words.languages import table_of
from tests.paper.reading import pages_of
from tests.stockroom.cli.bench import run
from tests.stockroom.conftest import MONDAY, stocked

HOUSE = Path(__file__).parents[2] / "stockroom"


@dataclass(frozen=True)
class Word:
    """Where a framer's word is shown, and the pattern of what is said no more in its stead."""

    shown: tuple[str, ...]
    never: str


GLOSSARY = {
    "can't be cut today": Word(
        ("plan", "sheet", "plan.html", "order"), r"^short$|^short:|\bshort today|stays? short\b"
    ),
    "leave (it )?alone": Word(("plan", "plan.html"), r"(and|is) barred|\bbars and\b|--pin, --bar"),
    "shortest kept": Word(("profile ASH-22",), r"keep[ _]length"),
    "dead offcuts": Word(("dead --help", "readymade --help"), r"\bidle\b"),
    "proposed": Word(
        ("plan", "plan.html", "morning.html"),
        r"\bplan[^.;]{0,20} draft|\bdraft[^.;]{0,12} plan\b|^ is a draft\.$|not a draft",
    ),
    "usual": Word(("order",), r"\blikely\b"),
    "spare": Word(("order",), r"to be safe"),
    r"in \d+ of \d+ weeks": Word(("order",), r"(?-i:\b(SBA|TSB)\b)"),
    r"cut to size \(chop\)": Word(
        ("ways J2", "order --help", "history J2"), r"\b(rails|came|it|nothing) cut to size$"
    ),
    "picked by eye": Word(
        ("sheet", "replay"), r"(?<!hold them )\bby hand\b|\bbest fit\b"
    ),
    "cutting loss": Word(
        ("plan", "sheet", "drawing", "history J1", "numbers waste", "moulding-price J1",
         "numbers.html"), r"saw loss|lost at the saw|\bsaw:? [-+]?\d|dark: saw|the saw black",
    ),
}  # fmt: skip
"""A framer's words. What is said of a spare stick tells its evidence, not a method's initials."""
COMMANDS = (
    "plan", "accept 1", "cut --as-planned", "profile ASH-22", "history J1", "numbers waste",
    "moulding-price J1", "ways J2", "order", "replay", "dead --help", "readymade --help",
    "order --help", "supplied J2 B7", "history J2",
)  # fmt: skip


@pytest.fixture(scope="module")
def shown(tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, str]:
    """All that a small shop shows: its commands' screens, its cut sheet, its pages' templates."""
    folder = tmp_path_factory.mktemp("worked")
    where = str(folder / "shop.db")
    stocked(where).engine.dispose()
    past = folder / "past.csv"
    days = [(MONDAY - timedelta(7 * n), MONDAY - timedelta(7 * n - 5)) for n in range(1, 31)]
    past.write_text("day,profile,width,height,quantity,due\n" + "".join(
        f"{day},ASH-22,900,900,1,{due}\n" for day, due in days), "utf-8")  # fmt: skip
    told = {}
    take = "take --customer A --due 2026-11-23 -w {} --height {} -p ASH-22"
    begun = (f"load-past {past}", "receive ASH-22 B1 3000", take.format(400, 300),
             take.format(900, 900), "supplier LARK --set cut_percent=5")  # fmt: skip
    for typed in begun + COMMANDS:
        done = run(where, *typed.split())
        assert done.exit_code == 0, f"{typed}: {done.output}"
        told[typed] = done.output
        if typed == "plan":
            told |= on_paper(where)
    return told | {path.name: text_of(path) for path in HOUSE.rglob("*.html")}


def on_paper(where: str) -> dict[str, str]:
    """What the first plan's sheet and its drawing say."""
    shop = open_shop(where, "ada", MONDAY)
    sheet = sheet_of(shop, 1)
    pages = pages_of(cut_sheet(sheet, shop.settings))
    drawn = plan_picture(sheet, shop.settings).marks
    shop.engine.dispose()
    words = [mark.text for mark in drawn if isinstance(mark, Words)]
    return {"sheet": "\n".join(page.extract_text() for page in pages), "drawing": "\n".join(words)}


def text_of(template: Path) -> str:
    """What a template shows: its text without tags and expressions, the words in these too."""
    code = re.sub(r"\{#.*?#\}|<[^>]*>", " ", template.read_text("utf-8"), flags=re.DOTALL)
    said = [match for part in re.findall(r"\{[%{].*?[%}]\}", code, re.DOTALL)
            for match in re.findall(r'"([^"]*)"', part)]  # fmt: skip
    return "\n".join([re.sub(r"\{[%{].*?[%}]\}", " ", code, flags=re.DOTALL), *said])


def sentences(path: Path) -> Iterator[str]:
    """The texts of a module that a framer may read: no docstrings, no names, no queries."""
    tree = ast.parse(path.read_text("utf-8"))
    notes = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}
    notes |= {id(name) for node in tree.body if is_list_of_names(node)
              for name in ast.walk(node)}  # fmt: skip
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in notes:
            yield node.value


def is_list_of_names(node: ast.stmt) -> bool:
    """True for a module's list of what it gives to others."""
    return isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__"


def plain(text: str) -> str:
    """A text in small letters, a space between its words."""
    return re.sub(r"[\s_-]+", " ", text.lower())


def test_a_framers_word_is_shown_where_its_thing_is(shown: Mapping[str, str]) -> None:
    for word, told in GLOSSARY.items():
        for where in told.shown:
            assert re.search(word, plain(shown[where])), f"{word}, {where}: {shown[where]}"


def test_a_word_that_no_framer_says_stands_nowhere(shown: Mapping[str, str]) -> None:
    texts = [(str(path.relative_to(HOUSE)), text) for path in sorted(HOUSE.rglob("*.py"))
             if "migrations" not in path.parts for text in sentences(path)]  # fmt: skip
    texts += shown.items()
    texts += [(part, str(said)) for part, every in table_of().items() for said in every.values()]
    for word, told in GLOSSARY.items():
        never = re.compile(told.never, re.IGNORECASE | re.MULTILINE)
        found = [(where, hit.group()) for where, text in texts for hit in never.finditer(text)]
        assert not found, f"say {word!r}: {found}"
