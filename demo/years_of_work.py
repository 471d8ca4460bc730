"""Years of a shop's work as rows, one cycle after another, numbered as the services number them.

A cycle: five sticks ordered, received and moved, five jobs taken in (one held and released), a plan
of them accepted, five cuts, and five offcuts written off or put away.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Any

from sqlmodel import SQLModel

from stockroom.record.order_tables import Purchase, PurchaseLine, Receipt
from stockroom.record.tables import (
    Batch,
    Entry,
    Frame,
    Job,
    Line,
    Move,
    Piece,
    Plan,
    PlanPiece,
    PlanRail,
    Touch,
)

__all__ = ["ORDER", "PRICE", "STICK", "TRIM", "RecordSize", "Rows", "Years", "code_of"]

LAST = datetime(2026, 11, 20, 9, tzinfo=UTC)
CYCLES_A_DAY = 4
"""Twenty frames a day, every day: a million entries are 28 years of work."""
STICK, ACROSS, UPRIGHT, TRIM, CUT = 3_000_000, 535_000, 435_000, 10_000, 5_026
LEFT = STICK - TRIM - 2 * (ACROSS + UPRIGHT) - 4 * CUT
BUNDLE = 5
CYCLE_ENTRIES = 6 + 4 * BUNDLE
KEPT_CYCLES = 8
"""The last cycles of each profile, whose offcuts are still on the rack."""
CHUNK = 400
PRICE = 1_850
ORDER = (Entry, Batch, Piece, Job, Frame, Plan, PlanPiece, PlanRail, Line, Move, Touch, Purchase,
         PurchaseLine, Receipt)  # fmt: skip

Rows = dict[type[SQLModel], list[dict[str, Any]]]


@dataclass(frozen=True, slots=True)
class RecordSize:
    """How large a shop is: entries at least, profiles, and whole sticks of each on the rack."""

    entries: int
    profiles: int
    sticks: int = 10

    @property
    def cycles(self) -> int:
        """How many cycles of work it has behind it."""
        return -(-self.entries // CYCLE_ENTRIES)

    @property
    def pieces(self) -> int:
        """How many pieces are on its rack."""
        return self.profiles * (
            self.sticks + min(KEPT_CYCLES, self.cycles // self.profiles) * BUNDLE
        )


def code_of(profile: int) -> str:
    """The code of a profile by its number."""
    return f"M-{profile:03d}"


class Years:
    """Years of work as rows, numbered as the services number them."""

    def __init__(self, size: RecordSize) -> None:
        self.size = size
        self.rows: Rows = {table: [] for table in ORDER}
        self.entry, self.line, self.piece, self.move, self.job = 1, 0, 0, 0, 0
        self.plan, self.rail, self.order = 0, 0, 0
        self.now = LAST - timedelta(size.cycles // CYCLES_A_DAY)

    def add(self, table: type[SQLModel], **row: Any) -> None:
        """One row."""
        self.rows[table].append(row)

    def begin(self, kind: str, *touches: tuple[str, int | str], **detail: Any) -> int:
        """One entry."""
        self.entry += 1
        self.add(Entry, id=self.entry, at=self.now, day=self.now.date(), kind=kind, who="marn",
                 why="", reverses=None, detail=detail)  # fmt: skip
        for what, which in touches:
            self.add(Touch, entry_id=self.entry, what=what, which=str(which))
        return self.entry

    def flow(
        self,
        place: str,
        length: int,
        at: tuple[str, str],
        piece: int | None = None,
        frame: int | None = None,
        rail: int | None = None,
        cause: str = "",
    ) -> None:
        """One line of the entry."""
        self.line += 1
        self.add(Line, id=self.line, entry_id=self.entry, place=place, cause=cause,
                 profile_code=at[0], batch_code=at[1], piece_id=piece, frame_id=frame, rail=rail,
                 length_um=length)  # fmt: skip

    def put(self, piece: int, spot: str) -> None:
        """A piece at a place."""
        self.move += 1
        self.add(Move, id=self.move, piece_id=piece, spot=spot, moved_in=self.entry, lifted_in=None)

    def received(self, at: tuple[str, str], count: int, gone: list[int | None]) -> list[int]:
        """Sticks come in, to leave in these entries."""
        first = self.piece + 1
        self.piece += count
        pieces = list(range(first, first + count))
        self.begin("receive", ("profile", at[0]), *(("piece", piece) for piece in pieces))
        for piece, left in zip(pieces, gone, strict=True):
            self.piece_row(piece, at, "stick", None, left)
            self.flow("supplier", -STICK, at)
            self.flow("rack", STICK, at, piece)
            self.put(piece, f"A{piece % 40}")
        return pieces

    def ordered(self, at: tuple[str, str], gone: list[int | None]) -> list[int]:
        """Sticks are ordered, and come, to leave in these entries."""
        self.order += 1
        drafted = self.begin("draft order", ("order", self.order))
        placed = self.begin("place order", ("order", self.order))
        pieces = self.received(at, len(gone), gone)
        self.add(Touch, entry_id=self.entry, what="order", which=str(self.order))
        self.add(Purchase, id=self.order, supplier_code="LARK", state="received",
                 reference=f"{self.order}", due=self.now.date(), drafted_in=drafted,
                 placed_in=placed, closed_in=self.entry)  # fmt: skip
        self.add(PurchaseLine, id=self.order, purchase_id=self.order, profile_code=at[0],
                 sticks=len(gone), stick_length_um=STICK, price_minor=PRICE)  # fmt: skip
        for piece in pieces:
            self.add(Receipt, piece_id=piece, line_id=self.order, received_in=self.entry,
                     price_minor=PRICE)  # fmt: skip
        return pieces

    def piece_row(
        self, piece: int, at: tuple[str, str], kind: str, parent: int | None, left: int | None
    ) -> None:
        """One piece, that came in now."""
        self.add(Piece, id=piece, profile_code=at[0], batch_code=at[1], kind=kind,
                 parent_id=parent, came_in=self.entry, left_in=left, since=self.now.date(),
                 label_end="factory" if kind == "stick" else "cut", far_end="factory",
                 note="")  # fmt: skip

    def stocked(self) -> Rows:
        """The whole sticks on the rack."""
        for number in range(self.size.profiles):
            at = (code_of(number), "STOCK")
            self.add(Batch, profile_code=at[0], code=at[1])
            self.received(at, self.size.sticks, [None] * self.size.sticks)
        return self.taken_rows()

    def taken_rows(self) -> Rows:
        """The rows so far, which are then begun anew."""
        rows, self.rows = self.rows, {table: [] for table in ORDER}
        return rows

    def worked(self) -> Iterator[Rows]:
        """All cycles, some at a time."""
        kept = self.size.cycles - KEPT_CYCLES * self.size.profiles
        for cycle in range(self.size.cycles):
            number = cycle % self.size.profiles
            at = (code_of(number), f"B{cycle // self.size.profiles}")
            self.add(Batch, profile_code=at[0], code=at[1])
            self.now = LAST - timedelta((self.size.cycles - cycle) // CYCLES_A_DAY)
            self.cycle(at, keep=cycle >= kept)
            if cycle % CHUNK == CHUNK - 1:
                yield self.taken_rows()
        yield self.taken_rows()

    def cycle(self, at: tuple[str, str], *, keep: bool) -> None:
        """Five sticks from the supplier to rails."""
        accepted = self.entry + 6 + 2 * BUNDLE
        cuts = [accepted + 1 + place for place in range(BUNDLE)]
        sticks = self.ordered(at, list(cuts))
        for stick in sticks:
            self.begin("move", ("piece", stick))
            self.put(stick, "B1")
        jobs = [self.taken_in(at, done) for done in cuts]
        for kind, was in (("hold", "open"), ("release", "held")):
            self.begin(kind, ("job", jobs[0]), was={"state": was}, frames={})
        self.accepted(sticks, jobs, cuts)
        offcuts = [self.cut(at, stick, job, keep=keep)
                   for stick, job in zip(sticks, jobs, strict=True)]  # fmt: skip
        for offcut in offcuts:
            self.put_away(at, offcut, keep=keep)

    def taken_in(self, at: tuple[str, str], done: int) -> int:
        """A job of one frame, that is cut later."""
        self.job += 1
        self.begin("take in", ("job", self.job))
        self.add(Job, id=self.job, customer=f"customer {self.job % 997}", title="",
                 profile_code=at[0], widths_um=[500_000], heights_um=[400_000], depth_um=None,
                 gap_um=None, allowance_um=None, mat_um=None, mat_overlap_um=None,
                 due=self.now.date(), quantity=1, one_batch=False, one_piece=False, note="",
                 state="open", taken_in=self.entry)  # fmt: skip
        self.add(Frame, id=self.job, job_id=self.job, number=1, across_um=ACROSS,
                 upright_um=UPRIGHT, done_in=done, dropped_in=None)  # fmt: skip
        return self.job

    def accepted(self, sticks: list[int], jobs: list[int], cuts: list[int]) -> None:
        """A plan of these jobs from these sticks, cut in these entries."""
        self.plan += 1
        about = [("piece", stick) for stick in sticks] + [("job", job) for job in jobs]
        entry = self.begin("accept", ("plan", self.plan), *about)
        self.add(Plan, id=self.plan, made_at=self.now, day=self.now.date(), who="marn",
                 state="finished", until=self.now.date(), problem="{}", answer="{}", choices={},
                 accepted_in=entry, closed_in=cuts[-1])  # fmt: skip
        for place, (stick, job, cut) in enumerate(zip(sticks, jobs, cuts, strict=True)):
            self.add(PlanPiece, plan_id=self.plan, piece_id=stick, position=place, held_in=entry,
                     settled_in=cut)  # fmt: skip
            for rail in range(4):
                self.rail += 1
                self.add(PlanRail, id=self.rail, plan_id=self.plan, piece_id=stick, stretch=0,
                         position=rail, frame_id=job, rail=rail, settled_in=cut, held_in=entry,
                         length_um=(ACROSS, UPRIGHT)[rail % 2])  # fmt: skip

    def cut(self, at: tuple[str, str], stick: int, job: int, *, keep: bool) -> int:
        """A stick cut into the rails of a job; gives the offcut, written off later unless kept."""
        self.piece += 1
        offcut = self.piece
        self.begin("cut", ("plan", self.plan), ("piece", stick), ("piece", offcut), ("job", job),
                   planned_um=[LEFT], measured_um=[LEFT], rails=4, allowance_um=CUT,
                   difference_um=0, trim_um=TRIM, was_measured=0)  # fmt: skip
        place = (self.piece - 1) % BUNDLE
        gone = None if keep else self.entry + BUNDLE
        self.piece_row(offcut, at, "offcut", stick, gone)
        self.flow("rack", -STICK, at, stick)
        for rail in range(4):
            self.flow("rails", (ACROSS, UPRIGHT)[rail % 2], at, frame=job, rail=rail)
        self.flow("scrap", TRIM, at, cause="end trim")
        self.flow("saw", 4 * CUT, at)
        self.flow("rack", LEFT, at, offcut)
        self.put(offcut, f"C{place}")
        return offcut

    def put_away(self, at: tuple[str, str], offcut: int, *, keep: bool) -> None:
        """An offcut is put at its place, or written off."""
        self.begin("move" if keep else "write off", ("piece", offcut))
        if keep:
            self.put(offcut, f"C{offcut % 40}")
        else:
            self.flow("rack", -LEFT, at, offcut)
            self.flow("scrap", LEFT, at, cause="written off")
