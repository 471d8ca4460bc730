"""The saw: one piece at a time. The page is a program; what it sends is each recorded once."""

import json
import time
from dataclasses import replace
from datetime import UTC, datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints
from starlette.responses import FileResponse, JSONResponse, Response

from stockroom.page.asking import Ask, changes, render, shown
from stockroom.refusals import Recorded, Unreadable
from stockroom.services.morning.sheets import plan_rows
from stockroom.services.rack.rails_back import NOT_MEASURED
from stockroom.services.record.undo import brought_by, undo
from stockroom.services.saw.bench_work import (
    BenchPiece,
    BenchWork,
    Settled,
    bench_work,
    how_settled,
)
from stockroom.services.saw.beside_plan import record_beside_plan
from stockroom.services.saw.print_labels import pieces_named, print_labels
from stockroom.services.saw.record_cut import CutDone, cut_before, record_cut, record_left
from stockroom.services.saw.typed_cuts import report_told
from stockroom.services.shop import Shop, zone_of
from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import CAUTIONS, Part, SheetPiece
from stockroom.views.sheet_rows import also_read, sayings
from stockroom.words.language import word
from stockroom.words.plan_reasons import in_words

__all__ = ["ROUTES", "CutForm"]

Number = Annotated[int, Field(ge=1, lt=10**9)]
Key = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{32}$")]
Text = Annotated[str, StringConstraints(max_length=200)]


class CutForm(BaseModel):
    """What happened to one piece, as the tablet tells it: positions from 1, lengths as typed.

    A miscut rail is its position, or ``2=440 mm`` where what remains of it was measured.
    """

    model_config = ConfigDict(extra="forbid", strict=True)

    key: Key
    plan: Number
    piece: Number
    outcome: Literal["cut", "not today"]
    instead: Number | None = None
    miscut: Annotated[list[Number | Text], Field(max_length=100)] = []
    uncut: Annotated[list[Number], Field(max_length=100)] = []
    leftover: Annotated[list[Text], Field(max_length=100)] = []
    flaw: Annotated[list[Text], Field(max_length=1)] = []
    why: Text = ""
    anyway: bool = False
    cut_at: Annotated[str, StringConstraints(max_length=40)] = ""


def saw(ask: Ask) -> Response:
    """The page, with what waits in it, so that it works on when the network drops at once."""
    return render(ask, "saw.html", work=json.dumps(work_told(ask)),
                  cautions=CAUTIONS)  # fmt: skip


def work(ask: Ask) -> Response:
    """What waits now, for the page to take over."""
    return JSONResponse(work_told(ask))


def work_told(ask: Ask) -> dict[str, Any]:
    """The accepted plans, and the pieces of the one that is at the saw, in plain values."""
    settings = ask.shop.settings
    rows = plan_rows(ask.shop, states=("accepted",))
    numbers = [row.number for row in rows]
    asked = ask.query.get("plan", "")
    plan = int(asked) if asked.isdecimal() and int(asked) in numbers else max(numbers, default=0)
    told: dict[str, Any] = {
        "plan": plan, "plans": numbers, "measure": settings.tape,
        "who": ask.device.who, "owner": ask.may("owner"), "pieces": [],
        "stamp": stamp(),
    }  # fmt: skip
    if plan:
        told["pieces"] = pieces_told(bench_work(ask.shop, plan), settings)
    return told


def stamp() -> int:
    """When an answer was made, ms: the page tells by it which of two is the newer."""
    return time.time_ns() // 1_000_000


def pieces_told(bench: BenchWork, settings: Settings) -> list[dict[str, Any]]:
    """The pieces of a plan in plain values; lengths in um, and as they are read."""
    return [piece_told(one, settings) for one in bench.pieces]


def piece_told(one: BenchPiece, settings: Settings) -> dict[str, Any]:
    """One piece in plain values."""
    piece = one.piece
    rails = [
        {"at": position, "frame": rail.frame, "um": rail.length,
         **measures_told(piece, rail, settings), "stretch": stretch, "hold": rail.hard_to_hold,
         "far": rail.far, "ends": [float(angle) for angle in rail.angles]}
        for position, (rail, stretch) in enumerate(zip(piece.rails, one.stretches, strict=True), 1)
    ]  # fmt: skip
    return {
        "number": piece.number, "place": piece.spot, "profile": piece.profile,
        "batch": piece.batch, "kind": word(piece.kind), "um": piece.length,
        "text": settings.stock_with_unit(piece.length), "rails": rails,
        "parts": [{"kind": part.kind, "start": part.start, "um": part.length,
                   "turn": part.turn,
                   "text": word("scrap") if part.kind == "scrap" else settings.stock(part.length)}
                  for part in piece.parts],
        "left": [{"um": um, "trim": trim, "text": settings.stock(um)}
                 for um, trim in zip(one.leftovers, one.trims, strict=True)],
        "allowance": one.allowance, "keep": one.keep,
        "said": [*map(word, sayings(piece)), *(in_words(mark, settings) for mark in piece.marks)],
        "settled": None if one.settled is None else settled_told(one.settled, settings),
    }  # fmt: skip


def measures_told(piece: SheetPiece, rail: Part, settings: Settings) -> dict[str, str]:
    """What the machine's stop reads of a rail, and the other measures in words."""
    name, read = piece.measures(rail)[0]
    return {"text": settings.length(read), "reads": name,
            "also": ", ".join(map(word, also_read(piece, rail, settings)))}  # fmt: skip


def settled_told(settled: Settled, settings: Settings) -> dict[str, Any]:
    """How a piece was settled, in plain values."""
    return {
        "entry": settled.entry, "kind": word(settled.kind), "who": settled.who,
        "at": clock(settled.at, settings),
        "offcuts": [{"number": number, "text": settings.stock_with_unit(um)}
                    for number, um in settled.offcuts],
    }  # fmt: skip


def clock(moment: datetime, settings: Settings) -> str:
    """A time of day as the shop's clock shows it."""
    return f"{moment.astimezone(zone_of(settings.timezone)):%H:%M}"


def cut(ask: Ask) -> Response:
    """Records one piece, once: a key that came before is answered as it was then."""
    told: CutForm = ask.body
    try:
        done = recorded(ask.shop, told)
    except Recorded as before:
        done = cut_before(ask.shop, before.entry)
    settled, undone = how_settled(ask.shop, done.entry)
    at = clock(settled.at, ask.shop.settings)
    return JSONResponse({
        "settled": None if undone else settled_told(settled, ask.shop.settings),
        "words": words_of(done, settled, at, undone, ask.shop.settings), "undone": bool(undone),
        "offcuts": [{"number": piece.id} for piece in done.offcuts], "stamp": stamp(),
    })  # fmt: skip


def recorded(shop: Shop, told: CutForm) -> CutDone:
    """The piece as cut, or as left; beside its plan where the framer says that it is true."""
    moment = moment_told(told.cut_at)
    report = report_told(told.plan, told.model_dump(), shop.settings)
    report = replace(report, cut_at=moment)
    if told.outcome == "not today":
        flaw = report.flaws[0] if report.flaws else None
        return record_left(shop, told.plan, told.piece, told.why, flaw, moment)
    if told.anyway:
        return record_beside_plan(shop, report)
    return record_cut(shop, report)


def moment_told(text: str) -> datetime | None:
    """When the tablet says that it was cut.

    Raises:
        Unreadable: it is no time.
    """
    if not text:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        raise Unreadable(text, "a time such as 2026-11-23T09:40:00Z") from None
    if moment.tzinfo is None:
        raise Unreadable(text, "a time with its zone, such as 2026-11-23T09:40:00Z")
    return moment.astimezone(UTC)


def words_of(done: CutDone, settled: Settled, at: str, undone: str, settings: Settings) -> str:
    """What the record made of a piece, in a sentence or two for the bench."""
    if undone:
        return word("Piece {piece} was recorded at {at} and undone since by {who}. "
                    "It is not cut again in the record.",
                    piece=done.piece, at=at, who=undone)  # fmt: skip
    if settled.kind == "left":
        return word("Piece {piece} is left for another day.", piece=done.piece)
    parts = [word("Write on the offcut: {number} · {length}", number=piece.id,
                  length=settings.stock_with_unit(piece.length))
             + (word(" · to {spot}", spot=piece.spot) if piece.spot else "")
             + (word(" (miscut: measure it)") if piece.note == NOT_MEASURED else "")
             for piece in done.offcuts]  # fmt: skip
    parts += [word("{frame} has all its rails", frame=frame) for frame in done.finished]
    if done.again:
        again = tuple(dict.fromkeys(done.again))
        parts.append(word("{frames} {frames:goes|go} into the next plan", frames=again))
    kept = ". ".join([*parts, ""]).strip()
    return kept or word("Piece {piece} is recorded; nothing to keep.", piece=done.piece)


def undo_entry(ask: Ask) -> Response:
    """Undoes an entry of the saw."""
    entry, _ = undo(ask.shop, ask.path["number"], "undone at the saw")
    said = word("Undone: {what}. The piece waits again.", what=word(entry.kind))
    if void := brought_by(ask.shop, entry.id):
        said += " " + word("Strike out {pieces} where it is written.", pieces=void)
    return JSONResponse({"words": said})


def label(ask: Ask) -> Response:
    """An offcut's label to print, on the next label of the sheet."""
    printed = print_labels(ask.shop, pieces_named(ask.shop, [ask.path["number"]]))
    return FileResponse(printed.file, media_type="application/pdf",
                        content_disposition_type="inline")  # fmt: skip


ROUTES = (
    shown("/saw", saw),
    shown("/saw/work", work),
    changes("/saw/cut", cut, body=CutForm),
    changes("/saw/undo/{number:number}", undo_entry, "owner"),
    changes("/saw/label/{number:number}", label),
)
