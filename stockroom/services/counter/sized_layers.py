"""A job of several mouldings: those told at the counter, and the sizes of each frame of them."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from sqlmodel import Session

from stockroom.facts import Fact
from stockroom.frame.layers import FILLET, MOST_AROUND, behind_mat, fillet_sizes, stack_depth
from stockroom.frame.sizes import FrameSizes, Moulding, Readings
from stockroom.record.catalogue import moulding_of, profile_named
from stockroom.record.tables import Job, Profile
from stockroom.refusals import Refused
from stockroom.services.counter.artwork import Artwork, job_sizes, mat_overlap
from stockroom.settings.machines import on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres

__all__ = ["Layer", "SizedLayer", "ToldLayer", "around_told", "fillet_told", "kept_layers",
           "layers_kept", "layers_told", "sized_layers"]  # fmt: skip


@dataclass(frozen=True, slots=True)
class ToldLayer:
    """A moulding as told: its profile's code, and the gap or allowance in it (um), the usual one
    where it is None."""

    profile: str
    slack: Micrometres | None = None


@dataclass(frozen=True, slots=True)
class Layer:
    """One moulding of a job: its number (0 where the artwork lies, then outward, or the fillet),
    its profile, and what is told of its slack (um)."""

    number: int
    profile: Profile
    slack: Micrometres | None = None

    @property
    def moulding(self) -> Moulding:
        """Its section."""
        return moulding_of(self.profile)


@dataclass(frozen=True, slots=True)
class SizedLayer:
    """A moulding of a job, and the sizes of its frame."""

    layer: Layer
    sizes: FrameSizes

    @property
    def number(self) -> int:
        """0 where the artwork lies, then outward; or the fillet's."""
        return self.layer.number

    @property
    def name(self) -> Fact:
        """Its profile's code and where it lies."""
        where = "round it" if self.number else "where the artwork lies"
        if self.number == FILLET:
            where = "the fillet in the mat's window"
        return Fact("layer_name", {"profile": self.layer.profile.code, "where": Fact(where)})

    @property
    def holds_um(self) -> Micrometres:
        """How deep its rabbet or its recess is."""
        moulding = self.layer.moulding
        is_float = moulding.kind == "float"
        holds = moulding.recess_depth_um if is_float else moulding.rabbet_depth_um
        return holds or Micrometres(0)

    @property
    def stands_out(self) -> bool:
        """Whether a canvas or a frame in it is deeper than that, which is to be told on purpose; of
        a package it is only said, since boards can be chosen thinner."""
        is_package = self.number == 0 and self.layer.moulding.kind != "float"
        depth = self.sizes.depth_um
        return depth is not None and depth > self.holds_um and not is_package


def layers_told(
    session: Session,
    profile: str,
    around: Sequence[ToldLayer],
    fillet: ToldLayer | None,
    artwork: Artwork,
) -> tuple[Layer, ...]:
    """The mouldings of a job as told, the one that the artwork lies in first.

    Raises:
        Unknown: there is no such profile.
        Refused: there are too many, or a fillet has no mat to lie in.
    """
    if len(around) > MOST_AROUND:
        raise Refused("too_many_layers", layers=len(around), most=MOST_AROUND)
    if fillet is not None and artwork.mat is None:
        raise Refused("fillet_without_mat")
    told = [(0, ToldLayer(profile)), *enumerate(around, 1)]
    if fillet is not None:
        told.append((FILLET, fillet))
    return tuple(Layer(number, profile_named(session, one.profile), one.slack)
                 for number, one in told)  # fmt: skip


def kept_layers(session: Session, job: Job) -> tuple[Layer, ...]:
    """The mouldings of a job on the record, the one that the artwork lies in first."""
    rest = (Layer(one["number"], profile_named(session, one["profile"]), one["slack_um"])
            for one in job.layers or ())  # fmt: skip
    return (Layer(0, profile_named(session, job.profile_code)), *rest)


def around_told(job: Job) -> tuple[ToldLayer, ...]:
    """The mouldings round a job's first, as they were told."""
    return tuple(ToldLayer(one["profile"], one["slack_um"])
                 for one in job.layers or () if one["number"] != FILLET)  # fmt: skip


def fillet_told(job: Job) -> ToldLayer | None:
    """The fillet of a job, as it was told."""
    found = (ToldLayer(one["profile"], one["slack_um"])
             for one in job.layers or () if one["number"] == FILLET)  # fmt: skip
    return next(found, None)


def sized_layers(
    layers: Sequence[Layer], artwork: Artwork, settings: Settings,
    rails: Mapping[int, Sequence[Micrometres]] | None = None,
) -> tuple[SizedLayer, ...]:  # fmt: skip
    """The sizes of each moulding's frame; ``rails`` are those on the record, by layer.

    A fillet's come first, since the mat's window and so the glass follow from them.

    Raises:
        Refused: the artwork or a section makes no frame.
    """
    kept = rails or {}
    by_number = {layer.number: layer for layer in layers}
    fillet, window = by_number.pop(FILLET, None), None
    found: list[SizedLayer] = []
    if fillet is not None:
        lined = fillet_in(fillet, artwork, settings, kept.get(FILLET))
        artwork, window = with_fillet(artwork, fillet), lined.opening_um
        found.append(SizedLayer(fillet, lined))
    base = by_number.pop(0)
    inner = job_sizes(artwork, base.moulding, settings, machine=base.profile.machine,
                      rails=kept.get(0), window=window)  # fmt: skip
    outward = [SizedLayer(base, inner)]
    for layer in by_number.values():
        outward.append(around(outward[-1], layer, settings, kept.get(layer.number)))
    return (*outward, *found)


def fillet_in(
    fillet: Layer, artwork: Artwork, settings: Settings, rails: Sequence[Micrometres] | None
) -> FrameSizes:
    """The sizes of the fillet in a mat's window."""
    machine = on_machine(settings, fillet.profile.machine)
    size = Readings(artwork.widths, artwork.heights).size
    return fillet_sizes(size, mat_overlap(artwork, settings), fillet.moulding, fillet.slack or 0,
                        step=settings.step_um, stop=machine.stop,
                        rails=None if rails is None else (rails[0], rails[1]))  # fmt: skip


def with_fillet(artwork: Artwork, fillet: Layer) -> Artwork:
    """The artwork, its package so much deeper as a fillet lies behind the mat."""
    if artwork.depth is None:
        return artwork
    behind = behind_mat(fillet.moulding, fillet.profile.height_um)
    return replace(artwork, depth=Micrometres(artwork.depth + behind))


def around(
    inner: SizedLayer, layer: Layer, settings: Settings, rails: Sequence[Micrometres] | None
) -> SizedLayer:
    """A moulding round another: the outside of that, and as deep as it lies, is its artwork."""
    (width, height), depth = inner.sizes.outside_um, inner.sizes.depth_um
    deep = stack_depth(inner.layer.moulding, inner.layer.profile.height_um, depth)
    is_float = layer.moulding.kind == "float"
    gap, allowance = (layer.slack, None) if is_float else (None, layer.slack)
    artwork = Artwork((width,), (height,), deep, gap, allowance)
    return SizedLayer(layer, job_sizes(artwork, layer.moulding, settings, around=True, rails=rails,
                                       machine=layer.profile.machine))  # fmt: skip


def layers_kept(
    layers: Sequence[Layer], one_batch: bool | None, before: Sequence[Mapping[str, Any]] | None
) -> list[dict[str, Any]] | None:
    """The mouldings beyond the first as the record keeps them; None where there are none.

    Each keeps to one batch as told, else as it did ``before``, else as its profile is.
    """
    was = {(one["number"], one["profile"]): one["one_batch"] for one in before or ()}
    return [
        {"number": layer.number, "profile": layer.profile.code, "slack_um": layer.slack,
         "one_batch": was.get((layer.number, layer.profile.code), layer.profile.batch_matched)
         if one_batch is None else one_batch}
        for layer in layers if layer.number
    ] or None  # fmt: skip
