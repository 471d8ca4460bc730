"""The catalogue: suppliers and the profiles they sell, looked up by code."""

import re

from sqlmodel import Session, col, select

from stockroom.frame.sizes import Moulding
from stockroom.record.tables import Batch, Profile, Supplier
from stockroom.refusals import Refused, Unfit, Unknown
from stockroom.units.lengths import Micrometres
from stockroom.units.money import Price
from stockroom.units.price_breaks import PriceBreaks, read_breaks
from stockroom.units.texts import kept_text, near

__all__ = [
    "add_batch",
    "add_profile",
    "add_supplier",
    "cheaper_more",
    "check_profile",
    "clean_code",
    "cost_of_sticks",
    "hold_profiles",
    "metre_price",
    "moulding_of",
    "price_of",
    "profile_named",
    "profiles",
    "stick_price",
    "supplier_named",
    "suppliers",
]

CODE = re.compile(r"[A-Z0-9][A-Z0-9._/-]{0,23}")


def clean_code(typed: str, what: str) -> str:
    """A code as it is kept: capitals.

    Raises:
        Refused: it has characters that a code cannot have.
    """
    code = typed.strip().upper()
    if not CODE.fullmatch(code):
        raise Refused("no_code_of", typed=typed.strip(), what=what)
    return code


def profile_named(session: Session, typed: str) -> Profile:
    """The profile with this code, in capitals or not.

    Raises:
        Unknown: no profile has it; near ones are suggested.
    """
    found = session.get(Profile, typed.strip().upper())
    if found is None:
        known = session.exec(select(Profile.code)).all()
        raise Unknown("unknown_profile", typed, near(typed, known))
    return found


def supplier_named(session: Session, typed: str) -> Supplier:
    """The supplier with this code.

    Raises:
        Unknown: no supplier has it; near ones are suggested.
    """
    found = session.get(Supplier, typed.strip().upper())
    if found is None:
        known = session.exec(select(Supplier.code)).all()
        raise Unknown("unknown_supplier", typed, near(typed, known))
    return found


def profiles(session: Session) -> list[Profile]:
    """All profiles by code."""
    return list(session.exec(select(Profile).order_by(col(Profile.code))))


def hold_profiles(session: Session) -> None:
    """Keeps all profiles with the session, so that none is read again for each of many rows."""
    session.info["profiles"] = profiles(session)


def suppliers(session: Session) -> list[Supplier]:
    """All suppliers by code."""
    return list(session.exec(select(Supplier).order_by(col(Supplier.code))))


def add_supplier(session: Session, supplier: Supplier) -> None:
    """Puts a supplier into the catalogue.

    Raises:
        Refused: the code is taken or is no code.
    """
    supplier.code = clean_code(supplier.code, "supplier")
    supplier.name = kept_text(supplier.name, "supplier's name")
    supplier.note = kept_text(supplier.note, "supplier's note")
    if session.get(Supplier, supplier.code) is not None:
        raise Refused("supplier_exists", code=supplier.code)
    session.add(supplier)
    session.flush()


def add_profile(session: Session, profile: Profile) -> None:
    """Puts a profile into the catalogue, its geometry checked.

    Raises:
        Refused: the code is taken, or the section or the lengths make no sense.
        Unknown: the supplier is not known.
    """
    profile.code = clean_code(profile.code, "profile")
    if session.get(Profile, profile.code) is not None:
        raise Refused("profile_exists", code=profile.code)
    check_profile(session, profile)
    session.add(profile)
    session.flush()


def check_profile(session: Session, profile: Profile) -> None:
    """Refuses a profile whose values make no sense; its texts and supplier are put as kept.

    Raises:
        Refused: the section or the lengths make no sense.
        Unknown: the supplier is not known.
    """
    profile.name = kept_text(profile.name, "profile's name")
    profile.species = kept_text(profile.species, "profile's species")
    profile.supplier_code = supplier_named(session, profile.supplier_code).code
    moulding_of(profile)
    if profile.stick_length_um <= 2 * profile.end_trim_um:
        raise Refused("stick_no_longer_than_trims", code=profile.code)
    if min(profile.keep_um, profile.end_trim_um, profile.minimum_sticks) < 0:
        raise Refused("keep_trim_minimum_negative", code=profile.code)
    if profile.keep_um > profile.stick_length_um:
        raise Refused("keep_longer_than_stick", code=profile.code)
    if profile.box_sticks is not None and profile.box_sticks < 1:
        raise Refused("box_without_sticks", code=profile.code, sticks=profile.box_sticks)
    first = next((price for _, price in breaks_of(profile).steps), None)
    if first is not None and not first < (profile.stick_price_minor or 0):
        raise Refused("breaks_above_price", code=profile.code, breaks=profile.price_breaks)


def price_of(profile: Profile) -> Price | None:
    """What a profile costs by its length: by the stick, else by the metre; None without a price."""
    by_stick = stick_price(profile)
    if by_stick is not None:
        return Price(by_stick, profile.stick_length_um)
    return metre_price(profile)


def metre_price(profile: Profile) -> Price | None:
    """What a metre of a profile costs where it is sold by the metre too."""
    return None if profile.metre_price_minor is None else Price(profile.metre_price_minor)


def breaks_of(profile: Profile) -> PriceBreaks:
    """From how many sticks on each costs less."""
    return read_breaks(profile.price_breaks) if profile.price_breaks else PriceBreaks()


def stick_price(profile: Profile, sticks: int = 1) -> int | None:
    """What a stick of a profile costs where so many are bought together, minor units; None where it
    has no price by the stick."""
    usual = profile.stick_price_minor
    return None if usual is None else breaks_of(profile).each(usual, sticks)


def cost_of_sticks(profile: Profile, sticks: int) -> int | None:
    """What so many sticks of a profile cost bought together, minor units; None without a price."""
    each = stick_price(profile, sticks)
    return None if each is None else each * sticks


def cheaper_more(profile: Profile, sticks: int) -> int | None:
    """More sticks than these that cost less than these do, all together; None where none do."""
    usual = profile.stick_price_minor
    return None if usual is None else breaks_of(profile).cheaper(usual, sticks)


def add_batch(session: Session, profile: str, code: str) -> str:
    """The batch of this code, put on the record if it is new; gives the code as kept."""
    code = clean_code(code, "batch")
    if session.get(Batch, (profile, code)) is None:
        session.add(Batch(profile_code=profile, code=code))
        session.flush()
    return code


def moulding_of(profile: Profile) -> Moulding:
    """A profile's section as the frame arithmetic takes it.

    Raises:
        Refused: the section makes no sense (a rabbet as wide as the face, a float without wall).
    """

    def um(value: int | None) -> Micrometres | None:
        return None if value is None else Micrometres(value)

    try:
        return Moulding(
            kind=profile.kind,  # type: ignore[arg-type]
            face_um=Micrometres(profile.face_um),
            rabbet_width_um=um(profile.rabbet_width_um),
            rabbet_depth_um=um(profile.rabbet_depth_um),
            wall_um=um(profile.wall_um),
            recess_depth_um=um(profile.recess_depth_um),
        )
    except Unfit as error:
        raise Refused("profile_unfit", code=profile.code, why=error) from error
