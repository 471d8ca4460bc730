"""Lengths that are far from what the record expects: a slip of a digit more often than a piece."""

from stockroom.record.catalogue import profile_named
from stockroom.record.database import reading
from stockroom.record.ledger import on_rack
from stockroom.refusals import Unlikely
from stockroom.remedies import Do, Remedy
from stockroom.services.shop import Shop
from stockroom.units.lengths import Micrometres

__all__ = ["check_found", "check_remeasured", "check_usual", "far"]

SLACK_UM = 30_000
"""What any length may be out by before it is asked about; a quarter of what is expected, too."""


def far(told: int, expected: int) -> bool:
    """True where a length is further from the one expected than a tape and a bad end explain."""
    return abs(told - expected) > max(SLACK_UM, expected // 4)


def check_usual(shop: Shop, profile: str, lengths: list[Micrometres]) -> None:
    """A stick half or twice as long as others is a slip of the unit more often than a stick.

    Raises:
        Unlikely: a length is under half or over one and a half times the profile's usual one.
    """
    with reading(shop.engine) as session:
        kept = profile_named(session, profile)
    usual = kept.stick_length_um
    for length in lengths:
        if not usual <= 2 * length <= 3 * usual:
            raise Unlikely("unlikely_for_stick", Remedy(Do.ODD_LENGTH), length_um=length,
                           profile=kept.code, usual_um=usual)  # fmt: skip


def check_found(shop: Shop, profile: str, length: Micrometres, *, stick: bool) -> None:
    """An offcut is no longer than a stick, nor as short as what nobody keeps.

    Raises:
        Unlikely: it is.
    """
    if stick:
        check_usual(shop, profile, [length])
        return
    with reading(shop.engine) as session:
        kept = profile_named(session, profile)
    if 2 * length > 3 * kept.stick_length_um:
        raise Unlikely("longer_than_stick", Remedy(Do.ODD_LENGTH), length_um=length,
                       profile=kept.code, stick_um=kept.stick_length_um)  # fmt: skip
    if 4 * length < kept.keep_um:
        raise Unlikely("shorter_than_any_kept", Remedy(Do.ODD_LENGTH), length_um=length,
                       profile=kept.code, keep_um=kept.keep_um)  # fmt: skip


def check_remeasured(shop: Shop, number: int, length: Micrometres) -> None:
    """A piece that is measured again has about the length it had.

    Raises:
        Unlikely: it has not. A piece that is not on the rack is left to who corrects it.
    """
    with reading(shop.engine) as session:
        there = on_rack(session, ids=[number])
    if there and length and far(length, there[0].length):
        raise Unlikely("far_from_what_it_was", Remedy(Do.ODD_LENGTH), number=number,
                       was_um=there[0].length, length_um=length)  # fmt: skip
