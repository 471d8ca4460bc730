"""Days as they are typed: 4.12., 04.12.2026, 12/4, Fri, tomorrow, +4 or 2026-12-04."""

import re
from collections.abc import Iterator
from datetime import date, timedelta

from stockroom.refusals import Unreadable

__all__ = ["WEEKDAYS", "day_with_weekday", "parse_day", "weekday_of"]

ISO = re.compile(r"(\d{4})-(\d{1,2})-(\d{1,2})", re.ASCII)
PARTS = re.compile(r"(\d{1,2})([./-])(\d{1,2})(?:\2(\d{4}|\d{2})?)?", re.ASCII)
AWAY = re.compile(r"([+-])(\d{1,3})", re.ASCII)
YEARS = range(1990, 2101)
"""Days of other years are slips."""
MOST_YEARS = 4
"""A 29 February without its year is found within so many years, but around 1900 and 2100."""
NEAR = {
    0: ("today", "heute", "aujourd'hui", "hoy", "oggi", "vandaag"),
    1: ("tomorrow", "morgen", "demain", "mañana", "manana", "domani"),
    -1: ("yesterday", "gestern", "hier", "ayer", "ieri", "gisteren"),
}
WEEKDAYS = (
    ("monday", "montag", "lundi", "lunes", "lunedì", "maandag"),
    ("tuesday", "dienstag", "mardi", "martes", "martedì", "dinsdag"),
    ("wednesday", "mittwoch", "mercredi", "miércoles", "mercoledì", "woensdag"),
    ("thursday", "donnerstag", "jeudi", "jueves", "giovedì", "donderdag"),
    ("friday", "freitag", "vendredi", "viernes", "venerdì", "vrijdag"),
    ("saturday", "samstag", "samedi", "sábado", "sabato", "zaterdag"),
    ("sunday", "sonntag", "dimanche", "domingo", "domenica", "zondag"),
)
"""Monday first; three letters tell them all apart."""
TWO_LETTERS = ("mo", "di", "mi", "do", "fr", "sa", "so")
SHORTEST = 3


def parse_day(text: str, today: date, *, day_first: bool, past: bool = False) -> date:
    """A day as it is typed; one without its year is the next such day, or with ``past`` the last.

    ``day_first`` says how the shop writes days: 4.12. and 4/12 are 4 December, else 12 April. A
    weekday is the next one, today's among them; one before a day, as days are shown, is its own.

    Raises:
        Unreadable: it is no day; says what was read and how days may be typed.
    """
    word = text.strip().lower().rstrip(",")
    named, _, rest = word.partition(" ")
    days = weekdays(named.rstrip(".,")) if rest[:1].isdigit() else []
    word = rest.strip() if days else word
    for found in (*by_word(word, today, past), *by_numbers(word, today, day_first, past)):
        if days and found.weekday() not in days:
            raise Unreadable(text, "of_its_weekday", day=found)
        if found.year not in YEARS:
            raise Unreadable(text, "of_years", first=YEARS.start, last=YEARS.stop - 1)
        return found
    raise Unreadable(text, "of_day_first" if day_first else "of_month_first")


def by_word(word: str, today: date, past: bool) -> Iterator[date]:
    """The day that a word or a number of days names, if it names one."""
    away = AWAY.fullmatch(word)
    if away:
        yield today + timedelta(int(f"{away[1]}{away[2]}"))
    for days, words in NEAR.items():
        if word in words:
            yield today + timedelta(days)
    for number in weekdays(word.rstrip(".")):
        off = (number - today.weekday()) % 7
        yield today + timedelta(off - 7 if past and off else off)


def weekdays(word: str) -> list[int]:
    """The weekdays that a word can mean, Monday 0."""
    if word in TWO_LETTERS:
        return [TWO_LETTERS.index(word)]
    return [number for number, names in enumerate(WEEKDAYS)
            if len(word) >= SHORTEST and any(name.startswith(word) for name in names)]  # fmt: skip


def weekday_of(typed: str) -> int:
    """A day of the week by its name, Monday 0.

    Raises:
        Unreadable: it is none.
    """
    found = weekdays(typed.strip().lower())
    if len(found) != 1:
        raise Unreadable(typed, "of_weekday")
    return found[0]


def by_numbers(word: str, today: date, day_first: bool, past: bool) -> Iterator[date]:
    """The day that numbers name, if they name one."""
    if iso := ISO.fullmatch(word):
        yield from real(int(iso[1]), int(iso[2]), int(iso[3]))
        return
    parts = PARTS.fullmatch(word.replace(" ", ""))
    if parts is None:
        return
    day, month = (int(parts[1]), int(parts[3])) if day_first else (int(parts[3]), int(parts[1]))
    if parts[4]:
        yield from real(int(parts[4]) + (2000 if len(parts[4]) == 2 else 0), month, day)
        return
    step = -1 if past else 1
    for years in range(MOST_YEARS + 1):
        for found in real(today.year + step * years, month, day):
            if (found <= today) if past else (found >= today):
                yield found
                return


def real(year: int, month: int, day: int) -> Iterator[date]:
    """The day of these numbers, if the calendar has it."""
    try:
        yield date(year, month, day)
    except ValueError:
        return


def day_with_weekday(day: date | None) -> str:
    """A day as it is shown: Fri 2026-12-04; nothing where none is known."""
    return "" if day is None else f"{day:%a} {day.isoformat()}"
