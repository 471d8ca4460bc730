"""Whether a profile, and the rails of a job, fit the machine that they go to."""

from collections.abc import Iterator, Sequence

from stockroom.facts import Fact
from stockroom.frame.notices import Notice, notice
from stockroom.record.catalogue import profiles
from stockroom.record.database import reading
from stockroom.record.tables import Profile
from stockroom.services.shop import Shop
from stockroom.settings.machines import machines_known, on_machine
from stockroom.settings.shop_settings import Settings
from stockroom.units.lengths import Micrometres

__all__ = ["machine_notices", "unfit_profiles"]


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
