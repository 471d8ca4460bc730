"""A shelf counted with the tablet in hand: seen, missing, measured; settled in one entry."""

from collections.abc import Iterator

from starlette.responses import Response

from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.sent_body import number_typed
from stockroom.record.stocktake import Scope, Sighting
from stockroom.services.rack.count import compare, count_sheet, settle
from stockroom.services.rack.typed_sightings import numbers_told, unlabelled_told
from stockroom.units.lengths import parse_length

__all__ = ["ROUTES"]

LENGTH = "length-"
TOLD = ("at", "as_of", "seen", "others", "unlabelled")


def shelf(ask: Ask) -> Response:
    """What should lie at a place, to be touched as it is seen."""
    sheet = count_sheet(ask.shop, scope_of(ask))
    return render(ask, "count.html", spot=sheet.scope.spot, pieces=sheet.pieces,
                  longest=max((piece.length for piece in sheet.pieces), default=1),
                  as_of=ask.form.get("as_of", sheet.as_of),
                  seen=ask.many.get("seen", ()))  # fmt: skip


def scope_of(ask: Ask) -> Scope:
    """The one place that is counted."""
    return Scope(ask.form.get("at", ask.query.get("at", "")), alone=True)


def check(ask: Ask) -> Response:
    """The count beside the record, before anything is written."""
    told = compare(ask.shop, scope_of(ask), began(ask), list(sightings(ask)))
    again = [(name, text) for name, texts in ask.many.items() for text in texts
             if name in TOLD or name.startswith(LENGTH)]  # fmt: skip
    return render(ask, "count_check.html", told=told, again=again, spot=ask.form.get("at", ""))


def settled(ask: Ask) -> Response:
    """The record is set right by the count, in one entry."""
    _, told = settle(ask.shop, scope_of(ask), began(ask), list(sightings(ask)),
                     ask.form.get("why", ""))  # fmt: skip
    if fresh := [row.number for row in told.found]:
        return go(f"/rack/labels?pieces={'+'.join(map(str, fresh))}")
    return go("/rack")


def began(ask: Ask) -> int:
    """The entry that the count began at."""
    return number_typed(ask.form.get("as_of", ""))


def sightings(ask: Ask) -> Iterator[Sighting]:
    """What was seen: touched, measured, read from other labels, or without a label.

    Raises:
        Unreadable, Refused: something of it is no number or length.
    """
    unit = ask.shop.settings.unit
    lengths = {number_typed(name.removeprefix(LENGTH)): text for name, text in ask.form.items()
               if name.startswith(LENGTH) and text.strip()}  # fmt: skip
    seen = {number_typed(text) for text in ask.many.get("seen", ())}
    others = set(numbers_told(ask.form.get("others", "")))
    for number in sorted(seen | others | lengths.keys()):
        text = lengths.get(number)
        yield Sighting(number, None if text is None else parse_length(text, unit, rounding="down"))
    for line in ask.form.get("unlabelled", "").splitlines():
        if line.strip():
            yield unlabelled_told(line, scope_of(ask), ask.shop.settings)


ROUTES = (
    shown("/rack/count", shelf),
    changes("/rack/count", check, again=shelf),
    changes("/rack/count/settle", settled, again=check),
)
