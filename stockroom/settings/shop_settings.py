"""The shop's settings: one frozen value, kept in the record as text, changed one by one."""

import re
from collections.abc import Collection
from dataclasses import dataclass, fields, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from sqlmodel import Session, select

from stockroom.frame.mitres import cut_allowance
from stockroom.record.tables import Setting
from stockroom.refusals import Unknown, Unreadable
from stockroom.settings.label_sheet import CodeKind, read_label_sheet
from stockroom.settings.machines import MAIN, on_machine, same_name
from stockroom.units.lengths import Micrometres, Unit, exact_length, format_length, parse_length
from stockroom.units.texts import near

__all__ = [
    "BESIDE",
    "NO_BACKUPS",
    "Settings",
    "explained",
    "load",
    "spelt",
    "store",
    "with_setting",
]

KERF, CLEAN_UP, HOLD_CLEAR = Micrometres(3_200), Micrometres(500), Micrometres(150_000)
ONE_PERSON = Micrometres(1_200_000)
LABELS = "letter 3x10 of 66.675x25.4 from 4.7625x12.7 every 69.85x25.4"
"""Labels of 2 5/8 by 1 in, thirty on a sheet: a common size, from memory."""
BESIDE, NO_BACKUPS = "beside the record", "none"
LENGTHS = ("kerf", "clean_up", "hold_clear", "one_person")
WHOLE: dict[str, tuple[Collection[int], str]] = {
    "fraction": ((16, 32, 64), "16, 32 or 64"),
    "ahead": (range(366), "a number of days from 0 to 365"),
}
"""What whole numbers these settings take, and how that is said."""


@dataclass(frozen=True, slots=True)
class Settings:
    """How this shop measures, cuts and prints. Lengths in micrometres.

    ``machines`` keeps what the machines that are not in use are set to, as JSON.
    """

    name: str = "The workshop"
    unit: Unit = "in"
    fraction: int = 16
    machine: str = MAIN
    machines: str = "{}"
    cutter: Literal["saw", "guillotine"] = "saw"
    kerf_um: Micrometres = KERF
    clean_up_um: Micrometres = CLEAN_UP
    hold_clear_um: Micrometres = HOLD_CLEAR
    currency: str = "$"
    timezone: str = "UTC"
    seconds: int = 10
    ahead: int = 0
    fixings: str = "1/3"
    one_person_kg: int = 15
    one_person_um: Micrometres = ONE_PERSON
    labels: str = LABELS
    label_code: CodeKind = "qr"
    backups: str = BESIDE

    @property
    def cut_allowance_um(self) -> Micrometres:
        """Stick length lost at each rail end cut, along the back edge."""
        return cut_allowance(self.kerf_um, self.clean_up_um, self.cutter)

    def length(self, um: int) -> str:
        """A length as this shop prints it, without its unit."""
        return format_length(Micrometres(um), self.unit, denominator=self.fraction)

    def length_with_unit(self, um: int) -> str:
        """A length as this shop prints it, with its unit."""
        return f"{self.length(um)} {self.unit}"


EXPLAINED = {
    "name": "the shop's name, as it is printed",
    "unit": "in or mm: how lengths are printed, and what a bare number means",
    "fraction": "inches are printed to this part: 16, 32 or 64",
    "machine": "which machine is in use; each has a cutter, kerf and clean_up of its own",
    "cutter": "saw or guillotine",
    "kerf": "width of the blade's cut, square to the blade",
    "clean_up": "stick length shaved off at each cut besides the blade's, along the back edge",
    "hold_clear": "rails shorter than this are marked: they cannot be held clear of a blade",
    "currency": "the mark before an amount of money",
    "timezone": "where the shop's days begin, such as Europe/Vienna",
    "seconds": "how long a plan may be worked on",
    "ahead": "days ahead that jobs are looked at, to be cut with today's where that pays",
    "fixings": "how far down the height hangers sit, from 1/4 to 1/3 of it",
    "one_person_kg": "a work heavier than this wants two people",
    "one_person": "a work longer than this wants two people",
    "labels": "where labels lie on their sheet or roll, in mm; see: stockroom labels --grid",
    "label_code": "qr or code128: what a scanner reads on a label",
    "backups": "where one is kept a day: beside the record, none, or a folder on another disk",
}


def explained() -> dict[str, str]:
    """Each setting's name as it is typed, and what it is for."""
    return dict(EXPLAINED)


def spelt(settings: Settings, name: str) -> str:
    """A setting's value as it is typed."""
    if name in LENGTHS:
        return exact_length(getattr(settings, f"{name}_um"), "mm")
    return str(getattr(settings, name))


def with_setting(settings: Settings, name: str, typed: str) -> Settings:
    """The settings with one of them changed to what was typed.

    Raises:
        Unknown: there is no such setting.
        Unreadable: the value is not one that this setting takes.
    """
    if name not in EXPLAINED:
        raise Unknown("setting", name, near(name, EXPLAINED))
    if name == "machine":
        return on_machine(settings, same_name(settings, typed))
    changed: dict[str, Any] = {}
    if name in LENGTHS:
        changed[f"{name}_um"] = parse_length(typed, settings.unit)
    elif name in ("fraction", "seconds", "ahead", "one_person_kg"):
        changed[name] = whole(name, typed)
    elif name == "fixings":
        changed[name] = share(typed)
    elif name == "labels":
        changed[name] = " ".join(typed.split()).lower()
    else:
        changed[name] = word(name, typed)
    after = replace(settings, **changed)
    if name in ("labels", "label_code"):
        check_labels(after, typed)
    return after


def check_labels(settings: Settings, typed: str) -> None:
    """The labels can be read, and their code has room on them."""
    sheet = read_label_sheet(settings.labels)
    try:
        sheet.check_room(settings.label_code)
    except ValueError as error:
        raise Unreadable(typed, f"labels that fit; {error}") from None


def whole(name: str, typed: str) -> int:
    """A whole number for a setting."""
    accepted, said = WHOLE.get(name, (range(1, 3601), "a number from 1 to 3600"))
    typed = typed.strip()
    plain = typed.isascii() and typed.isdecimal() and len(typed) < 6
    if not plain or int(typed) not in accepted:
        raise Unreadable(typed, said)
    return int(typed)


def share(typed: str) -> str:
    """A share of the height for fixings, as a fraction in its lowest terms."""
    plain = re.fullmatch(r"([0-9]{1,3})/([1-9][0-9]{0,2})", typed.strip())
    if plain is None or not Fraction(1, 4) <= Fraction(plain[0]) <= Fraction(1, 3):
        raise Unreadable(typed, "a fraction from 1/4 to 1/3, such as 3/10")
    return str(Fraction(plain[0]))


def word(name: str, typed: str) -> str:
    """A word for a setting."""
    typed = typed.strip()
    choices = {"unit": ("in", "mm"), "cutter": ("saw", "guillotine"),
               "label_code": ("qr", "code128")}.get(name)  # fmt: skip
    if choices and typed not in choices:
        raise Unreadable(typed, " or ".join(choices))
    if name == "timezone":
        try:
            ZoneInfo(typed)
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            raise Unreadable(typed, "a time zone's name such as Europe/Vienna or UTC") from error
    if name == "backups" and typed not in (BESIDE, NO_BACKUPS) and not Path(typed).is_dir():
        raise Unreadable(typed, f"{BESIDE!r}, {NO_BACKUPS!r}, or a folder that is there")
    longest = 200 if name == "backups" else 80
    if not typed or len(typed) > longest or not typed.isprintable():
        raise Unreadable(typed, f"1 to {longest} printable characters")
    return typed


def load(session: Session) -> Settings:
    """The shop's settings; what was never set has its default."""
    kept = {row.name: row.value for row in session.exec(select(Setting))}
    values: dict[str, object] = {}
    for field in fields(Settings):
        if field.name in kept:
            is_text = isinstance(field.default, str)
            values[field.name] = kept[field.name] if is_text else int(kept[field.name])
    return Settings(**values)  # type: ignore[arg-type]


def store(session: Session, settings: Settings) -> None:
    """Keeps these settings in the record."""
    for field in fields(Settings):
        session.merge(Setting(name=field.name, value=str(getattr(settings, field.name))))
    session.flush()
