"""One profile of the catalogue: looked at, added, or changed, its old values kept in the entry."""

from collections.abc import Mapping, Sequence

from sqlmodel import Session

from stockroom.facts import FieldName
from stockroom.record import catalogue
from stockroom.record.database import changing, reading
from stockroom.record.jobs import open_frames
from stockroom.record.ledger import post
from stockroom.record.tables import Profile
from stockroom.refusals import Refused, Unknown
from stockroom.remedies import Do, Remedy
from stockroom.services.catalogue.load import PROFILE
from stockroom.services.csv_columns import names_of, needed, read_row, written_row
from stockroom.services.shop import Shop
from stockroom.units.texts import near

__all__ = ["add_profile", "change_in", "change_profile", "profile_cells", "values_told"]

# What the rails of a waiting job were worked out from.
SECTION = ("kind", "face", "rabbet_width", "rabbet_depth", "wall", "recess_depth")
NAMES = names_of(PROFILE)


def values_told(
    told: Sequence[str], names: Sequence[str] = NAMES, what: str = "profile",
    such: str = "face=22mm",
) -> dict[str, str]:  # fmt: skip
    """Values as typed, ``name=value``; an empty value takes it away.

    Raises:
        Refused: there is no value in one.
        Unknown: there is no such value.
    """
    values: dict[str, str] = {}
    for text in told:
        name, sign, value = text.partition("=")
        name = name.strip().lower().replace("-", "_").replace(" ", "_")
        if not sign:
            raise Refused("sets_nothing", text=text, such=such)
        if name == "code":
            raise Refused("code_stays", what=what)
        if name not in names:
            raise Unknown("unknown_value_of", name, near(name, names), what=what)
        values[name] = value.strip()
    return values


def profile_cells(shop: Shop, code: str) -> dict[str, str]:
    """Everything the catalogue knows of a profile, as its file spells it.

    Raises:
        Unknown: no profile has this code.
    """
    with reading(shop.engine) as session:
        return written_row(PROFILE, catalogue.profile_named(session, code), shop)


def add_profile(shop: Shop, code: str, values: Mapping[str, str]) -> str:
    """Puts one new profile into the catalogue; gives its code as kept.

    Raises:
        Refused: the code is taken, a value is missing, or the section makes no sense.
    """
    with changing(shop.engine, shop.waiting) as session:
        given = {name: value for name, value in values.items() if value}
        if missing := [n for n in needed(PROFILE) if n != "code" and n not in given]:
            lacks = tuple(map(FieldName, missing))
            raise Refused("new_profile_needs", Remedy(Do.SET_VALUES), missing=lacks)
        profile = Profile(**read_row(PROFILE, {**given, "code": code}, shop))
        catalogue.add_profile(session, profile)
        post(session, shop.hand, "add profile", touches=[("profile", profile.code)])
        return profile.code


def change_profile(shop: Shop, code: str, values: Mapping[str, str], why: str = "") -> list[str]:
    """Changes values of a profile; gives each as ``name: old -> new``.

    Raises:
        Refused: a value does not fit the others, or jobs wait whose rails come from the section.
    """
    with changing(shop.engine, shop.waiting) as session:
        kept = catalogue.profile_named(session, code)
        said = change_in(session, shop, kept.code, values)
        if said:
            post(session, shop.hand, "change profile", why=why, detail={"changed": said},
                 touches=[("profile", kept.code)])  # fmt: skip
        return said


def change_in(session: Session, shop: Shop, code: str, values: Mapping[str, str]) -> list[str]:
    """Changes values of a profile under the write lock; gives each as ``name: old -> new``.

    Raises:
        Refused: as ``change_profile``.
    """
    kept = catalogue.profile_named(session, code)
    before = written_row(PROFILE, kept, shop)
    told = {name: value for name, value in {**before, **values}.items() if value}
    overwrite(session, kept, Profile(**read_row(PROFILE, told, shop)))
    after = written_row(PROFILE, kept, shop)
    changed = [name for name in NAMES if before[name] != after[name]]
    refuse_section(session, kept.code, changed)
    return [f"{name}: {before[name] or 'none'} -> {after[name] or 'none'}" for name in changed]


def overwrite(session: Session, kept: Profile, fresh: Profile) -> None:
    """Writes all values of a profile over those it has, checked as a new one's are."""
    catalogue.check_profile(session, fresh)
    for name in Profile.model_fields:
        setattr(kept, name, getattr(fresh, name))
    session.add(kept)
    session.flush()


def refuse_section(session: Session, code: str, changed: Sequence[str]) -> None:
    """A section does not change under jobs whose rails were worked out from it.

    Raises:
        Refused: such a job waits.
    """
    frames = open_frames(session, states=("open", "held"), profile=code, stock="with")
    waiting = {frame.job for frame in frames}
    if waiting and (parts := [name for name in changed if name in SECTION]):
        raise Refused("parts_cannot_change", parts=tuple(parts), profile=code, jobs=len(waiting))
