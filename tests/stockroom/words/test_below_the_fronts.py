"""Below the fronts stand codes and names, each in the table of words; no sentence, no phrase."""

import ast
import builtins
import re
from collections.abc import Iterator
from pathlib import Path

from stockroom.words.languages import ENGLISH, read, table_of

ROOT = Path(__file__).parents[3]
ROOMS = ("units", "frame", "settings", "files", "record", "worth", "buying", "insight", "views",
         "services")  # fmt: skip
FOR_PROGRAMS = ("CheckConstraint", "Index", "text", "asked", "re.compile", "fullmatch", "execute",
                "exec_driver_sql", "strftime", "held", "cast")  # fmt: skip
"""Calls whose texts are read by a database or a program; the first of a rule is its name."""
BUGS = {"LedgerBug", "DisconnectionError", "psycopg.OperationalError"}
"""Faults of the program itself, beside those that Python has; who reads them mends it."""
QUERY = r"^\s*(SELECT|SET|COPY|PRAGMA|BEGIN|CREATE|ALTER|UNION|FROM|WHERE) "
SQL = re.compile(QUERY + r"|SET LOCAL| \|\| |AS BIGINT|COALESCE|\(f\.|^\[")
TYPED = {" in", "up to", "sat sun", "waste 20 %",
         "letter 3x10 of 66.675x25.4 from 4.7625x12.7 every 69.85x25.4", "beside the record",
         "long point", "not there", "not today", "The workshop", " UTC", "YYYY-MM-DD HH24:MI:SS.US",
         "white ash", "red maple", "ponderosa pine", "red pine", "sugar maple", " days ahead",
         ", together", "coming ", "row ", "profile's name", "profile's species", "supplier's name",
         "supplier's note", "supplier's reference", "name of who is at the bench", "due day",
         "gap or allowance", " or ", " sides", "strainer "}  # fmt: skip
"""How something is typed, spelt or numbered; what a column or a field is called."""
TOLD_BY_DATABASES = {"not a database", "unable to open", "No space left", "disk I/O",
                     " point nowhere", "Could not decode", "wait timeout expired",
                     "no reason given",
                     "rows of ",
                     "the shop's database", "the schema ", "rows as they were before this change",
                     "what the rows of before hold"}  # fmt: skip
KEPT = {"load profiles", "load suppliers", "add profile", "change profile", "add supplier",
        "change supplier", "take in", "take for stock", "not made after all", "rail cut afresh",
        "draft order", "leave line", "place order", "change order", "cancel order",
        "write off", "written off",
        "past jobs", "loaded from ", "numbers given: ", "cut to size", "a miscut rail",
        "a miscut rail, taken as planned less a cut", " was taken out", "for stock", "ready made ",
        " is ", "order ", "entry ", "quote ", "table ", "setting ", "piece ", "rack ", "rail ",
        " of ",
        "to order"}  # fmt: skip
"""Kinds, causes and reasons of entries as the record keeps them, and what it calls its rows."""
READ_ELSEWHERE = TYPED | TOLD_BY_DATABASES | KEPT


def passed_over(tree: ast.AST) -> set[int]:
    """The texts that are for programs: documents, types, formats, patterns, queries, bugs."""
    found: set[int] = set()
    for node in ast.walk(tree):
        parts: list[ast.AST] = []
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            parts = [node.value]
        elif isinstance(node, ast.Raise) and isinstance(node.exc, ast.Call):
            kind = ast.unparse(node.exc.func)
            parts = [node.exc] if hasattr(builtins, kind) or kind in BUGS else []
        elif isinstance(node, ast.Call) and ast.unparse(node.func).endswith(FOR_PROGRAMS):
            parts = [*node.args[ast.unparse(node.func) == "asked" :]]
        elif isinstance(node, ast.FunctionDef):
            parts = [one for one in (node.returns, *(a.annotation for a in node.args.args)) if one]
        elif isinstance(node, ast.FormattedValue) and node.format_spec:
            parts = [node.format_spec]
        found |= {id(one) for part in parts for one in ast.walk(part)}
    return found


def phrases(tree: ast.AST) -> Iterator[ast.Constant]:
    """The texts that have a blank within them, or beside a word where they are part of one."""
    pieces = {id(part) for node in ast.walk(tree) if isinstance(node, ast.JoinedStr)
              for part in node.values}  # fmt: skip
    over = passed_over(tree)
    for node in ast.walk(tree):
        if not isinstance(node, ast.Constant) or not isinstance(node.value, str):
            continue
        text = node.value if id(node) in pieces else node.value.strip()
        # What begins with a digit is a length, or sizes.
        if " " in text and re.match(r"[^0-9]*[A-Za-z]{2}", text) and id(node) not in over:
            yield node


def test_what_is_said_to_people_stands_in_the_table_of_words() -> None:
    """A new sentence below the fronts fails here: it wants a code, and its words in the table."""
    known = {code for part, every in table_of().items() if not part.startswith("do_")
             for code in every} | READ_ELSEWHERE  # fmt: skip
    faults = [
        f"{path.relative_to(ROOT)}:{node.lineno}: {node.value!r}"
        for room in ROOMS
        for path in sorted((ROOT / "stockroom" / room).rglob("*.py"))
        if "migrations" not in path.parts
        for node in phrases(ast.parse(path.read_text(encoding="utf-8")))
        if node.value not in known and not SQL.search(str(node.value))
        and "?P<" not in str(node.value)
    ]  # fmt: skip
    assert faults == []


def test_a_sentence_in_place_would_be_found() -> None:
    told = 'def said(n: int) -> str:\n    """A document."""\n    return f"{n} sticks to come"\n'
    assert [node.value for node in phrases(ast.parse(told))] == [" sticks to come"]
    assert not list(phrases(ast.parse('raise ValueError("a rail of nothing")')))


def words_of_fronts() -> Iterator[tuple[str, str]]:
    """The words of paper, screens and lists that they ask for by themselves."""
    for room in ("paper", "screens", "listings", "words"):
        for path in sorted((ROOT / "stockroom" / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                if isinstance(node, ast.Call) and ast.unparse(node.func) == "word" and node.args:
                    first = node.args[0]
                    if isinstance(first, ast.Constant):
                        yield str(path.relative_to(ROOT)), str(first.value)


def test_the_words_of_paper_and_lists_stand_in_the_same_table() -> None:
    known = {**table_of()["names"], **read(ENGLISH, "command_line")["command_line"]}
    assert [(where, told) for where, told in words_of_fronts() if told not in known] == []
