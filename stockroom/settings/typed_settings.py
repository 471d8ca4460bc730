"""Settings as they are typed: what each is for, how it is spelt, and one of them changed."""

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from stockroom.frame.cutters import CUTTERS
from stockroom.frame.standard_sizes import listed, read_sizes
from stockroom.refusals import Unfit, Unknown, Unreadable
from stockroom.settings.label_sheet import read_label_sheet
from stockroom.settings.machines import on_machine, same_name
from stockroom.settings.shop_settings import BESIDE, DAYS, NO_BACKUPS, Settings
from stockroom.settings.stored_settings import CHOICES, WHOLE, WORKERS
from stockroom.settings.wait_cost import read_wait
from stockroom.units.lengths import Unit, exact_length, parse_length
from stockroom.units.price_rule import read_price_rule
from stockroom.units.shop_unit import SHOP_UNITS, USUAL
from stockroom.units.texts import either, near

__all__ = ["explained", "spelt", "with_setting"]

LENGTHS = ("kerf", "clean_up", "shortest", "one_person")
MAY_LACK = ("widest", "tallest", "gap", "allowance", "overlap", "cover_least", "cover_most",
            "margin")  # fmt: skip
"""Lengths that may be none: no limit, or what is usual in the shop's unit."""
NUMBERS = ("seconds", "ahead", "one_person_kg", "bench_days", "promise", "large_job",
           "last_buy_days", "quote_days")  # fmt: skip
FONT_FILES = (".ttf", ".otf")
EXPLAINED = {
    "name": "the shop's name, as it is printed",
    "unit": f"{either(SHOP_UNITS)}: how lengths are printed, and what a bare number means",
    "step": "what lengths are set and printed in: 1/16, 1/32 or 1/64 in; 0.5 or 1 mm",
    "machine": "the machine in use; a profile may go to another. Each has the next seven values",
    "cutter": either(CUTTERS),
    "kerf": "width of the blade's cut, square to the blade",
    "clean_up": "stick length shaved off at each cut besides the blade's, along the back edge",
    "stop": "what the machine's stop reads: long point, inside or sight",
    "shortest": "rails shorter than this cannot be held clear of the blade: a clamp or jig",
    "widest": "the widest face the machine takes, or none",
    "tallest": "the tallest moulding the machine takes, or none",
    "gap": "a float's gap on each side, where a job has none of its own",
    "allowance": "a rabbet's play in all, each way, where a job has none of its own",
    "overlap": "how far a mat overlaps the artwork, where a job has none of its own",
    "cover_least": "the least that a lip usually covers of each edge",
    "cover_most": "the most that a lip usually covers of each edge",
    "bench_days": "days between cutting and the day a job is due, for joining, filling, fitting",
    "closed": "weekdays without work at the bench, such as: sat sun; or none",
    "promise": "days that a job is promised in, as long as fewer than 20 jobs tell",
    "wait_cost": "what a frame that waits for its stick costs: money, or a share of its moulding "
    "such as 50 %; usual: the carriage of an order, and a third of the moulding",
    "price_rule": "what the counter asks for moulding: waste 20 %; mark-up 150 %; by ft (or in, m, "
    "cm: each begun one counts); least 25; up to 0.50 (rounded up); real in place of waste and by: "
    "what it really costs",
    "quote_days": "days that a quoted price holds",
    "large_job": "a job of more frames than this is ordered for when it comes, not stocked for",
    "last_buy_days": "how long the sample of a profile that is sold no more stays on the wall",
    "margin": "kept back on each offcut, since its length is a tape's; a profile may have its own",
    "dates": "dmy: 4/12 is 4 December; mdy: 12 April; auto: dmy but where the unit is in",
    "csv": "comma or semicolon: what parts the cells of files that are saved; either is read",
    "paper": "a4 or letter: what is printed on; auto: letter where the unit is in",
    "address": "the shop's address on orders and receipts, its lines parted by /; or none",
    "font": "a font's file of the shop's own, for letters that paper and pictures lack; or none",
    "currency": "the mark before an amount of money",
    "timezone": "where the shop's days begin, such as Europe/Vienna",
    "seconds": "how long a plan may be worked on; a week's order, many plans, six times that",
    "workers": "what plans side by side: auto, a number of processes, a Dask scheduler's address",
    "ahead": "days ahead that jobs are looked at, to be cut with today's where that pays",
    "fixings": "how far down the height hangers sit, from 1/4 to 1/3 of it",
    "one_person_kg": "a work heavier than this wants two people",
    "one_person": "a work longer than this wants two people",
    "labels": "where labels lie on their sheet or roll, in mm; see: stockroom labels --grid",
    "label_code": "qr or code128: what a scanner reads on a label",
    "sizes": "ready-made sizes with ; between; 'add 30x40 cm' puts one on the list, 'drop 30x40 "
    "cm' takes it off; usual: those usual in the unit",
    "backups": "where one is kept a day: beside the record, none, or a folder on another disk",
}


def explained() -> dict[str, str]:
    """Each setting's name as it is typed, and what it is for."""
    return dict(EXPLAINED)


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
    if name not in EXPLAINED:
        raise Unknown("unknown_setting", name, near(name, EXPLAINED))
    if name == "machine":
        return on_machine(settings, same_name(settings, typed))
    changed: dict[str, Any] = {}
    if name in LENGTHS:
        changed[f"{name}_um"] = parse_length(typed, settings.unit)
    elif name in MAY_LACK:
        none = typed.strip().lower() in (("none", "usual") if name != "margin" else ("usual",))
        changed[f"{name}_um"] = None if none else parse_length(typed, settings.unit)
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
    longest = 200 if name in ("backups", "address", "font") else 80
    if not typed or len(typed) > longest or not typed.isprintable():
        raise Unreadable(typed, "of_printable", longest=longest)
    if name == "backups" and typed not in (BESIDE, NO_BACKUPS) and not Path(typed).is_dir():
        raise Unreadable(typed, "of_backups", beside=BESIDE, none=NO_BACKUPS)
    if name == "font" and not (typed.lower().endswith(FONT_FILES) and Path(typed).is_file()):
        raise Unreadable(typed, "of_font", endings=FONT_FILES)
    return typed
