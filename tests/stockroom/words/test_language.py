"""What is told from below the fronts is a value; its code has a sentence, in any language."""

import ast
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from string import Formatter

import pytest

from stockroom.facts import Fact, Tellable
from stockroom.refusals import BadFile, Busy, Clash, Refused, StockroomError, Unknown, Unreadable
from stockroom.remedies import Do, Remedy
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres
from stockroom.words.language import Voice
from stockroom.words.languages import Table, table_of

ROOT = Path(__file__).parents[3]
FRONTS = ("cli", "page", "screens", "words")
PLACE = {"Unreadable": 1, "BadFile": 2}
"""Which argument of these has the code; of all others it is the first."""
FAMILIES = [
    kind for kind in StockroomError.__subclasses__() if kind.__module__ == StockroomError.__module__
]
KINDS = {kind.__name__ for family in FAMILIES for kind in (family, *family.__subclasses__())}
TELLING = KINDS - {"Recorded"} | {"Fact", "Reason", "_between"}
CERTAIN = ("pin_costs", "pin_seems_to_cost")
OWN = {"Unknown": {"typed", "near"}, "BadFile": {"file", "many", "faults"}}
"""What these are about beside what they are told."""
CALLED = {"fault": 2, "raise_faults": 2}
"""Functions that make a refusal of a code of theirs, and which argument has it."""


def sentences() -> dict[str, str]:
    """Every sentence with its code, and what to do about it."""
    return {
        code: told if isinstance(told, str) else " ".join(told)
        for part, every in table_of().items() if not part.startswith("do_")
        for code, told in every.items()
    }  # fmt: skip


def told_below() -> Iterator[tuple[Path, ast.Call, ast.expr]]:
    """Every refusal, fact and reason that is made below the fronts, with its code."""
    for folder in ("planner", "stockroom"):
        for path in (ROOT / folder).rglob("*.py"):
            if path.relative_to(ROOT).parts[1] in FRONTS:
                continue
            for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
                kind = ast.unparse(node.func) if isinstance(node, ast.Call) else ""
                at = PLACE.get(kind, 0) if kind in TELLING else CALLED.get(kind, 99)
                if isinstance(node, ast.Call) and len(node.args) > at:
                    yield path, node, node.args[at]


def spelt(code: ast.expr, path: Path) -> Iterator[str]:
    """The codes that an expression may stand for; what varies in it is spelt out."""
    if isinstance(code, ast.Constant):
        yield str(code.value)
    elif isinstance(code, ast.IfExp):
        yield from (*spelt(code.body, path), *spelt(code.orelse, path))
    elif isinstance(code, ast.JoinedStr):
        if "certain" in ast.unparse(code):
            yield from (start + str(getattr(code.values[-1], "value", "")) for start in CERTAIN)
    else:
        # A name stands for one of the codes that its module spells out.
        found = [node.value for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
                 if isinstance(node, ast.Constant) and isinstance(node.value, str)
                 and node.value in sentences()]  # fmt: skip
        assert found, f"{path}: {ast.unparse(code)}"
        yield from found


def test_nothing_below_the_fronts_tells_a_sentence() -> None:
    """Refusals, facts and reasons are codes there, each with its words in the table."""
    faults = [
        f"{path.relative_to(ROOT)}:{node.lineno}: {code}"
        for path, node, told in told_below()
        for code in spelt(told, path) if code not in sentences()
    ]  # fmt: skip
    assert faults == []


def test_every_sentence_is_told_of_what_it_names() -> None:
    faults = []
    for path, node, told in told_below():
        kind = ast.unparse(node.func)
        if not isinstance(told, ast.Constant) or kind not in KINDS | {"Fact"}:
            continue
        names = {word.arg for word in node.keywords} | OWN.get(kind, set())
        if kind == "Fact" and len(node.args) > 1:
            if not isinstance(node.args[1], ast.Dict):
                continue
            names |= {ast.literal_eval(key) for key in node.args[1].keys if key is not None}
        given = {str(name).removesuffix("_um").removesuffix("_minor") for name in names}
        wanted = {name for _, name, _, _ in Formatter().parse(sentences()[str(told.value)]) if name}
        faults += [f"{path.relative_to(ROOT)}:{node.lineno}: {name}" for name in wanted - given]
    assert faults == []


def test_every_sentence_is_told_by_something() -> None:
    spelt_out = {
        node.value
        for folder in ("planner", "stockroom")
        for path in (ROOT / folder).rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    varying = {
        code
        for code in sentences()
        if code.startswith((*CERTAIN, "this_", "setting_", "bars_", "shape_", "touched_"))
        or code.endswith(("_of", "_of_batch"))
    }
    assert sentences().keys() - spelt_out - varying == set()


SECOND: Table = {
    "all": {"cannot_read": ["{read:quoted} ist unklar", "möglich: {accepted}"],
            "did_you_mean": "gemeint: {near: oder }?", "of_number": "eine Zahl wie 12,5",
            "unknown_piece": "ein Stück {typed:quoted} gibt es nicht",
            "piece_is_held": "Stück {number} ist für Plan {plan} vorgemerkt ({taken})",
            "entry_made": "{kind} von {who}, {at}, Eintrag {entry}",
            "flaw_beyond_new_length": ["ein Fehler von Stück {number} reicht bis {end}",
                                       "das Stück ausbuchen"],
            "buy": "{sticks:Stange|Stangen} von {least:up} genügt"},
    "do_at_the_command_line": {"CUT_OR_LET_GO": "schneiden, oder: stockroom drop {about}"},
    "do_on_a_page": {"CUT_OR_LET_GO": "Plan {about} schneiden oder freigeben"},
}  # fmt: skip


@pytest.fixture
def german(tmp_path: Path) -> Voice:
    """The words of another language: a file, and nothing else."""
    (tmp_path / "house.toml").write_text("".join(
        f"[{part}]\n" + "".join(f"{code} = {told!r}\n" for code, told in every.items())
        for part, every in SECOND.items()
    ), encoding="utf-8")  # fmt: skip
    return Voice("on_a_page", Settings(unit="cm"), tmp_path)


def test_another_language_is_another_file(german: Voice) -> None:
    taken = Fact("entry_made", {"kind": "accept", "who": "Ada", "at": "10:40", "entry": 7})
    held = Clash("piece_is_held", Remedy(Do.CUT_OR_LET_GO, 3), number=12, plan=3, taken=taken)
    assert german.whole(held) == (
        "Stück 12 ist für Plan 3 vorgemerkt (accept von Ada, 10:40, Eintrag 7); "
        "Plan 3 schneiden oder freigeben"
    )
    flaw = Refused("flaw_beyond_new_length", number=4, end_um=Micrometres(402_000))
    assert german.whole(flaw) == "ein Fehler von Stück 4 reicht bis 40.2 cm; das Stück ausbuchen"
    assert german.whole(Unknown("unknown_piece", "1o", ("10", "1"))) == (
        "ein Stück '1o' gibt es nicht; gemeint: 10 oder 1?"
    )
    assert german.whole(Unreadable("x", "of_number")) == (
        "'x' ist unklar; möglich: eine Zahl wie 12,5"
    )
    assert german.say(Fact("buy", {"sticks": 1, "least_um": 1_000_001})) == (
        "Stange von 100.05 cm genügt"
    )


def test_each_front_tells_what_to_do_in_its_own_way_and_the_shop_s_unit() -> None:
    error = Clash("piece_held_by_plan", Remedy(Do.LET_GO, 3), number=12, plan=3)
    assert Voice("at_the_command_line").whole(error) == (
        "piece 12 is held by plan 3; let it go first: stockroom drop 3"
    )
    assert Voice("on_a_page").whole(error) == "piece 12 is held by plan 3; let plan 3 go first"
    long = Refused("length_of_no_piece", length_um=Micrometres(25_400_000))
    assert Voice("on_a_page", Settings()).say(long) == "a piece of 1000 in"
    assert Voice("on_a_page").say(long) == "a piece of 25400 mm"


def test_a_file_s_faults_are_told_a_line_each_and_the_rest_are_counted() -> None:
    column = Unreadable("x", "of_number")
    column.column = "pay"
    faults: list[tuple[int, Tellable]] = [
        (0, Fact("file_too_large")),
        (3, column),
        *((row, column) for row in range(4, 106)),
    ]
    told = Voice("on_a_page").whole(BadFile("a.csv", faults, "check_path")).split("\n")
    assert told[:3] == ["a.csv: 104 faults", "  larger than 50 MB",
                        "  row 3: pay: cannot read 'x'; accepted: a number such as 12.5, 12,5 or "
                        "1 234,50"]  # fmt: skip
    assert told[-2:] == ["  and 4 more", "check the path"]


def test_what_was_typed_is_quoted_short_and_printable() -> None:
    said = Voice("on_a_page").say(Unknown("unknown_piece", "\x1b[2J" + 60 * "y"))
    assert said.isprintable()
    assert said == "there is no piece '\\x1b[2J" + 35 * "y" + "…'"


def test_a_front_s_own_words_are_said_as_they_stand() -> None:
    error = Refused("nothing was {chosen}", "choose a piece; 5 % of {them}")
    assert Voice("on_a_page").whole(error) == (
        "nothing was {chosen}; choose a piece; 5 % of {them}"
    )


def test_a_count_is_said_with_its_noun_or_as_a_number() -> None:
    waited = Busy("another_writes_waited", seconds=0)
    assert "waited 0 s" in Voice("on_a_page").say(waited)
    for frames, said in ((1, "up to 1 frame might"), (2, "up to 2 frames might")):
        assert said in Voice("on_a_page").say(Fact("more_frames", {"frames": frames}))


def test_days_and_names_are_said_with_their_words() -> None:
    late = Refused("due_day_past", due=date(2026, 12, 4), today=date(2026, 12, 7))
    assert "Fri 2026-12-04" in Voice("on_a_page").say(late)
    for missing, said in ((("size",), "size is"), (("a", "b"), "a and the b are")):
        lacking = Refused("row_lacks", missing=missing)
        assert Voice("on_a_page").say(lacking) == f"the {said} missing"
    assert not re.search(r"\{", Voice("on_a_page").say(late))
