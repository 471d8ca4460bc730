"""The languages that can be spoken: each a folder with a file for what the house tells, and one for
the words of each front.

What the house tells has a code, and its sentence is in the file. Words of a front are called by how
they are said in English, where they are said; so English itself needs no file of them, but has one
that lists them all, for whoever translates it. What a language has no words for is said in English.
"""

import os
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path
from string import Formatter

__all__ = ["ENGLISH", "FRONTS", "Table", "faults_of", "languages", "other_words", "speak", "spoken",
           "table_of", "translated"]  # fmt: skip

Table = Mapping[str, Mapping[str, str | list[str]]]
"""The sentences of a language by part of the house, and what to do at each front; a sentence
alone, or with what to do about it."""
LANGUAGES = Path(__file__).parent
ENGLISH = LANGUAGES / "english"
HOUSE, FRONTS = ("house", "paper"), ("command_line", "page")
"""The files of a language; those of these fronts are not read in English."""
OWN = ("kept", "names", *FRONTS)
"""The parts whose sentences are called by how they are said in English."""
ASKED = "STOCKROOM_LANGUAGE"
"""What is spoken at this computer, whatever the shop's language is; help knows this alone."""

chosen = ""


def languages() -> tuple[str, ...]:
    """The names of the house's languages: the folders here that hold one."""
    return tuple(sorted(file.parent.name for file in LANGUAGES.glob(f"*/{HOUSE[0]}.toml")))


def speak(language: str) -> None:
    """From here on this program speaks a language: one of the house's by its name, or a folder."""
    global chosen
    chosen = language


def spoken() -> Path:
    """The folder of the language that is spoken."""
    named = os.environ.get(ASKED) or chosen
    if not named:
        return ENGLISH
    return next((folder for folder in (LANGUAGES / named, Path(named)) if folder.is_dir()), ENGLISH)


@cache
def read(folder: Path, *files: str) -> Table:
    """The sentences of these files of a language, read once; none of a file that cannot be read."""
    found: dict[str, Mapping[str, str | list[str]]] = {}
    for file in files:
        try:
            found |= tomllib.loads((folder / f"{file}.toml").read_text(encoding="utf-8"))
        except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError):
            continue
    return found


def table_of(folder: Path | None = None) -> Table:
    """What the house tells in a language, and the words of paper; in English unless one is told.

    What asks to be filled in otherwise than the English does is left out.
    """
    english = read(ENGLISH, *HOUSE)
    return english if folder in (None, ENGLISH) else fitting(folder or ENGLISH)


@cache
def fitting(folder: Path) -> Table:
    """What a language tells that can be filled in as the English is."""
    return {
        part: {code: said for code, said in every.items()
               if fits(in_english(part, code), str(said))}
        for part, every in read(folder, *HOUSE).items()
    }  # fmt: skip


def in_english(part: str, code: str) -> str:
    """The English sentence of a code, wherever it stands; of words of a front, themselves."""
    english = read(ENGLISH, *HOUSE)
    places = [english.get(part, {})] if part.startswith("do_") else english.values()
    return str(next((told[code] for told in places if code in told), code))


@cache
def other_words(folder: Path) -> Mapping[str, str]:
    """What is called in a language by how they are said in English; none in English.

    What asks to be filled in otherwise than the English does is left out.
    """
    if folder == ENGLISH:
        return {}
    parts = read(folder, *HOUSE, *FRONTS)
    words = {told: str(said) for part in OWN for told, said in parts.get(part, {}).items()}
    return {told: said for told, said in words.items() if fits(told, said)}


def fits(told: str, said: str) -> bool:
    """True where a sentence is filled in with nothing that the English one is not."""
    try:
        return fields(said) <= fields(told)
    except ValueError:
        return False


def fields(sentence: str) -> set[str]:
    """What a sentence is filled in with."""
    return {name for _, name, _, _ in Formatter().parse(sentence) if name is not None}


def faults_of(folder: Path) -> Iterator[str]:
    """What of a language cannot be said: files that cannot be read, sentences that do not fit.

    Its files are read anew; a shop that is served speaks them once it is served again.
    """
    for kept in (read, fitting, other_words):
        kept.cache_clear()
    for file in (*HOUSE, *FRONTS):
        if not (said := read(folder, file)):
            yield f"{file}.toml"
        for part, every in said.items():
            for code, sentence in every.items():
                if not fits(in_english(part, code), str(sentence)):
                    yield f"{file}.toml: {code}"


def translated(told: str) -> str:
    """Words of a front in the language that is spoken; as they stand where it has none for them."""
    return other_words(spoken()).get(told, told)
