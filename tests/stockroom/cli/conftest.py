"""Commands are tried on one of the two databases each, about half of them on either: what they do
to the record is tried on both in tests/stockroom/services and hard."""

from collections.abc import Iterator
from pathlib import Path
from zlib import crc32

import pytest

from tests.stockroom.conftest import KINDS, place


@pytest.fixture
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[str]:
    """Where a new record may be made: on the database that falls to the test by its name, or on
    the one that it names itself."""
    falls_to = KINDS[crc32(request.node.name.encode()) % len(KINDS)]
    yield from place(getattr(request, "param", falls_to), request, tmp_path)
