"""The whole proof of a record: its audit, and that its settings are such as can be typed."""

from sqlmodel import Session

from stockroom.record.audit import Violation, audit
from stockroom.record.numbering import nonsense
from stockroom.settings.shop_settings import not_understood

__all__ = ["faults_of"]


def faults_of(session: Session) -> list[Violation]:
    """All faults of a record; none where it is true."""
    rule = "it is a value that can be typed; its default holds"
    settings = (*not_understood(session), *nonsense(session))
    return audit(session) + [Violation(f"setting {name}", rule, 0, 1) for name in settings]
