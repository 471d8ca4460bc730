"""Where labels lie on a sheet or a roll, in millimetres, read from one line of text."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from stockroom.refusals import Unfit, Unreadable

__all__ = ["Across", "CodeKind", "LabelSheet", "read_label_sheet"]

Across = tuple[float, float]
"""Across and down, millimetres."""
CodeKind = Literal["qr", "code128"]
PAGES: dict[str, Across] = {"a4": (210.0, 297.0), "letter": (215.9, 279.4)}
"""ISO 216, and 8 1/2 x 11 in."""
SMALLEST, LARGEST = (36.0, 15.0), (300.0, 300.0)
SMALLEST_BARS = (40.0, 22.0)
"""The smallest label that a code of bars leaves room to read on."""
SLACK = 0.05
"""What sizes may be out by where inches were turned into millimetres."""
NUMBER = r"([0-9]{1,3}(?:[.,][0-9]{1,4})?)"
PAIR = f"{NUMBER}x{NUMBER}"
ROLL = re.compile(f"roll {PAIR}")
SHEET = re.compile(
    f"(a4|letter|{PAIR}) ([0-9]{{1,2}})x([0-9]{{1,2}}) of {PAIR} from {PAIR} every {PAIR}"
)


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """A page of labels, all alike: the first one's corner, and the step from one to the next.

    A roll is a page of one label.

    Raises:
        Unfit: a label is too small to be read, leaves the page or lies on its neighbour.
    """

    page: Across
    columns: int
    rows: int
    label: Across
    corner: Across = (0.0, 0.0)
    step: Across = (0.0, 0.0)

    def __post_init__(self) -> None:
        for side, name in enumerate(("across", "down")):
            many = (self.columns, self.rows)[side]
            if not SMALLEST[side] <= self.label[side] <= LARGEST[side]:
                raise Unfit("label_size", size=self.label[side], side=name, least=SMALLEST[side],
                            most=LARGEST[side])  # fmt: skip
            if many < 1:
                raise Unfit("label_in_each_row")
            if many > 1 and self.step[side] < self.label[side]:
                raise Unfit(
                    "labels_overlap", size=self.label[side], side=name, step=self.step[side]
                )
            end = self.corner[side] + (many - 1) * self.step[side] + self.label[side]
            if end > self.page[side] + SLACK:
                raise Unfit("labels_past_page", end=end, side=name, page=self.page[side])

    def check_room(self, code: CodeKind) -> None:
        """The code leaves room for the words.

        Raises:
            Unfit: it does not.
        """
        across, down = SMALLEST_BARS
        if code == "code128" and (self.label[0] < across or self.label[1] < down):
            raise Unfit("bars_need_room", across=across, down=down)

    @property
    def count(self) -> int:
        """How many labels a page has."""
        return self.columns * self.rows

    def corners(self) -> Iterator[Across]:
        """Each label's top left corner, row by row."""
        for row in range(self.rows):
            for column in range(self.columns):
                yield (self.corner[0] + column * self.step[0], self.corner[1] + row * self.step[1])


def read_label_sheet(typed: str) -> LabelSheet:
    """A label sheet from its line.

    Raises:
        Unreadable: it is no such line, or the labels do not fit.
    """
    words = " ".join(typed.split()).lower().replace(",", ".")
    try:
        roll = ROLL.fullmatch(words)
        if roll is not None:
            label = (float(roll[1]), float(roll[2]))
            return LabelSheet(label, 1, 1, label)
        sheet = SHEET.fullmatch(words)
        if sheet is None:
            raise Unreadable(typed, "of_label_sheet")
        page = PAGES.get(sheet[1]) or (float(sheet[2]), float(sheet[3]))
        sizes = [float(number) for number in sheet.groups()[5:]]
        return LabelSheet(page, int(sheet[4]), int(sheet[5]), (sizes[0], sizes[1]),
                          (sizes[2], sizes[3]), (sizes[4], sizes[5]))  # fmt: skip
    except Unfit as error:
        raise Unreadable(typed, "of_labels_that_fit", why=error) from None
