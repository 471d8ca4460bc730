"""What a ticket is made from: the job and its mouldings on the record, and what the bench adds."""

from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from stockroom.frame.sizes import FrameSizes, Moulding, Readings
from stockroom.frame.weights import BOARD_UM
from stockroom.job_notes import JobNotes
from stockroom.refusals import Unfit

__all__ = ["Bench", "MoreWork", "Package", "Work"]

Glazing = Literal["usual", "none", "glass", "acrylic"]
Board = Literal["usual", "foam", "corrugated", "hardboard"]


@dataclass(frozen=True, slots=True)
class Package:
    """What lies in a rabbet behind the lip: glazing, mat, art and backing, each with a thickness.

    The ``usual`` glazing is glass over a matted work; none is counted elsewhere unless told, as
    it may be a canvas. The ``usual`` board is weighed as hardboard, the heaviest.

    Raises:
        Unfit: a thickness is below nothing.
    """

    glazing: Glazing = "usual"
    glazing_um: int = 2_000
    mat_um: int = 1_500
    board: Board = "usual"
    backing_um: int = BOARD_UM["hardboard"]

    def __post_init__(self) -> None:
        if min(self.glazing_um, self.mat_um, self.backing_um) < 0:
            raise Unfit("package_below_nothing")


@dataclass(frozen=True, slots=True)
class Bench:
    """What the bench knows besides the record; None means: take the record's, or estimate.

    Weights in grams, lengths in micrometres. ``metre_g`` is a weighed metre of the moulding;
    ``bar_um`` is how thick the stretcher's bar is; ``bevel_um`` how much lower a strainer's front
    is at its inner edge.
    """

    height_um: int | None = None
    ledge_um: int | None = None
    bar_um: int | None = None
    bevel_um: int | None = None
    species: str = ""
    metre_g: int | None = None
    package: Package = field(default_factory=Package)
    artwork_g: int | None = None
    backing_g: int | None = None
    method: Literal["hangers", "wire"] = "hangers"
    rise_um: int | None = None


@dataclass(frozen=True, slots=True)
class MoreWork:
    """A moulding of a job beyond the one where its artwork lies, as the record has it; ``number``
    is its layer's."""

    number: int
    label: str
    profile: str
    style: str
    species: str
    height_um: int | None
    moulding: Moulding
    sizes: FrameSizes


@dataclass(frozen=True, slots=True)
class Work(JobNotes):
    """The job that a ticket is for, as the record has it; ``style`` is the profile's name.

    ``readings`` are none of lengths that are given themselves, and a side's twice of a frame of
    other sides than four; ``match`` is the batch that its rails must be of.
    """

    label: str
    customer: str
    title: str
    profile: str
    style: str
    species: str
    due: date
    quantity: int
    readings: Readings | None
    depth_um: int | None
    matted: bool
    height_um: int | None
    borders_um: tuple[int, int, int, int] | None = None
    cut_by: date | None = None
    match: str = ""
