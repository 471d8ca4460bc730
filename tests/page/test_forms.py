"""Forms that record: each carries a key, so that one that is sent twice is recorded once."""

import re
from importlib.resources import files

from stockroom.services.counter.job_list import job_rows
from stockroom.services.shop import Shop
from tests.page.browser import Open

RECORD_NOTHING = (
    "/devices", "/enter", "/morning/plan", "/morning/halt", "/rack/labels", "/rack/count",
    "/scanned", "/record/backup", "/record/proof",
)  # fmt: skip
"""What may be sent again: it lets devices in, works a draft out, prints, compares or
copies."""
FORM = re.compile(r"<form [^>]*method=\"post\"[^>]*>.{0,20}")
TARGET = re.compile(r'action="([^"]*)"')


def test_every_form_that_records_has_a_key() -> None:
    folder = files("stockroom.page") / "templates"
    forms = [(file.name, form) for file in folder.iterdir()
             for form in FORM.findall(file.read_text(encoding="utf-8"))]  # fmt: skip
    assert len(forms) > 20
    bare = [(name, form) for name, form in forms
            if "{{ once(" not in form and 'id="label"' not in form
            and not [at for at in TARGET.findall(form)
                     if at in RECORD_NOTHING or at.startswith("/devices/")]]  # fmt: skip
    assert bare == []


def test_a_job_that_is_sent_twice_is_taken_in_once_and_the_next_has_a_key_of_its_own(
    page_of: Open, shop: Shop
) -> None:
    def key_in(text: str) -> str:
        found = re.search(r'name="key" value="([0-9a-f]{32})"', text)
        assert found is not None
        return found[1]

    key = key_in(page_of.ask("GET", "/counter/new").text)
    told = {"width": "16", "height": "20", "profile": "ASH-22", "customer": "R. Aldous",
            "due": "2026-12-01", "key": key}  # fmt: skip
    before = len(job_rows(shop))
    assert page_of.ask("POST", "/counter/take", data=told).status_code == 303
    again = page_of.ask("POST", "/counter/take", data=told)
    assert again.status_code == 409
    assert "Recorded already" in again.text
    assert len(job_rows(shop)) == before + 1
    another = key_in(again.text)
    assert another != key
    assert page_of.ask("POST", "/counter/take", data={**told, "key": another}).status_code == 303
    assert len(job_rows(shop)) == before + 2
    assert page_of.ask("POST", "/counter/take", data={**told, "key": "x"}).status_code == 422


JOB = {"width": "16", "height": "20", "profile": "ASH-22", "customer": "R. Aldous",
       "due": "2026-12-01"}  # fmt: skip
MISTYPED: tuple[tuple[str, dict[str, str], str, str], ...] = (
    ("/counter/take", JOB, "height", "Artwork, upright:"),
    ("/counter/take", JOB, "bench_days", "Days at the bench:"),
    ("/counter/take", JOB, "lengths", "A job cut as frame takes no “Lengths”."),
    ("/counter/take", {**JOB, "width": ""}, "height", "needs its “Artwork, across”"),
    ("/counter/1/change", {}, "mat", "Mat borders:"),
    ("/rack/found", {"profile": "ASH-22"}, "length", "Length:"),
    ("/rack/receive", {"profile": "ASH-22", "batch": "B7"}, "lengths",
     "Measured lengths, one a line:"),
    ("/rack/labels", {"pieces": "1"}, "start", "From label:"),
    ("/rack/count", {"at": "A1", "as_of": "1", "seen": "1"}, "length-1", "Measured length of 1:"),
)  # fmt: skip


def test_a_refusal_names_a_field_of_any_form_as_the_page_labels_it(page_of: Open) -> None:
    for at, told, name, said in MISTYPED:
        refused = page_of.ask("POST", at, data={**told, name: "banana"})
        alert = refused.text.partition('role="alert"')[2].partition("</section>")[0]
        assert (refused.status_code, at, said in alert) == (422, at, True), alert
        assert "\ue000" not in refused.text
