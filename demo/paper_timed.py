"""How long paper takes, beside as many pages of plain text by the same library.

``python -m demo.paper_timed`` prints, for 124 pages of cut sheet and for 1,000 labels (QR codes and
bars), the median processor time of a whole process, and its ratio to plain text on as many pages.
"""

import os
import statistics
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import date

from planner.values import Reason
from stockroom.settings.label_sheet import CodeKind, read_label_sheet
from stockroom.settings.shop_settings import Settings
from stockroom.views.sheet import Part, Sheet, SheetPiece, Tally

__all__ = ["main"]

RUNS = 5
DAY = date(2026, 11, 23)
MM = 1_000
SHEETS, LABELS = 124, 1_000
LABEL_PAGES = 34
LINE = "A stick is cut where its rails fit, and what is left goes back to the rack. " * 2


def piece(number: int) -> SheetPiece:
    """A stick of eight rails and an offcut."""
    parts: list[Part] = []
    at = 0
    for rail in range(8):
        length = (320 + (number * 7 + rail // 2) % 20) * MM
        parts += [Part("rail", at, length, f"J{number}", rail % 4),
                  Part("saw", at + length, 5 * MM)]  # fmt: skip
        at += length + 5 * MM
    parts.append(Part("leftover", at, 3_000 * MM - at))
    return SheetPiece(number, "ASH-22", "B7", "stick", f"A{number % 9}", 3_000 * MM, tuple(parts))


def sheets() -> int:
    """A cut sheet of 124 pages; gives how many there are."""
    from stockroom.paper.cut_sheet import cut_sheet

    plan = Sheet(7, DAY, DAY, "The Glue Pot", "accepted", tuple(map(piece, range(1, 498))), {}, (),
                 Tally(), None, (Reason("proven"),), 5 * MM)  # fmt: skip
    return cut_sheet(replace(plan), Settings()).count(b"/Type /Page\n")


def labels(kind: CodeKind) -> int:
    """A thousand labels; gives how many pages they take."""
    from stockroom.paper.label_words import Label
    from stockroom.paper.labels import label_pages

    made = [Label(at, "ASH-22", "B7", "offcut", "14 3/8 in", f"A{at % 9}", DAY).wording
            for at in range(1, LABELS + 1)]  # fmt: skip
    content = label_pages(made, read_label_sheet(Settings().labels), kind, DAY)
    return content.count(b"/Type /Page\n")


def plain(pages: int) -> int:
    """Pages full of plain text in the same typeface."""
    from stockroom.paper.page import Paper

    paper = Paper("Plain text", "a4", DAY)
    for page in range(pages):
        if page:
            paper.next_page()
        for line in range(54):
            paper.text(15, 20 + 4.9 * line, LINE[:110])
    return paper.finish().count(b"/Type /Page\n")


TASKS: dict[str, tuple[Callable[[], int], int]] = {
    "sheets": (sheets, SHEETS),
    "plain-sheets": (lambda: plain(SHEETS), SHEETS),
    "labels-qr": (lambda: labels("qr"), LABEL_PAGES),
    "labels-code128": (lambda: labels("code128"), LABEL_PAGES),
    "plain-labels": (lambda: plain(LABEL_PAGES), LABEL_PAGES),
}


def seconds(task: str) -> float:
    """The median processor time of a process that does this."""
    times = []
    for _ in range(RUNS):
        started = used()
        subprocess.run([sys.executable, "-m", "demo.paper_timed", task], check=True)
        times.append(used() - started)
    return statistics.median(times)


def used() -> float:
    """The processor time that processes begun here have taken so far."""
    so_far = os.times()
    return so_far.children_user + so_far.children_system


def main(arguments: list[str]) -> None:
    """Does one task, or times them all.

    Raises:
        SystemExit: a task made another number of pages than it should.
    """
    if arguments:
        work, pages = TASKS[arguments[0]]
        if (made := work()) != pages:
            raise SystemExit(f"{arguments[0]}: {made} pages, not {pages}")
        return
    took = {task: seconds(task) for task in TASKS}
    for task, beside in (("sheets", "plain-sheets"), ("labels-qr", "plain-labels"),
                         ("labels-code128", "plain-labels")):  # fmt: skip
        print(f"{task}: {took[task]:.2f} s; {TASKS[task][1]} pages of plain text "
              f"{took[beside]:.2f} s; ratio {took[task] / took[beside]:.2f}")  # fmt: skip


if __name__ == "__main__":
    main(sys.argv[1:])
