"""Whether a profile, and the rails of a job, fit the machine and the sticks that they go to."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from sqlmodel import Session

from stockroom.facts import Fact
from stockroom.frame.notices import Notice, notice
from stockroom.frame.ornament import corners_match, larger_to_match
from stockroom.frame.shapes import FRAME
from stockroom.frame.sizes import FrameSizes
from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.record.ledger import on_rack
from stockroom.record.tables import Profile
from stockroom.refusals import Refused
from stockroom.remedies import Do, Remedy
from stockroom.services.counter.sized_layers import SizedLayer
from stockroom.services.rack.pieces import longest_clear
from stockroom.services.shop import Shop
from stockroom.settings.machines import machines_known, on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres

__all__ = ["checked", "noticed", "unfit_profiles"]


def machine_notices(
    settings: Settings, profile: Profile, rails: Sequence[Micrometres] | None = None
) -> tuple[Notice, ...]:
    """What is too wide or too tall for the profile's machine, and which rails are too short.

    A float's height that nobody told is not judged.
    """
    own = on_machine(settings, profile.machine)
    said = list(section_notices(own, profile))
    if said:
        others = [name for name in machines_known(settings)
                  if not any(section_notices(on_machine(settings, name), profile))]  # fmt: skip
        about = {"machine": own.machine, "others": tuple(others)}
        fits = Fact("machine_fits" if others else "machine_fits_none", about)
        said = [notice(one.code, *one.amounts, which=fits) for one in said]
    if rails is not None and min(rails) < own.shortest_um:
        said.append(notice("rail short", min(rails), own.shortest_um, which=own.machine))
    return tuple(said)


def section_notices(machine: Settings, profile: Profile) -> Iterator[Notice]:
    """What of a profile's section the machine in use does not take."""
    if machine.widest_um is not None and profile.face_um > machine.widest_um:
        yield notice("too wide", profile.face_um, machine.widest_um)
    if machine.tallest_um is not None and (profile.height_um or 0) > machine.tallest_um:
        yield notice("too tall", profile.height_um or 0, machine.tallest_um)


def checked(session: Session, settings: Settings, one: SizedLayer, *, proud: bool) -> SizedLayer:
    """A moulding of a job with what its machine says of it, if the shop can make it.

    Raises:
        Refused: a canvas or what lies in the moulding is too deep, or no stick is long enough.
    """
    sizes, profile = one.sizes, one.layer.profile
    if one.stands_out and not proud:
        if one.number:
            raise Refused("layer_too_deep", Remedy(Do.DEEPER_OR_PROUD), profile=profile.code,
                          holds_um=one.holds_um, depth_um=sizes.depth_um)  # fmt: skip
        raise Refused("canvas_proud", Remedy(Do.DEEPER_OR_PROUD), drop_um=-(sizes.drop_um or 0),
                      profile=profile.code)  # fmt: skip
    check_stick(session, settings, profile, max(sizes.lengths_um))
    return noticed(one, *machine_notices(settings, profile, sizes.lengths_um),
                   *corner_notices(settings, profile, sizes))  # fmt: skip


def corner_notices(settings: Settings, profile: Profile, sizes: FrameSizes) -> Iterator[Notice]:
    """Where an ornament's corners can't all be alike: the play that would make them so, or, where
    the lip would not hold the work, how much larger the work must be.
    """
    repeat, step = Micrometres(profile.repeat_um or 0), settings.step_um
    if not repeat or sizes.shape != FRAME or corners_match(*sizes.rails_um, repeat, step):
        return
    larger = larger_to_match(*sizes.rails_um, repeat, step)
    side, more = larger.side, larger.more
    held = sizes.covered_um is None or (
        sizes.covered_um[side] - more // 2 >= settings.usual("cover_least")
    )
    yield notice("corners by play" if held else "corners by size", repeat, more,
                 sizes.play_um[side] + more, sizes.rails_um[side] + more,
                 which=Fact(("across", "upright")[side]))  # fmt: skip


def noticed(one: SizedLayer, *said: Notice) -> SizedLayer:
    """A moulding of a job with more to be said of it."""
    return replace(one, sizes=replace(one.sizes, notices=(*one.sizes.notices, *said)))


def check_stick(session: Session, settings: Settings, profile: Profile, rail: int) -> None:
    """The longest rail comes out of a stick of the profile, or of a piece that is there.

    Raises:
        Refused: it does not.
    """
    usable = profile.stick_length_um - 2 * profile.end_trim_um
    if rail <= usable:
        return
    there = [longest_clear(piece) - (2 * profile.end_trim_um if piece.kind == "stick" else 0)
             for piece in on_rack(session, profile.code)]  # fmt: skip
    if rail > max(there, default=0):
        raise Refused(
            "rail_longer_than_stick", rail_um=rail, profile=profile.code, usable_um=usable
        )


def unfit_profiles(shop: Shop, code: str | None = None) -> list[tuple[str, Notice]]:
    """What is to be said of profiles, or of one, that do not fit their machine; by profile."""
    with reading(shop.engine) as session:
        every = profiles(session)
    return [
        (profile.code, one)
        for profile in every
        if code in (None, profile.code)
        for one in machine_notices(shop.settings, profile)
    ]
