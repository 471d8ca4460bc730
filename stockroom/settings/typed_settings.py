"""Settings as they are typed: what each is for, how it is spelt, and one of them changed."""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from stockroom.facts import Fact
from stockroom.frame.cutters import CUTTERS
from stockroom.frame.standard_sizes import listed, read_sizes
from stockroom.refusals import Unfit, Unknown, Unreadable
from stockroom.settings.label_sheet import read_label_sheet
from stockroom.settings.machines import on_machine, same_name
from stockroom.settings.shop_settings import BESIDE, DAYS, NO_BACKUPS, Settings
from stockroom.settings.stored_settings import CHOICES, WHOLE, WORKERS
from stockroom.settings.wait_cost import read_wait
from stockroom.units.lengths import Micrometres, Unit, exact_length, parse_length
from stockroom.units.price_rule import read_price_rule
from stockroom.units.shop_unit import SHOP_UNITS, USUAL
from stockroom.units.texts import near
from stockroom.words.languages import languages

__all__ = ["explained", "spelt", "with_setting"]

LENGTHS = ("kerf", "clean_up", "shortest", "one_person")
MAY_LACK = ("widest", "tallest", "gap", "allowance", "overlap", "cover_least", "cover_most",
            "margin", "large_length")  # fmt: skip
"""Lengths that may be none: no limit, or what is usual in the shop's unit."""
LACKING = {"margin": ("usual",), "large_length": ("none",)}
"""How some of them are typed as none."""
LEAST_LARGE = Micrometres(2_000_000)
"""A job of less moulding than a frame of middling size takes is not large."""
NUMBERS = ("seconds", "ahead", "one_person_kg", "bench_days", "promise", "large_job",
           "last_buy_days", "quote_days")  # fmt: skip
FONT_FILES = (".ttf", ".otf")
SETTINGS = (
    "name", "unit", "step", "machine", "cutter", "kerf", "clean_up", "stop", "shortest",
    "widest", "tallest", "gap", "allowance", "overlap", "cover_least", "cover_most",
    "bench_days", "closed", "promise", "wait_cost", "price_rule", "quote_days", "large_job",
    "large_length", "last_buy_days", "margin", "dates", "csv", "paper", "address", "font",
    "currency", "timezone", "language", "seconds", "workers", "ahead", "fixings", "one_person_kg",
    "one_person", "labels", "label_code", "sizes", "backups",
)  # fmt: skip
"""What can be set, in the order that it is shown in; what each is for stands with the words."""


def explained() -> dict[str, Fact]:
    """Each setting's name as it is typed, and what it is for."""
    known = {"units": tuple(SHOP_UNITS), "cutters": tuple(CUTTERS)}
    return {name: Fact(f"setting_{name}", known) for name in SETTINGS}


def spelt(settings: Settings, name: str) -> str:
    """A setting's value as it is typed."""
    if name in USUAL:
        return exact_length(settings.usual(name), "mm")
    if name in (*LENGTHS, *MAY_LACK):
        um = getattr(settings, f"{name}_um")
        return "none" if um is None else exact_length(um, "mm")
    if name == "step":
        return next(text for text, um in settings.measure.steps.items() if um == settings.step_um)
    if name == "sizes":
        return listed(settings.ready_made)
    return str(getattr(settings, name))


def with_setting(settings: Settings, name: str, typed: str) -> Settings:
    """The settings with one of them changed to what was typed.

    Raises:
        Unknown: there is no such setting.
        Unreadable: the value is not one that this setting takes.
    """
    if name not in SETTINGS:
        raise Unknown("unknown_setting", name, near(name, SETTINGS))
    if name == "machine":
        return on_machine(settings, same_name(settings, typed))
    changed: dict[str, Any] = {}
    if name in LENGTHS:
        changed[f"{name}_um"] = parse_length(typed, settings.unit)
    elif name in MAY_LACK:
        changed[f"{name}_um"] = length_or_none(name, typed, settings.unit)
    elif name in ("address", "font") and typed.strip().lower() == "none":
        changed[name] = ""
    elif name == "closed":
        changed[name] = closed_days(typed)
    elif name == "step":
        changed[name] = step_of(typed, settings.unit)
    elif name in NUMBERS:
        changed[name] = whole(name, typed)
    elif name == "fixings":
        changed[name] = share(typed)
    elif name == "workers":
        changed[name] = workers(typed)
    elif name == "wait_cost":
        changed[name] = read_wait(typed).typed
    elif name == "price_rule":
        changed[name] = price_rule(typed)
    elif name == "sizes":
        changed[name] = sizes(typed, settings)
    elif name == "labels":
        changed[name] = " ".join(typed.split()).lower()
    else:
        changed[name] = word(name, typed)
    if changed.get("unit", settings.unit) != settings.unit:
        changed["step"] = ""
    after = replace(settings, **changed)
    if name in ("labels", "label_code"):
        check_labels(after, typed)
    return after


def length_or_none(name: str, typed: str, unit: Unit) -> Micrometres | None:
    """A length that may be none. Of a large job hardly less than a usual frame: else all are."""
    if typed.strip().lower() in LACKING.get(name, ("none", "usual")):
        return None
    length = parse_length(typed, unit)
    if name == "large_length" and length < LEAST_LARGE:
        raise Unreadable(typed, "of_large_length", least_um=LEAST_LARGE)
    return length


def check_labels(settings: Settings, typed: str) -> None:
    """The labels can be read, and their code has room on them."""
    sheet = read_label_sheet(settings.labels)
    try:
        sheet.check_room(settings.label_code)
    except Unfit as error:
        raise Unreadable(typed, "of_labels_that_fit", why=error) from None


def whole(name: str, typed: str) -> int:
    """A whole number for a setting."""
    accepted = WHOLE.get(name, range(1, 3601))
    typed = typed.strip()
    plain = typed.isascii() and typed.isdecimal() and len(typed) < 6
    if not plain or int(typed) not in accepted:
        raise Unreadable(typed, "of_bounds", least=accepted.start, most=accepted.stop - 1)
    return int(typed)


def step_of(typed: str, unit: Unit) -> str:
    """A step as it is kept, such as 1/32 in."""
    words = typed.strip().lower().removesuffix(unit).strip()
    kept = f"{words} {unit}"
    if kept not in SHOP_UNITS[unit].steps:
        raise Unreadable(typed, "of_step", steps=tuple(SHOP_UNITS[unit].steps), unit=unit)
    return kept


def closed_days(typed: str) -> str:
    """Weekdays without work, in order, by their first three letters; nothing for none."""
    words = typed.replace(",", " ").lower().split()
    days = {word[:3] for word in words} if words != ["none"] else set()
    if not days <= set(DAYS) or len(days) == len(DAYS):
        raise Unreadable(typed, "of_closed_days")
    return " ".join(day for day in DAYS if day in days)


def sizes(typed: str, settings: Settings) -> str:
    """The list of ready-made sizes as it is kept: told anew, longer or shorter by some, or the
    usual one as nothing."""
    typed = typed.strip()
    if typed.lower() == "usual":
        return ""
    verb, _, some = typed.partition(" ")
    named = some if (verb := verb.lower()) in ("add", "drop") else typed
    told = read_sizes(named, settings.unit, settings.sizes_known)
    if verb not in ("add", "drop"):
        return listed(told)
    left = [size for size in settings.ready_made if size not in told]
    if verb == "add":
        return listed(read_sizes(listed([*left, *told]), settings.unit))
    if not left or len(left) + len(told) > len(settings.ready_made):
        raise Unreadable(typed, "of_sizes_listed", sizes=listed(settings.ready_made))
    return listed(left)


def price_rule(typed: str) -> str:
    """The counter's rule as it is kept."""
    read_price_rule(typed)
    return "; ".join(filter(None, (" ".join(part.split()) for part in typed.lower().split(";"))))


def share(typed: str) -> str:
    """A share of the height for fixings, as a fraction in its lowest terms."""
    plain = re.fullmatch(r"([0-9]{1,3})/([1-9][0-9]{0,2})", typed.strip())
    if plain is None or not Fraction(1, 4) <= Fraction(plain[0]) <= Fraction(1, 3):
        raise Unreadable(typed, "of_share")
    return str(Fraction(plain[0]))


def workers(typed: str) -> str:
    """How many plan side by side, or where."""
    typed = typed.strip().lower()
    if not WORKERS.fullmatch(typed):
        raise Unreadable(typed, "of_workers")
    return typed


def word(name: str, typed: str) -> str:
    """A word for a setting."""
    typed = typed.strip()
    choices = CHOICES.get(name)
    if choices and typed not in choices:
        raise Unreadable(typed, "of_choices", choices=choices)
    if name == "timezone":
        try:
            ZoneInfo(typed)
        except (ZoneInfoNotFoundError, ValueError, OSError) as error:
            raise Unreadable(typed, "of_timezone") from error
    longest = 200 if name in ("backups", "address", "font", "language") else 80
    if not typed or len(typed) > longest or not typed.isprintable():
        raise Unreadable(typed, "of_printable", longest=longest)
    if name == "backups" and typed not in (BESIDE, NO_BACKUPS) and not Path(typed).is_dir():
        raise Unreadable(typed, "of_backups", beside=BESIDE, none=NO_BACKUPS)
    if name == "language" and not (typed in (known := languages()) or Path(typed).is_dir()):
        raise Unreadable(typed, "of_languages", known=known)
    if name == "font" and not (typed.lower().endswith(FONT_FILES) and Path(typed).is_file()):
        raise Unreadable(typed, "of_font", endings=FONT_FILES)
    return typed
