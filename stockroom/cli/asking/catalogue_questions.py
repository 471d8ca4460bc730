"""Questions for a new profile or supplier; what was given by options is not asked."""

import sys
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence

from stockroom.cli.asking.questions import unless_odd
from stockroom.refusals import Refused, Unlikely
from stockroom.remedies import Do, Remedy
from stockroom.screens.ask import ask_choice, ask_text
from stockroom.services.catalogue.load import profile_rows, supplier_rows
from stockroom.services.catalogue.suppliers import add_supplier
from stockroom.services.shop import Shop
from stockroom.units.decimals import yes_or_no
from stockroom.units.lengths import Micrometres, parse_length
from stockroom.units.money import parse_money
from stockroom.words.language import word

__all__ = ["ask_profile", "ask_supplier", "asks"]

SECTIONS = {"rabbeted": ("rabbet_width", "rabbet_depth"), "float": ("wall", "recess_depth"),
            "plain": ()}  # fmt: skip
"""What each kind has besides its face; a plain bar is a batten, a strainer's or a spacer."""
MEANT = {
    "face": "Face, sight edge to back edge, seen from the front",
    "rabbet_width": "Rabbet width, how far its lip covers",
    "rabbet_depth": "Rabbet depth",
    "wall": "Wall, its thickness seen from the front",
    "recess_depth": "Recess depth, ledge to front edge",
    "height": "Height, front to back (may be empty)",
    "stick_length": "Length of a stick",
    "shortest_kept": "Shortest offcut kept",
    "end_trim": "Lost at each factory end",
    "batch_matched": "Must its rails match by batch? yes or no",
    "price_per_stick": "Price of a stick (may be empty)",
    "species": "Its wood (may be empty)",
}
EMPTY = ("height", "price_per_stick", "species")
USUAL = {
    "shortest_kept": ("12", "300 mm"),
    "end_trim": ("3/8", "10 mm"),
    "batch_matched": ("no",) * 2,
}
"""What is proposed in inches and in metres, where the catalogue's other profiles tell nothing."""


def asks(given: Mapping[str, str]) -> bool:
    """True where questions are to be asked: at a terminal, or nothing was given."""
    return sys.stdin.isatty() or not given


def ask_profile(shop: Shop, code: str, given: Mapping[str, str]) -> dict[str, str]:
    """The values of a new profile, asked for where they were not given; like the others' if empty.

    A supplier that is not known yet is put into the catalogue.
    """
    told = dict(given)
    told["supplier"] = told.get("supplier") or ask_seller(shop)
    told["name"] = told.get("name") or ask_text("Name", "--set name=", default=code.upper())
    told["kind"] = told.get("kind") or ask_choice(
        "Kind", "--set kind=", tuple(SECTIONS), "rabbeted"
    )
    section = SECTIONS.get(told["kind"], ())
    for name in ("face", *section, *(key for key in MEANT if key not in ALL_SECTIONS)):
        if not told.get(name):
            told[name] = ask_text(MEANT[name], f"--set {name}=", default=proposed(shop, name),
                                  read=reader(shop, name, told))  # fmt: skip
    return {name: value for name, value in told.items() if value}


ALL_SECTIONS = {"face", *SECTIONS["rabbeted"], *SECTIONS["float"]}


LIKELY_MM = {
    "face": (4, 250), "rabbet_width": (2, 50), "rabbet_depth": (2, 120), "wall": (2, 80),
    "recess_depth": (2, 150), "height": (4, 250), "stick_length": (900, 6_500),
    "end_trim": (0, 100),
}  # fmt: skip
"""What mouldings usually measure; wide bounds, from memory. What is far outside is asked about."""
LESS = (
    ("rabbet_width", "face"), ("wall", "face"), ("rabbet_depth", "height"),
    ("recess_depth", "height"), ("shortest_kept", "stick_length"), ("end_trim", "stick_length"),
)  # fmt: skip
"""Of two values the first is less than the second."""


def likely(shop: Shop, name: str, um: Micrometres, told: Mapping[str, str]) -> None:
    """A length of a profile makes sense beside those before it, and is one that mouldings have.

    Raises:
        Refused: it does not; or it is unlikely, and not right.
    """
    show, unit = shop.settings.length_with_unit, shop.settings.unit
    for lesser, greater in LESS:
        other = {lesser: greater, greater: lesser}.get(name, "")
        limit = parse_length(told[other], unit) if told.get(other) else None
        if limit is not None and (um >= limit if name == lesser else um <= limit):
            how = word("less") if name == lesser else word("more")
            raise Refused(word("{um} is not {how} than the {it}, {limit}", um=show(um), how=how,
                               it=other.replace("_", " "), limit=show(limit)))  # fmt: skip
    least, most = LIKELY_MM.get(name, (0, 100_000))

    def check() -> None:
        if not least * 1000 <= um <= most * 1000:
            usual = {"least": show(least * 1000), "most": show(most * 1000)}
            raise Unlikely("{length} is unlikely: {least} to {most} is usual",
                           Remedy(Do.ODD_LENGTH), length=show(um), **usual)  # fmt: skip

    unless_odd(False, check)


def reader(shop: Shop, name: str, told: Mapping[str, str]) -> Callable[[str], object] | None:
    """What reads the answer for this value, beside those that were told before."""
    if name == "species":
        return None
    if name == "price_per_stick":
        return parse_money
    if name == "batch_matched":
        return yes_or_no
    return lambda typed: likely(shop, name, parse_length(typed, shop.settings.unit), told)


def proposed(shop: Shop, name: str) -> str | None:
    """What is taken where the answer is empty: what most profiles have; None where it is needed."""
    if name in EMPTY:
        return ""
    if name not in (*USUAL, "stick_length"):
        return None
    show = shop.settings.length_with_unit
    held = [getattr(one, column(name)) for one in profile_rows(shop)]
    if name != "batch_matched" and (most := commonest(held)):
        return show(most)
    return None if name == "stick_length" else USUAL[name][not shop.settings.measure.inches]


def column(name: str) -> str:
    """The table's column of a value."""
    return {"shortest_kept": "keep_um", "end_trim": "end_trim_um",
            "stick_length": "stick_length_um"}.get(name, name)  # fmt: skip


def commonest(held: Iterable[int]) -> int:
    """The length that most profiles have; 0 where there is none."""
    return max(Counter(held).items(), key=lambda one: one[1], default=(0, 0))[0]


def ask_seller(shop: Shop) -> str:
    """The code of the profile's supplier; one that is new is added."""
    known: Sequence[str] = [one.code for one in supplier_rows(shop)]
    only = known[0] if len(known) == 1 else None
    while True:
        asked = word("Supplier ({known})", known=tuple(known)) if known else "Supplier's code"
        code = ask_text(asked, "--set supplier=", default=only).upper()
        if code in known:
            return code
        asked = word("{code} is new; its name (empty: another code)", code=code)
        name = ask_text(asked, "--set supplier=", default="")
        if name:
            return add_supplier(shop, code, {"name": name})


def ask_supplier(given: Mapping[str, str]) -> dict[str, str]:
    """The values of a new supplier, its name and terms."""
    told = dict(given)
    for name, question in (
        ("name", "Name"), ("lead_days", "Days from order to delivery (may be empty)"),
        ("delivery_day", "Delivers on, such as Wednesday (may be empty)"),
    ):  # fmt: skip
        if not told.get(name):
            told[name] = ask_text(question, f"--set {name}=",
                                  default=None if name == "name" else "")  # fmt: skip
    return {name: value for name, value in told.items() if value}
