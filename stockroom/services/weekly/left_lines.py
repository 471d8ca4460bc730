"""Lines of the week's list that are left for the next: kept with what was recommended, and why."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from sqlmodel import Session, col, select

from stockroom.buying.order_terms import REVIEW_DAYS
from stockroom.facts import Fact
from stockroom.record.catalogue import profile_named
from stockroom.record.ledger import Hand, post, stands
from stockroom.record.tables import Entry

__all__ = ["LeftLine", "left_lines", "put_off"]

LEFT = "leave line"


@dataclass(frozen=True, slots=True)
class LeftLine:
    """A line that is left: the sticks that the list recommended, and why they were not ordered."""

    profile: str
    sticks: int
    why: str = ""
    until: date | None = None

    @property
    def said(self) -> Fact:
        """That it is left, until when, and why."""
        why = Fact("left_because", {"why": self.why}) if self.why else None
        return Fact("line_left", {"profile": self.profile, "sticks": self.sticks,
                                  "until": self.until, "why": why})  # fmt: skip


def put_off(session: Session, hand: Hand, lines: Sequence[LeftLine]) -> None:
    """Leaves these lines for the next review, each in an entry of its own, to be undone alone.

    Raises:
        Unknown: no profile has one of the codes.
    """
    for line in lines:
        code = profile_named(session, line.profile).code
        post(session, hand, LEFT, why=line.why, touches=[("profile", code)],
             detail={"profile": code, "sticks": line.sticks})  # fmt: skip


def left_lines(session: Session, today: date) -> dict[str, LeftLine]:
    """The lines that were left since the last review and not taken up again, by profile."""
    rows = session.exec(
        select(Entry)
        .where(col(Entry.kind) == LEFT, col(Entry.day) > today - timedelta(REVIEW_DAYS), stands())
        .order_by(col(Entry.id))
    ).all()
    found = {}
    for entry in rows:
        told = entry.detail or {}
        found[told["profile"]] = LeftLine(told["profile"], told["sticks"], entry.why or "",
                                          entry.day + timedelta(REVIEW_DAYS))  # fmt: skip
    return found
