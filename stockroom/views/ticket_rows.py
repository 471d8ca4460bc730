"""A ticket's numbers as rows for screen and paper: what, value, unit, how it was found."""

from math import ceil

from stockroom.frame.bench_ticket import Ticket
from stockroom.frame.hanging import GRAVITY
from stockroom.settings.shop_settings import Settings

__all__ = ["Row", "hang_rows", "joining_rows", "weight_rows"]

Row = tuple[str, str, str, str]
GRAMS_A_POUND = 453.59237


def joining_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """Joining and fitting: V-nails and how many, spacers, the stretcher bar, the longest screw."""
    show, unit = settings.length, settings.unit
    guessed = "estimated" if "moulding height" in ticket.estimated else ""
    rows: list[Row] = [("moulding height", show(ticket.height_um), unit, guessed)]
    place = f"{ticket.nail_in.where}, {show(ticket.nail_in.thick_um)} {unit} thick"
    if ticket.nail_um is None:
        rows.append(("V-nail", "none", "", f"too thin: the {place}"))
    else:
        rows.append(("V-nail, suggested", f"{ticket.nail_um // 1000}", "mm", f"into the {place}"))
        rows.append(("V-nails", f"{8 * ticket.quantity}", "", "two a corner"))
    if ticket.spacer_um is not None:
        rows.append(("spacers, each side", show(ticket.spacer_um), unit, "the gap"))
    return [*rows, *screw_rows(ticket, settings)]


def screw_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """The screw that fixes a canvas in its float, where the canvas's depth is known."""
    show, unit = settings.length, settings.unit
    if ticket.bar_um is None:
        return []
    guess = "a guess: measure it" if "stretcher bar" in ticket.estimated else ""
    rows: list[Row] = [("stretcher bar", show(ticket.bar_um), unit, guess)]
    if ticket.screw is None:
        return [*rows, ("longest screw", "none", "", "the bar is too thin: use clips")]
    ledge = "measure the ledge first" if "moulding height" in ticket.estimated else ""
    return [
        *rows,
        ("longest screw", f"{ticket.screw.longest_um // 1000}", "mm",
         ledge or "half the bar; pre-drill"),
        ("stops short by", show(ticket.screw.short_of_um), unit, "of the canvas"),
    ]  # fmt: skip


def weight_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """Each part of the weight, given or estimated, and their sum."""
    rows = [
        (weight.part, *heavy(weight.grams, settings),
         f"{'given' if weight.given else 'estimated'}: {weight.how}")
        for weight in ticket.weights
    ]  # fmt: skip
    sure = all(weight.given for weight in ticket.weights)
    return [*rows, ("weight in all", *heavy(ticket.grams, settings), "" if sure else "estimated")]


def hang_rows(ticket: Ticket, settings: Settings) -> list[Row]:
    """Fixings, wire, pull and the strength to look for."""
    hang, show, unit = ticket.hanging, settings.length, settings.unit
    rows: list[Row] = [
        ("fixings, from the top", show(hang.down_um), unit, f"{settings.fixings} of the height"),
        ("fixings, apart", show(hang.span_um), unit,
         "in the stretcher bars" if ticket.moulding.kind == "float" else "middle of the rails"),
    ]  # fmt: skip
    if hang.method == "hangers":
        flush = "inset in the bar: lies flush" if ticket.moulding.kind == "float" else ""
        rows.append(("hangers", f"{2 * ticket.quantity}", "", flush))
    if hang.rise_um is not None and hang.taut_um is not None and hang.buy_um is not None:
        rows += [
            ("hook above fixings", show(hang.rise_um), unit, ""),
            ("wire between them", show(hang.taut_um), unit, "pulled taut"),
            ("wire to cut", show(hang.buy_um), unit, "with its ends to twist"),
            ("angle from level", f"{hang.angle:.0f}", "degrees", ""),
        ]
    what = "pull in the wire" if hang.method == "wire" else "pull on each hanger"
    how = "W / (2 sin a)" if hang.method == "wire" else "half the weight"
    rows.append((what, *pulled(hang.pull_n, settings), how))
    rated = hang.rated_kg * 1000
    rows += [
        (
            "load rating, each",
            *heavy(rated / hang.factor, settings, up=True),
            "on the packet, at least",
        ),
        ("breaking strength", *heavy(rated, settings, up=True), f"{hang.factor:g} times the pull"),
    ]
    return rows


def heavy(grams: float, settings: Settings, *, up: bool = False) -> tuple[str, str]:
    """A weight to two places with its unit: pounds where lengths are inches, else kilograms.

    ``up`` rounds what something must bear to the safe side.
    """
    each, unit = (GRAMS_A_POUND, "lb") if settings.measure.inches else (1000, "kg")
    return f"{ceil(grams / each * 100) / 100 if up else grams / each:.2f}", unit


def pulled(newtons: float, settings: Settings) -> tuple[str, str]:
    """A pull with its unit: pounds of force where lengths are inches, else newtons."""
    if settings.measure.inches:
        return f"{newtons / (GRAMS_A_POUND / 1000 * GRAVITY):.1f}", "lbf"
    return f"{newtons:.0f}", "N"
