"""An artwork as the counter is told it, and the sizes of its frame by the shop's defaults."""

from collections.abc import Sequence
from dataclasses import dataclass

from stockroom.facts import FieldName
from stockroom.frame.shape_sizes import RailStop, ShapeTold, shape_sizes
from stockroom.frame.shapes import FRAME, JobShape
from stockroom.frame.sizes import FrameSizes, Mat, Moulding, Pair, Readings, frame_sizes
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.settings.machines import on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres

__all__ = ["Artwork", "job_sizes", "mat_overlap", "usual_slack"]


@dataclass(frozen=True, slots=True)
class Artwork:
    """Readings of an artwork, and how it is to sit in its frame; micrometres.

    ``gap`` is for floats, ``allowance`` (per dimension) for rabbets; None means the usual one.
    ``mat`` is left, right, top, bottom of a work on paper; its ``depth`` is then the package's.
    ``shape`` is what is cut; one of ``lengths`` has those and no artwork.
    """

    widths: tuple[int, ...]
    heights: tuple[int, ...]
    depth: Micrometres | None = None
    gap: Micrometres | None = None
    allowance: Micrometres | None = None
    mat: tuple[int, int, int, int] | None = None
    overlap: Micrometres | None = None
    shape: JobShape = FRAME
    lengths: tuple[Micrometres, ...] = ()


def usual_slack(artwork: Artwork, moulding: Moulding, settings: Settings) -> int:
    """The gap or allowance: as told, or the shop's.

    Raises:
        Refused: a gap was told for a rabbet, or an allowance for a float.
    """
    is_float = moulding.kind == "float"
    if is_float and artwork.allowance is not None:
        raise Refused("float_has_gap", Remedy(Do.GIVE, FieldName("gap")))
    if not is_float and artwork.gap is not None:
        raise Refused("rabbeted_has_allowance", Remedy(Do.GIVE, FieldName("allowance")))
    told = artwork.gap if is_float else artwork.allowance
    return settings.usual("gap" if is_float else "allowance") if told is None else told


def mat_overlap(artwork: Artwork, settings: Settings) -> Micrometres:
    """How far a mat, or the fillet in its window, overlaps the artwork: as told, or the shop's."""
    return settings.usual("overlap") if artwork.overlap is None else artwork.overlap


def job_sizes(
    artwork: Artwork, moulding: Moulding, settings: Settings, *, machine: str = "",
    rails: Sequence[Micrometres] | None = None,
    window: Pair | None = None, around: bool = False,
) -> FrameSizes:  # fmt: skip
    """The sizes of an artwork's frame, its rails to be set on the profile's ``machine``.

    ``rails`` are all those on the record, which the other sizes then follow from. ``window`` is
    the mat's where a fillet lines it; ``around`` says that the artwork is itself a frame.

    Raises:
        Refused: the readings, the mat or the section make no frame.
    """
    slack = usual_slack(artwork, moulding, settings)
    if artwork.shape != FRAME:
        return other_sizes(artwork, moulding, settings, slack, machine, rails)
    if artwork.overlap is not None and artwork.mat is None:
        raise Refused("overlap_without_mat")
    mat = None
    if artwork.mat is not None:
        mat = Mat(*artwork.mat, overlap=mat_overlap(artwork, settings))
    return frame_sizes(
        Readings(artwork.widths, artwork.heights), moulding, slack, depth=artwork.depth,
        mat=mat, step=settings.step_um, stop=on_machine(settings, machine).stop,
        rails=None if rails is None else (Micrometres(rails[0]), Micrometres(rails[1])),
        usual_cover=(settings.usual("cover_least"), settings.usual("cover_most")),
        window=window, around=around,
    )  # fmt: skip


def other_sizes(
    artwork: Artwork, moulding: Moulding, settings: Settings, slack: int, machine: str,
    rails: Sequence[Micrometres] | None,
) -> FrameSizes:  # fmt: skip
    """The sizes of what is no usual frame.

    Raises:
        Refused: it has a mat, which only a usual frame takes.
    """
    if artwork.mat is not None:
        raise Refused("shape_with_mat", shape=artwork.shape.words)
    told = ShapeTold(
        artwork.shape, artwork.widths, artwork.heights, artwork.lengths,
        2 * slack if moulding.kind == "float" else slack, artwork.depth,
    )  # fmt: skip
    setting = RailStop(
        moulding, settings.step_um, on_machine(settings, machine).stop,
        (settings.usual("cover_least"), settings.usual("cover_most")),
    )  # fmt: skip
    kept = None if rails is None else [Micrometres(rail) for rail in rails]
    return shape_sizes(told, setting, kept)
