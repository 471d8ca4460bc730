"""What the program keeps for itself: folders that their owner alone enters, and no links."""

import os
import shutil
import stat
from collections.abc import Callable
from pathlib import Path

import pytest

from stockroom.page.safety.devices import Devices
from stockroom.refusals import NoShop
from stockroom.services.rack import pieces as rack
from stockroom.services.record.backup import back_up
from stockroom.services.saw.print_labels import print_labels
from stockroom.services.saw.unlabelled import mark_labelled
from stockroom.services.shop import Shop
from tests.stockroom.hard.shopwork import sticks


@pytest.mark.unaudited
@pytest.mark.parametrize("where", ["sqlite"], indirect=True)
def test_what_the_shop_keeps_is_its_owners_alone_whatever_the_umask_and_goes_through_no_link(
    shop: Shop, tmp_path: Path, tmp_path_factory: pytest.TempPathFactory
) -> None:
    (stick,) = sticks(shop)
    devices = tmp_path / "page" / "devices.json"
    work: list[Callable[[], object]] = [
        lambda: back_up(shop),
        lambda: print_labels(shop, rack.find(shop)),
        lambda: Devices(devices).let_in("ada", "owner"),
    ]
    before = os.umask(0o002)
    try:
        for umask in (0o002, 0o177):
            os.umask(umask)
            for do, name in zip(work, ("backups", "labels", "page"), strict=True):
                folder = tmp_path / name
                do()
                assert stat.S_IMODE(folder.stat().st_mode) == 0o700
                modes = {stat.S_IMODE(path.stat().st_mode) for path in folder.iterdir()}
                assert modes == {0o600}
                shutil.rmtree(folder)
    finally:
        os.umask(before)
    other = tmp_path_factory.mktemp("other")
    for do, name in zip(work, ("backups", "labels", "page"), strict=True):
        (tmp_path / name).symlink_to(other)
        with pytest.raises(NoShop, match="is a link"):
            do()
    mark_labelled(shop, [stick])
    assert list(other.iterdir()) == []
    (tmp_path / "labels").unlink()
    print_labels(shop, rack.find(shop))
    for kept in (tmp_path / "labels").glob("*.txt"):
        kept.unlink()
        kept.symlink_to(other / "mine.txt")
    print_labels(shop, rack.find(shop))
    assert list(other.iterdir()) == []
