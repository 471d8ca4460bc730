"""Templates and programs of the page in another language, as they are read: no word is marked.

What stands between tags, in a label of a tag, or in quotes as a phrase is looked up whole. What is
filled in has its name there, so that a language may put it elsewhere in the sentence.
"""

import re
from collections.abc import Callable, Sequence
from html import escape, unescape
from string import Formatter

__all__ = ["Said", "in_program", "in_template"]

Said = Callable[[str], str]
"""The words of a language for those of English; the same where it has none."""
FILLED, DONE = r"\{\{.*?\}\}", r"\{%.*?%\}|\{\#.*?\#\}"
TAG = rf"<[!/]?[a-zA-Z](?:{FILLED}|{DONE}|[^>])*>"
TOKEN = re.compile(rf"({FILLED})|({DONE})|({TAG})", re.DOTALL)
INSIDE = re.compile(rf"({FILLED})|({DONE})", re.DOTALL)
LABEL = re.compile(
    rf'(\b(?:aria-label|placeholder|title|alt|lang)=")((?:{FILLED}|{DONE}|[^"])*)(?=")', re.DOTALL
)
QUOTED = re.compile(r'(count\()?"([^"\n]*)"')
COUNTED = re.compile(r'count\("([^"]+)"\)')
OF_CODE = ("and", "else", "if", "in", "not", "or")
LETTERS = re.compile("[a-zA-Z]{2}")
AROUND = re.compile(r"([\s·,:;()]*)(.*?)([\s·(]*)$", re.DOTALL)
"""What stands around words, and is no part of them."""
CODE = r"className\s*=|class:|outcome:|[=!]==|(?:querySelector(?:All)?|matches|closest(?:\?\.)?)\("
HOLE = r"\$\{[^{}]*\}"
IN_PROGRAM = re.compile(
    r"//[^\n]*|/\*.*?\*/"
    rf"|(?P<code>(?:{CODE})\s*)?"
    rf'(?:"(?P<text>[^"\n]*)"|`(?P<filled>(?:{HOLE}|[^`])*)`)',
    re.DOTALL,
)
"""A program's notes, and its texts; what something is called by or compared to is no words."""


def in_template(source: str, said: Said) -> str:
    """A template in a language."""
    out, run, at = [], [], 0
    for token in TOKEN.finditer(source):
        run.append(source[at : token.start()])
        at = token.end()
        filled, done, tag = token.groups()
        if filled:
            run.append(filled)
            continue
        out += [phrase(run, said), with_labels(tag, said) if tag else quoted(done, said)]
        run = []
    return "".join([*out, phrase([*run, source[at:]], said)])


def with_labels(tag: str, said: Said) -> str:
    """A tag with its labels, and what is worked out within it."""

    def label(found: re.Match[str]) -> str:
        out, run, at = [], [], 0
        for token in INSIDE.finditer(found[2]):
            run.append(found[2][at : token.start()])
            at = token.end()
            if token[1]:
                run.append(token[1])
            else:
                out += [phrase(run, said), quoted(token[2], said)]
                run = []
        return found[1] + "".join([*out, phrase([*run, found[2][at:]], said)])

    return INSIDE.sub(lambda token: quoted(token[0], said), LABEL.sub(label, tag))


def phrase(run: Sequence[str], said: Said) -> str:
    """A text with what is filled into it."""
    parts = [part for part in run if part]
    if not LETTERS.search("".join(part for part in parts if not part.startswith("{{"))):
        return "".join(quoted(part, said) if part.startswith("{{") else part for part in parts)
    named: dict[str, str] = {}
    whole = "".join(
        placed(part, named) if part.startswith("{{") else unescape(part) for part in parts
    )
    before, text, after = AROUND.match(whole).groups()  # type: ignore[union-attr]
    told = said(key := " ".join(text.split()))
    if told == key:
        return "".join(quoted(part, said) if part.startswith("{{") else part for part in parts)
    return before + "".join(
        escape(words, quote=False) + (filled(named[name], how) if name else "")
        for words, name, how, _ in Formatter().parse(told)
    ) + after  # fmt: skip


def placed(part: str, named: dict[str, str]) -> str:
    """What is filled in by its name, with the noun that it counts."""
    name = called(part[2:-2].split("|")[0], named)
    named[name] = part
    counted = COUNTED.search(part)
    return "{" + name + (f":{counted[1]}" if counted else "") + "}"


def called(code: str, named: dict[str, str]) -> str:
    """A name for what a code gives, that nothing has yet."""
    words = re.findall(r"[a-zA-Z_]\w*", re.sub('"[^"]*"', "", code))
    base = next((word for word in reversed(words) if word not in OF_CODE), "it")
    return base if base not in named else f"{base}_{len(named)}"


def filled(part: str, how: str | None) -> str:
    """What is filled in, counted with the noun of the language."""
    return re.sub(rf"\|{COUNTED.pattern}", f'|count("{how}")' if how else "", part)


def quoted(code: str, said: Said) -> str:
    """A code of a template with the phrases that are quoted in it."""

    def one(found: re.Match[str]) -> str:
        if found[1]:
            return found[0] if said(f"{{many:{found[2]}}}") else ""
        return f'"{escaped(said(found[2]))}"' if is_phrase(found[2]) else found[0]

    return QUOTED.sub(one, code) if not code.startswith("{#") else code


def is_phrase(text: str) -> bool:
    """True of words for people: of several, or with a capital."""
    return bool(LETTERS.search(text)) and (" " in text or bool(re.match("[A-Z][a-z]+\\W?$", text)))


def escaped(text: str) -> str:
    """A text as it stands between quotes."""
    return text.replace("\\", "\\\\").replace('"', '\\"').replace("`", "\\`")


def in_program(source: str, said: Said) -> str:
    """A program of the page in a language."""

    def one(found: re.Match[str]) -> str:
        if (found["text"] is None and found["filled"] is None) or found["code"]:
            return found[0]
        if found["filled"] is None:
            text = found["text"]
            return f'"{escaped(said(text))}"' if is_phrase(text) else found[0]
        return f"`{told_in_program(found['filled'], said)}`"

    return IN_PROGRAM.sub(one, source)


def told_in_program(text: str, said: Said) -> str:
    """A text of a program with what is filled into it."""
    named: dict[str, str] = {}
    inside = re.sub(HOLE, lambda hole: in_program(hole[0], said), text)

    def hole(found: re.Match[str]) -> str:
        named[name := called(found[0][2:-1], named)] = found[0]
        return "{" + name + "}"

    key = re.sub(HOLE, hole, inside)
    if not is_phrase(re.sub(HOLE, "", text)) or (told := said(key)) == key:
        return inside
    return "".join(
        escaped(words) + (named[name] if name else "")
        for words, name, _, _ in Formatter().parse(told)
    )  # fmt: skip
