"""One browser for all tests of a process; the workshop's record, made once and copied."""

import shutil
import warnings
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from demo.workshop import MONDAY, WHO, make_workshop
from stockroom.services.morning.day_plan import accept, plan_day
from stockroom.services.morning.problem import Choices
from stockroom.services.shop import Shop, open_shop
from stockroom.services.weekly.review import Review, review_week
from tests.page.browser import Open, browser_file, not_tried, serving


@pytest.fixture(scope="session")
def workshop_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented workshop's record on its Monday morning, to be copied."""
    file = tmp_path_factory.mktemp("workshop") / "shop.db"
    make_workshop(file).engine.dispose()
    return file


@pytest.fixture
def shop(workshop_file: Path, tmp_path: Path) -> Shop:
    """The workshop on its Monday morning, in a record of its own."""
    file = tmp_path / "shop.db"
    shutil.copyfile(workshop_file, file)
    return open_shop(str(file), WHO, MONDAY)


@pytest.fixture(scope="session")
def planned_file(workshop_file: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The workshop's record with Monday's plan accepted, to be copied."""
    file = tmp_path_factory.mktemp("planned") / "shop.db"
    shutil.copyfile(workshop_file, file)
    shop = open_shop(str(file), WHO, MONDAY)
    plan = plan_day(shop, Choices(MONDAY, seconds=20)).plan
    assert plan is not None
    accept(shop, plan)
    shop.engine.dispose()
    return file


@pytest.fixture
def planned(planned_file: Path, tmp_path: Path) -> Shop:
    """The workshop with Monday's plan at the saw, in a record of its own."""
    file = tmp_path / "shop.db"
    shutil.copyfile(planned_file, file)
    return open_shop(str(file), WHO, MONDAY)


@pytest.fixture(scope="session")
def week_known(workshop_file: Path) -> Review:
    """The week's list of the workshop, reckoned once, for tests of how it is shown."""
    shop = open_shop(str(workshop_file), WHO, MONDAY)
    review = review_week(shop)
    shop.engine.dispose()
    return review


@pytest.fixture
def page_of(shop: Shop) -> Iterator[Open]:
    """The workshop, served."""
    with serving(shop) as opened:
        yield opened


@pytest.fixture(scope="session")
def chromium() -> Iterator[Any]:
    """The browser, once for all; where there is none the pages are not tried, and it says so."""
    found = browser_file()
    if found is None:
        not_tried("no browser was found, so the pages were not tried: playwright install chromium")
    from playwright.sync_api import sync_playwright

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=found or None, args=["--no-sandbox", "--disable-dev-shm-usage"]
            )
            yield browser
            browser.close()


@pytest.fixture
def tab(chromium: Any) -> Iterator[Callable[..., Any]]:
    """Opens tabs, each of a browser of its own; faults in a page's console fail the test."""
    contexts: list[Any] = []
    faults: list[str] = []

    def opened(size: tuple[int, int] = (1024, 768), **more: Any) -> Any:
        context = chromium.new_context(
            viewport={"width": size[0], "height": size[1]}, has_touch=True, **more
        )
        contexts.append(context)
        page = context.new_page()
        page.on("pageerror", lambda error: faults.append(str(error)))
        page.on("console", lambda said: faults.append(said.text)
                if "Content Security Policy" in said.text else None)  # fmt: skip
        return page

    yield opened
    for context in contexts:
        context.close()
    assert faults == []
