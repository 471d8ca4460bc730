"""Settings as they are kept: each text checked as what is typed is, whoever wrote it there."""

import json
import re

from stockroom.frame.cutters import CUTTERS
from stockroom.frame.standard_sizes import read_sizes
from stockroom.settings.label_sheet import read_label_sheet
from stockroom.settings.wait_cost import read_wait
from stockroom.units.price_rule import read_price_rule
from stockroom.units.shop_unit import SHOP_UNITS

__all__ = ["CHOICES", "WHOLE", "WORKERS", "stored_value"]

CHOICES = {
    "unit": tuple(SHOP_UNITS), "cutter": tuple(CUTTERS), "label_code": ("qr", "code128"),
    "stop": ("long point", "inside", "sight"), "dates": ("auto", "dmy", "mdy"),
    "csv": ("comma", "semicolon"), "paper": ("auto", "a4", "letter"),
}  # fmt: skip
WHOLE = {
    "bench_days": range(91), "ahead": range(366), "promise": range(366),
    "large_job": range(1, 501), "last_buy_days": range(7, 731),
    "quote_days": range(1, 366),
}  # fmt: skip
"""What whole numbers these settings take."""
WORKERS = re.compile(r"auto|[1-9][0-9]?|(tcp|tls)://[!-~]{1,70}")
"""As many as the computer has processors, so many, or where a Dask scheduler is."""
MAY_BE_EMPTY = ("step", "closed", "address", "sizes", "font", "price_rule")


def stored_value(name: str, text: str, *, is_text: bool) -> object:
    """A setting's value from the text that is kept; nothing where a length is none.

    Raises:
        ValueError, StockroomError: no command could have kept it.
    """
    if not is_text:
        return stored_number(name, text)
    if name in CHOICES and text not in CHOICES[name]:
        raise ValueError(f"{text!r} is none of {', '.join(CHOICES[name])}")
    if name == "workers" and not WORKERS.fullmatch(text):
        raise ValueError(f"{text!r} is no number of workers")
    if name == "labels":
        read_label_sheet(text)
    if name == "wait_cost":
        read_wait(text)
    if name == "price_rule":
        read_price_rule(text)
    if name == "sizes" and text:
        read_sizes(text, "mm")
    if name == "machines":
        check_machines(text)
    if not text.isprintable() or not (text or name in MAY_BE_EMPTY):
        raise ValueError("it cannot be shown")
    return text


def stored_number(name: str, text: str) -> int | None:
    """A whole number as it is kept; an empty text is none."""
    if not text:
        return None
    if not (text.isascii() and text.isdecimal() and len(text) < 10):
        raise ValueError(f"{text!r} is no number")
    if name in WHOLE and int(text) not in WHOLE[name]:
        raise ValueError(f"{name} of {text}")
    return int(text)


def check_machines(text: str) -> None:
    """What is kept of the machines that are not in use can be read.

    Raises:
        ValueError: it cannot.
    """
    kept = json.loads(text)
    if not isinstance(kept, dict):
        raise ValueError("it names no machines")
    for name, values in kept.items():
        if not name.isprintable() or not isinstance(values, dict):
            raise ValueError(f"machine {name!r} is not understood")
        for field, value in values.items():
            told = "" if value is None else str(value)
            stored_value(field, told, is_text=isinstance(value, str))
