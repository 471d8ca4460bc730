"""The words of each front as they stand in its code: what a file of a language is to have."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

from stockroom.cli.app import loaded
from stockroom.cli.building.spoken_help import speak_help, speak_library
from stockroom.cli.command_list import COMMANDS, one_screen
from stockroom.page.translated import in_program, in_template
from tests.stockroom.words.second import quoted

__all__ = ["FRONTS_WORDS", "ROOT", "listed", "phrases_in", "words_in_place"]

ROOT = Path(__file__).parents[3]
TYPED_NAMES = ("ALSO_CALLED", "COMMANDS", "OF_A_CUT", "RULES")
"""What lists commands and options as they are typed; what help says of them is heard there."""
NO_WORDS = re.compile(
    r"^stockroom [^,;:]*$|^--|^[a-z-]*/|=\(|'self'|'none'|%[aby]|filename=|\\\\|^[:}]"
    r"|^\{(?![a-z_]+[:}])"
)
"""What programs read: commands, addresses, policies, formats, patterns."""
FILLED_IN = re.compile(r"\{[a-z_]*\}")
FOR_PROGRAMS = ("TypeVar", "cast", "asked", "re.compile")
"""What is given to these is read by programs."""
TYPED = re.compile(
    r"^(stockroom\b[^,;:]*$| *--|[a-z]*/|inline; |data: |Stockroom of this shop)|^[^ ]*$"
)


class Heard(list[str]):
    """Everything that words are asked for."""

    def __call__(self, told: str) -> str:
        """Words in English, as they are."""
        self.append(told)
        return told


def page_words() -> dict[str, str]:
    """The words of the page, each with where it stands first."""
    found: dict[str, str] = {}
    page = ROOT / "stockroom" / "page"
    for file in sorted([*page.glob("templates/*.html"), *page.glob("static/**/*.js")]):
        translated = in_template if file.suffix == ".html" else in_program
        said = Heard()
        translated(file.read_text(encoding="utf-8"), said)
        found |= {told: file.name for told in said if told not in found}
    for file in sorted(page.rglob("*.py")):
        found |= {told: file.name for told in phrases_in(file) if told not in found}
    return found


def phrases_in(file: Path) -> Iterator[str]:
    """The words that a module says: what it gives to word(), names of columns, and all that reads
    as words and is not for programs."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    over = for_programs(tree)
    for node in ast.walk(tree):
        if isinstance(node, ast.Call):
            yield from said_by(node)
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in over:
            yield from [node.value] * reads_as_words(node.value)


def said_by(call: ast.Call) -> Iterator[str]:
    """What a call says that is one small word."""
    name = ast.unparse(call.func).split(".")[-1]
    at = {"word": 0, "Column": 1, "length_column": 1, "money_columns": 1}.get(name)
    if at is not None and len(call.args) > at:
        told = call.args[at]
        for part in (told.body, told.orelse) if isinstance(told, ast.IfExp) else (told,):
            if isinstance(part, ast.Constant) and isinstance(part.value, str):
                yield part.value


def for_programs(tree: ast.AST, *, put_in: bool = True) -> set[int]:
    """The texts that nobody reads: documents, types, what a text is compared to or put into."""
    found: set[int] = set()
    for node in ast.walk(tree):
        parts: list[ast.AST] = []
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            parts = [node.value]
        elif isinstance(node, ast.Compare):
            # What is asked for before it is compared is said.
            parts = [one for one in (node.left, *node.comparators) if not isinstance(one, ast.Call)]
        elif put_in and isinstance(node, ast.JoinedStr):
            parts = [node]
        elif isinstance(node, ast.arg | ast.AnnAssign) and node.annotation:
            parts = [node if isinstance(node, ast.AnnAssign) and typed_names(node)
                     else node.annotation]  # fmt: skip
        elif isinstance(node, ast.FunctionDef) and node.returns:
            parts = [node.returns]
        elif isinstance(node, ast.Assign) and "__all__" in ast.unparse(node.targets[0]):
            parts = [node]
        elif isinstance(node, ast.Call) and ast.unparse(node.func) in FOR_PROGRAMS:
            parts = [*node.args]
        elif isinstance(node, ast.Raise) and "ValueError" in ast.unparse(node):
            parts = [node]
        elif isinstance(node, ast.keyword) and node.arg in ("help", "metavar"):
            parts = [node.value]  # The library has it, and it is heard there.
        elif isinstance(node, ast.Assign) and typed_names(node):
            parts = [node]
        found |= {id(one) for part in parts for one in ast.walk(part)}
    return found


def typed_names(node: ast.Assign | ast.AnnAssign) -> bool:
    """True of what lists commands or options as they are typed."""
    target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
    return ast.unparse(target) in TYPED_NAMES


def reads_as_words(text: str) -> bool:
    """True of several words, or of one with a capital, beside what is filled in."""
    if NO_WORDS.search(text):
        return False
    text = FILLED_IN.sub("0", text)
    several = re.search(r"[A-Za-z]{2,}\W* |[ ,;:]+[A-Za-z]{2}", text)
    return bool(several or re.fullmatch(r"[A-Z][a-z]+[.:!?]?", text))


def listed(front: str, words: dict[str, str]) -> str:
    """The file of a front's words in English: each said as it stands, by where it is."""
    lines = [f"# The words of the {front.replace('_', ' ')}, in English.", f"[{front}]"]
    where = ""
    for told, file in words.items():
        if file != where:
            lines.append(f"# {(where := file)}")
        lines.append(f"{quoted(told)} = {quoted(told)}")
    return "\n".join(lines) + "\n"


def words_in_place(front: str) -> Iterator[str]:
    """What a front's modules say with something put into it in place, so that no file has it."""
    for file in sorted((ROOT / "stockroom" / ROOMS[front]).rglob("*.py")):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        over = for_programs(tree, put_in=False)
        for node in ast.walk(tree):
            if isinstance(node, ast.JoinedStr) and id(node) not in over:
                text = "".join(str(part.value) if isinstance(part, ast.Constant) else "{}"
                               for part in node.values)  # fmt: skip
                if re.search(r"[A-Za-z]{2,}", text) and not TYPED.search(text):
                    yield f"{file.name}:{node.lineno}: {text}"


def command_line_words() -> dict[str, str]:
    """The words of the command line's help, each with the command that says it first."""
    found: dict[str, str] = {}
    said = Heard()
    speak_library(said)
    one_screen(said)
    for name, listed in COMMANDS.items():
        said += [listed.panel, listed.line]
        speak_help(command := loaded(name), said)
        for part in (command, *getattr(command, "commands", {}).values()):
            context = part.context_class(part)
            part.get_help_option(context)
            part.get_usage(context)
        found |= {told: name for told in said if told not in found}
    for room in ("cli", "screens"):
        for file in sorted((ROOT / "stockroom" / room).rglob("*.py")):
            found |= {told: file.name for told in phrases_in(file) if told not in found}
    return found


FRONTS_WORDS = {"page": page_words, "command_line": command_line_words}
"""The fronts, and what finds their words."""
ROOMS = {"page": "page", "command_line": "cli"}
