"""How what is told is put into words: each code has its sentence, in a file of each language.

In a sentence ``{least:up}`` is a length rounded up, ``{sticks:more stick}`` a count with its noun,
``{known: or }`` names with a word between, ``{missing:is|are}`` the word for one or for more,
``{typed:quoted}`` what was typed, ``{due:day}`` a day with its weekday; what is named ``..._minor``
is money, and facts among it are said in their own words.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any, Literal, Protocol

from stockroom.facts import Fact, FieldName, Tellable
from stockroom.refusals import StockroomError
from stockroom.remedies import Remedy
from stockroom.units.lengths import Micrometres, Rounding
from stockroom.units.money import format_money
from stockroom.words.languages import ENGLISH, other_words, spoken, table_of

__all__ = ["MOST", "NO_SHOP", "Front", "Shown", "Voice", "day_told", "word"]

Front = Literal["at_the_command_line", "on_a_page"]
"""Where something is told: what to do about a refusal is done otherwise at each."""
LONGEST_QUOTE = 40
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
ROUNDINGS: Mapping[str, Rounding] = {"up": "up", "down": "down"}
MOST = 100
"""So many faults of a file are shown; the others are counted."""


class Shown(Protocol):
    """How a shop writes what is measured and paid; its settings say it."""

    def length_with_unit(self, um: Micrometres, rounding: Rounding = "nearest") -> str:
        """A length, rounded so."""

    def money(self, minor: int) -> str:
        """An amount of money."""


class AnyShop:
    """How lengths and money are written where no shop is open."""

    def length_with_unit(self, um: Micrometres, _rounding: Rounding = "nearest") -> str:
        """A length in mm."""
        return f"{um / 1000:g} mm"

    def money(self, minor: int) -> str:
        """An amount without a mark."""
        return format_money(minor)


NO_SHOP: Shown = AnyShop()


def word(told: str | Tellable, /, **about: object) -> str:
    """A name, or words of a front's own, in the language of the house; with what they are about,
    lengths and money written already. What they are called by is how they are said in English."""
    return Voice("on_a_page").word(told, **about)


def day_told(day: date | None) -> str:
    """A day with its weekday as the language has it; nothing where none is known."""
    return "" if day is None else word("{day:day}", day=day)


@dataclass(frozen=True, slots=True)
class Voice:
    """How a front tells things: in the words of a language, lengths and money as its shop has it.

    What has no sentence is said as it stands: a front's own refusals, and what a library told.
    """

    front: Front
    shop: Shown = NO_SHOP
    language: Path | None = None
    called: Callable[[str], str] = str
    """What the front calls a field that is typed, by its name in files and options."""

    @property
    def folder(self) -> Path:
        """Where the sentences are: those of the language that is spoken unless another is told."""
        return self.language or spoken()

    def sentence(self, code: str) -> str | list[str] | None:
        """The sentence of a code, if it has one."""
        if said := other_words(self.folder).get(code):
            return said
        return next((told[code] for folder in (self.folder, ENGLISH)
                     for part, told in table_of(folder).items()
                     if not part.startswith("do_") and code in told), None)  # fmt: skip

    def say(self, fact: Tellable) -> str:
        """A fact, a reason, or what was refused."""
        told = self.sentence(fact.code) or fact.code
        said = self.filled(told if isinstance(told, str) else told[0], fact.about)
        if column := getattr(fact, "column", ""):
            return self.filled(
                str(self.sentence("at_column")), {"column": FieldName(column), "said": said}
            )
        return said

    def word(self, told: str | Tellable, /, **about: object) -> str:
        """A name, words of the front's own with what they are about, or a fact."""
        if not isinstance(told, str):
            return self.say(told)
        named = other_words(self.folder).get(told) or table_of(ENGLISH)["names"].get(told)
        return self.filled(str(named), about) if named else self.say(Fact(told, about))

    def whole_list(self, facts: Sequence[Tellable]) -> str:
        """Several facts in one line."""
        return str(self.sentence("between_facts")).join(map(self.say, facts)) if facts else ""

    def remedy(self, error: StockroomError) -> str:
        """What to do about a refusal at this front; empty where there is nothing."""
        if isinstance(error.remedy, Remedy):
            do = error.remedy.do.name
            tables = (table_of(folder) for folder in (self.folder, ENGLISH))
            parts = (table.get(f"do_{self.front}", {}) for table in tables)
            said = str(next(part[do] for part in parts if do in part))
            options = " ".join(f"--{name}" for name in str(error.remedy.about).split())
            return self.filled(said, {"about": error.remedy.about, "options": options})
        if error.remedy:
            return self.filled(str(self.sentence(error.remedy) or error.remedy), error.about)
        told = self.sentence(error.code)
        return self.filled(told[1], error.about) if isinstance(told, list) else ""

    def whole(self, error: StockroomError) -> str:
        """A refusal and what to do about it; after the faults of a file on a line of its own."""
        said, remedy = self.say(error), self.remedy(error)
        return said + ("\n" if "\n" in said else "; ") + remedy if remedy else said

    def fault_lines(self, faults: Sequence[tuple[int, Tellable]]) -> list[str]:
        """Faults of a file's rows a line each: the first hundred, and how many more there are."""
        lines = []
        for row, fault in faults[:MOST]:
            said = self.whole(fault) if isinstance(fault, StockroomError) else self.say(fault)
            line = str(self.sentence("fault_of_row" if row else "fault"))
            lines.append(self.filled(line, {"row": row, "said": said}))
        if (more := len(faults) - MOST) > 0:
            lines.append(self.filled(str(self.sentence("more_faults")), {"more": more}))
        return lines

    def filled(self, sentence: str, about: Mapping[str, Any]) -> str:
        """A sentence with what it is about; as it stands where it is about nothing."""
        if not about:
            return sentence
        return sentence.format_map({
            name.removesuffix("_um").removesuffix("_minor"): self.shown(name, told)
            for name, told in about.items()
        })  # fmt: skip

    def shown(self, name: str, told: Any) -> object:
        """Something that a sentence is about, ready to be written as the sentence asks."""
        if told is None:
            return ""
        if isinstance(told, tuple) and told and isinstance(told[0], tuple):
            return "\n".join(self.fault_lines(told))
        if is_told(told):
            return self.called(told) if isinstance(told, FieldName) else self.say(told)
        if isinstance(told, tuple) and all(map(is_told, told)):
            return Names([self.shown("", one) for one in told])
        if name.endswith("_um"):
            return Length(told, self.shop)
        if name.endswith("_minor"):
            return self.shop.money(told)
        if isinstance(told, date):
            return DayTold(told, self.word(WEEKDAYS[told.weekday()]))
        return next((kind(told) for sort, kind in KINDS if isinstance(told, sort)), told)


def is_told(told: Any) -> bool:
    """True of a fact, a reason, a refusal, or the name of a field."""
    return isinstance(told, FieldName) or (hasattr(told, "code") and hasattr(told, "about"))


class Length:
    """A length within a sentence, rounded as the sentence asks."""

    def __init__(self, um: Micrometres, shop: Shown) -> None:
        self._um, self._shop = um, shop

    def __format__(self, rounding: str) -> str:
        return self._shop.length_with_unit(self._um, ROUNDINGS.get(rounding, "nearest"))


class Count:
    """A number within a sentence, with a noun or a word that goes by it if one is asked for."""

    def __init__(self, number: int) -> None:
        self._number = number

    def __format__(self, noun: str) -> str:
        if "|" in noun:
            return noun.split("|")[self._number != 1]
        if len(noun) < 2 or not noun[0].isalpha():
            return format(self._number, noun)
        return f"{self._number} {noun}" + ("" if self._number == 1 else "s")


class Names:
    """Names within a sentence, with what stands between them, or the word that goes by them."""

    def __init__(self, names: Sequence[object]) -> None:
        self._names = names

    def __format__(self, between: str) -> str:
        if "|" in between:
            return between.split("|")[len(self._names) != 1]
        return (between or ", ").join(map(str, self._names))


class Text:
    """A text within a sentence; what was typed is quoted, short and printable."""

    def __init__(self, text: str) -> None:
        self._text = text

    def __format__(self, how: str) -> str:
        if how != "quoted":
            return format(self._text, how)
        text = self._text
        cut = text if len(text) <= LONGEST_QUOTE else text[: LONGEST_QUOTE - 1] + "…"
        return "'" + "".join(c if c.isprintable() else ascii(c)[1:-1] for c in cut) + "'"


class DayTold:
    """A day within a sentence, with its weekday if that is asked for."""

    def __init__(self, day: date, weekday: str) -> None:
        self._day, self._weekday = day, weekday

    def __format__(self, how: str) -> str:
        return f"{self._weekday} {self._day}" if how == "day" else str(self._day)


KINDS: tuple[tuple[type, Callable[[Any], object]], ...] = (
    (int, Count), (str, Text), (tuple, Names),
)  # fmt: skip
"""How each kind of thing that a sentence is about is written."""
