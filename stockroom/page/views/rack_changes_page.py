"""What is done at the rack: an offcut logged, sticks received, a piece moved, measured, flawed."""

from starlette.responses import Response

from stockroom.page.asking import Ask, changes, go, render, shown
from stockroom.page.sent_body import number_typed
from stockroom.page.views.rack_page import piece
from stockroom.refusals import Refused
from stockroom.services.catalogue.load import profile_rows
from stockroom.services.rack.correct_batch import correct_batch
from stockroom.services.rack.likely_length import check_usual
from stockroom.services.rack.mark_pieces import give_back, mark
from stockroom.services.rack.new_piece import Arrival
from stockroom.services.rack.pieces import (
    log_found,
    mark_flaw,
    move,
    receive,
    remeasure,
    write_off,
)
from stockroom.services.rack.typed_pieces import (
    flaws_typed,
    marks_typed,
    parted_typed,
    several_typed,
    sticks_typed,
    stock_length,
)
from stockroom.services.rack.typed_sightings import numbers_told
from stockroom.services.saw.part_with import part_with
from stockroom.services.saw.print_labels import pieces_named, print_labels
from stockroom.units.lengths import parse_span

__all__ = ["ROUTES"]

NO_BATCH = "UNKNOWN"
MOST_LABELS = 200


def new_piece(ask: Ask) -> Response:
    """An offcut that no list knew."""
    return render(ask, "found.html", told={**ask.query, **ask.form},
                  mouldings=profile_rows(ask.shop))  # fmt: skip


def log(ask: Ask) -> Response:
    """The piece goes on the record; its label comes next."""
    form, settings = ask.form, ask.shop.settings
    typed = form.get("flaw", "").strip()
    found = Arrival(stock_length(form.get("length", ""), settings),
                    flaws=flaws_typed([typed] if typed else None, settings))  # fmt: skip
    kind = "stick" if form.get("kind") == "stick" else "offcut"
    logged = log_found(ask.shop, form.get("profile", ""), form.get("batch", "").strip() or NO_BATCH,
                       found, form.get("place", ""), "", kind)  # fmt: skip
    return go(f"/rack/{logged.id}")


def delivery(ask: Ask) -> Response:
    """Sticks that came without an order."""
    return render(ask, "receive.html", told={**ask.query, **ask.form},
                  mouldings=profile_rows(ask.shop))  # fmt: skip


def take_delivery(ask: Ask) -> Response:
    """The sticks go on the rack, each with its measured length; their labels come next."""
    form, settings = ask.form, ask.shop.settings
    marks = marks_typed(settings, owner=form.get("owner"))
    sticks = [Arrival(um, **marks) for line in several_typed(form.get("lengths", ""))
              for um in sticks_typed(line, settings)]  # fmt: skip
    if form.get("sure") != "yes":
        check_usual(ask.shop, form.get("profile", ""), [stick.length for stick in sticks])
    pieces = receive(ask.shop, form.get("profile", ""), form.get("batch", ""), sticks,
                     form.get("place", ""))  # fmt: skip
    return go(f"/rack/labels?pieces={pieces[0].id}-{pieces[-1].id}")


def piece_change(ask: Ask) -> Response:
    """One thing about a piece is put right: place, length, batch, a flaw; or it goes, whole or a
    length of it, or to the customer whose it is."""
    shop, number, form = ask.shop, ask.path["number"], ask.form
    settings, why = shop.settings, form.get("why", "").strip()
    if (what := form.get("what")) == "move":
        move(shop, number, form.get("place", ""))
    elif what == "measure":
        remeasure(shop, number, stock_length(form.get("length", ""), settings),
                  why or "measured again")  # fmt: skip
    elif what == "flaw":
        mark_flaw(shop, number, *parse_span(form.get("flaw", ""), settings.unit), why)
    elif what == "batch":
        correct_batch(shop, [number], form.get("batch", ""), why)
    elif what == "part":
        off = parted_typed(form.get("off", "").split(";"), settings)
        gone = part_with(shop, number, off, form.get("as", ""), form.get("whom", "").strip())
        if gone.offcuts:
            return go(f"/rack/labels?pieces={gone.offcuts[0].id}-{gone.offcuts[-1].id}")
    elif what == "mark":
        second = {"second": True, "first": False}.get(form.get("grade", ""))
        mark(shop, [number], marks_typed(settings, form.get("longest"), second, form.get("owner"),
                                         form.get("motif")), why)  # fmt: skip
    elif what == "give back":
        give_back(shop, [number], why)
    elif what == "scrap":
        if not why:
            raise Refused("a piece is written off for a reason", "say why, in a few words")
        write_off(shop, number, why)
    else:
        raise Refused("nothing was chosen", "use one of the keys")
    return go(f"/rack/{number}")


def labels(ask: Ask) -> Response:
    """Labels to be printed: which pieces, and from which label of a used sheet on."""
    return render(ask, "labels.html", pieces=ask.query.get("pieces", ""))


def labels_made(ask: Ask) -> Response:
    """The labels as pages to print."""
    pieces = pieces_named(ask.shop, numbers_typed(ask.form.get("pieces", "")))
    start = ask.form.get("start", "").strip()
    printed = print_labels(ask.shop, pieces, number_typed(start) if start else None)
    named = {"Content-Disposition": 'inline; filename="labels.pdf"'}
    return Response(printed.file.read_bytes(), media_type="application/pdf", headers=named)


def numbers_typed(text: str) -> list[int]:
    """Piece numbers as typed: ``4 7..12``.

    Raises:
        Refused: none is there, or too many.
    """
    numbers = numbers_told(text)
    if not 0 < len(numbers) <= MOST_LABELS:
        raise Refused("labels of {pieces:piece}", "print 1 to {most} at a time",
                      pieces=len(numbers), most=MOST_LABELS)  # fmt: skip
    return numbers


ROUTES = (
    shown("/rack/found", new_piece),
    changes("/rack/found", log, again=new_piece),
    shown("/rack/receive", delivery, "owner"),
    changes("/rack/receive", take_delivery, "owner", again=delivery),
    shown("/rack/labels", labels),
    changes("/rack/labels", labels_made, again=labels),
    changes("/rack/{number:number}/change", piece_change, again=piece),
)
