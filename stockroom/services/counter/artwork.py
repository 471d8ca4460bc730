"""An artwork as the counter is told it, and the sizes of its frame by the shop's defaults."""

from dataclasses import dataclass

from stockroom.frame.sizes import FrameSizes, Mat, Moulding, Readings, frame_sizes
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.settings.shop_settings import Settings

__all__ = ["Artwork", "job_sizes", "usual_slack"]

USUAL_GAP = {"in": 9_525, "mm": 10_000}
USUAL_ALLOWANCE = {"in": 3_175, "mm": 3_000}
USUAL_OVERLAP = {"in": 6_350, "mm": 5_000}


@dataclass(frozen=True, slots=True)
class Artwork:
    """Readings of an artwork, and how it is to sit in its frame; micrometres.

    ``gap`` is for floats, ``allowance`` (per dimension) for rabbets; None means the usual one.
    ``mat`` is left, right, top, bottom of a work on paper; its ``depth`` is then the package's.
    """

    widths: tuple[int, ...]
    heights: tuple[int, ...]
    depth: int | None = None
    gap: int | None = None
    allowance: int | None = None
    mat: tuple[int, int, int, int] | None = None
    overlap: int | None = None


def usual_slack(artwork: Artwork, moulding: Moulding, settings: Settings) -> int:
    """The gap or allowance: as told, or 3/8 in (10 mm) for a float, 1/8 in (3 mm) for a rabbet.

    Raises:
        Refused: a gap was told for a rabbet, or an allowance for a float.
    """
    is_float = moulding.kind == "float"
    if is_float and artwork.allowance is not None:
        raise Refused("a float has a gap, not an allowance", Remedy(Do.GIVE, "gap"))
    if not is_float and artwork.gap is not None:
        raise Refused("a rabbeted frame has an allowance, not a gap", Remedy(Do.GIVE, "allowance"))
    told = artwork.gap if is_float else artwork.allowance
    usual = USUAL_GAP if is_float else USUAL_ALLOWANCE
    return usual[settings.unit] if told is None else told


def job_sizes(artwork: Artwork, moulding: Moulding, settings: Settings) -> FrameSizes:
    """The sizes of an artwork's frame.

    Raises:
        Refused: the readings, the mat or the section make no frame.
    """
    slack = usual_slack(artwork, moulding, settings)
    if artwork.overlap is not None and artwork.mat is None:
        raise Refused("an overlap was given without a mat", "give the mat's borders too")
    try:
        mat = None
        if artwork.mat is not None:
            usual = USUAL_OVERLAP[settings.unit]
            overlap = usual if artwork.overlap is None else artwork.overlap
            mat = Mat(*artwork.mat, overlap=overlap)
        readings = Readings(artwork.widths, artwork.heights)
        return frame_sizes(readings, moulding, slack, depth=artwork.depth, mat=mat)
    except ValueError as error:
        raise Refused(str(error)) from error
