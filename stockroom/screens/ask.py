"""Questions on a terminal; where there is none, the option that would answer is named."""

import difflib
import sys
from collections.abc import Callable, Sequence

from stockroom.refusals import Refused, StockroomError
from stockroom.words.language import Voice, word
from stockroom.words.languages import translated

__all__ = ["ask_choice", "ask_text"]


def ask_text(
    question: str,
    option: str,
    *,
    default: str | None = None,
    read: Callable[[str], object] | None = None,
    known: Sequence[str] = (),
) -> str:
    """Asks until the answer is understood; an empty one takes the default, if there is one.

    Raises:
        Refused: there is no terminal to ask on.
    """
    while True:
        answer = asked(question, option, default)
        if not answer and default is None:
            tell("an answer is needed")
            continue
        if not answer:
            return default or ""
        if fault := fault_of(answer, read, known):
            tell(fault)
            continue
        return answer


def asked(question: str, option: str, default: str | None) -> str:
    """One answer, as typed.

    Raises:
        Refused: there is no terminal to ask on.
        KeyboardInterrupt: the input ended.
    """
    if not sys.stdin.isatty():
        raise Refused("'{question}' cannot be asked: there is no terminal", "give {option}",
                      question=translated(question), option=option)  # fmt: skip
    hint = f" [{default}]" if default else ""
    sys.stderr.write(f"{translated(question)}{hint}: ")
    sys.stderr.flush()
    line = sys.stdin.readline()
    if not line:
        sys.stderr.write("\n")
        raise KeyboardInterrupt
    return line.strip()


def fault_of(answer: str, read: Callable[[str], object] | None, known: Sequence[str]) -> str | None:
    """What is wrong with an answer, or nothing."""
    if known and answer.upper() not in known:
        near = difflib.get_close_matches(answer.upper(), known, n=3, cutoff=0.4)
        said = word("there is no {answer:quoted}", answer=answer[:30])
        return said + (word("; did you mean {near}?", near=", ".join(near)) if near else "")
    try:
        if read is not None:
            read(answer)
    except StockroomError as error:
        return Voice("at_the_command_line").whole(error)
    return None


def ask_choice(question: str, option: str, choices: Sequence[str], default: str) -> str:
    """Asks for one of several words; their beginnings suffice.

    Raises:
        Refused: there is no terminal to ask on.
    """
    while True:
        answer = asked(f"{translated(question)} ({', '.join(choices)})", option, default) or default
        hits = [choice for choice in choices if choice.startswith(answer.lower())]
        if len(hits) == 1:
            return hits[0]
        tell(word("choose one of {choices}", choices=", ".join(choices)))


def tell(message: str) -> None:
    """Says something about an answer, on standard error."""
    sys.stderr.write(f"  {translated(message)}\n")
