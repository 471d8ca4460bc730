"""The shop's own authority (``serve --secure``): good for its own addresses, and nothing else."""

import builtins
import ssl
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any
from unittest.mock import patch

import httpx
import pdfplumber
import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import Encoding
from cryptography.x509.verification import PolicyBuilder, Store, VerificationError

from stockroom.page.safety import authority as module
from stockroom.page.safety.authority import Authority, authority_in
from stockroom.refusals import Refused
from stockroom.services.shop import Shop
from tests.page.browser import TABLET, Open, serving

NAMES = [TABLET, "127.0.0.1", "localhost"]


@pytest.fixture
def secured(shop: Shop, tmp_path: Path) -> Iterator[Open]:
    """The workshop, served over https."""
    with serving(shop, authority=authority_in(tmp_path / "page", NAMES)) as opened:
        yield opened


def trusting(authority: Authority) -> ssl.SSLContext:
    """What a device trusts that trusts this authority alone."""
    text = authority.certificate.public_bytes(Encoding.PEM).decode()
    return ssl.create_default_context(cadata=text)


def test_a_device_that_trusts_the_authority_is_let_in_over_https(secured: Open) -> None:
    authority = secured.served.authority
    assert authority is not None
    headers = {"Origin": secured.tablet}
    trusted = trusting(authority)
    with httpx.Client(base_url=secured.tablet, verify=trusted, headers=headers) as tablet:
        assert tablet.get("/rack").status_code == 401
        told = {"code": secured.served.codes.new("cutter"), "who": "ben"}
        entered = tablet.post("/enter", data=told)
        assert "secure" in entered.headers["set-cookie"].lower()
        assert "At this screen: ben" in tablet.get("/rack").text
        plain = {"Origin": secured.tablet.replace("https", "http")}
        assert tablet.post("/rack/found", headers=plain).status_code == 403
    with pytest.raises(httpx.ConnectError, match="CERTIFICATE_VERIFY_FAILED"):
        httpx.get(f"{secured.tablet}/rack")


def test_the_steps_and_the_certificate_are_there_on_a_page_and_on_paper(
    secured: Open, tmp_path: Path, page_of: Open
) -> None:
    authority = secured.served.authority
    assert authority is not None
    with httpx.Client(base_url=secured.tablet, verify=trusting(authority)) as stranger:
        steps = stranger.get("/trust").text
        assert authority.fingerprint in steps
        taken = stranger.get("/trust/authority.crt")
        assert taken.headers["content-type"] == "application/x-x509-ca-cert"
        assert x509.load_der_x509_certificate(taken.content) == authority.certificate
        file = tmp_path / "trust.pdf"
        file.write_bytes(stranger.get("/trust/paper").content)
    with pdfplumber.open(file) as pdf:
        said = "".join(page.extract_text() for page in pdf.pages)
    assert authority.fingerprint.replace(":", "") in "".join(said.split()).replace(":", "")
    for words in ("Certificate trust settings", "CA certificate"):
        assert words in steps
        assert words in " ".join(said.split())
    assert page_of.ask("GET", "/trust").status_code == 404


def test_what_the_authority_signs_for_another_address_is_refused() -> None:
    authority = module.new_authority(NAMES)
    store = Store([authority.certificate])
    key = ec.generate_private_key(ec.SECP256R1())
    for name, good in ((TABLET, True), ("localhost", True), ("192.0.2.7", False),
                       ("bank.example", False), ("evil.localhost.example", False)):  # fmt: skip
        leaf = authority.server_certificate([name], key)
        asked = module.general(name)
        assert isinstance(asked, x509.DNSName | x509.IPAddress)
        verifier = PolicyBuilder().store(store).build_server_verifier(asked)
        if good:
            assert len(verifier.verify(leaf, [])) == 2
        else:
            with pytest.raises(VerificationError):
                verifier.verify(leaf, [])


def test_the_authority_is_kept_as_a_secret_and_made_anew_for_another_address(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "page"
    first = authority_in(folder, NAMES)
    file = folder / module.FILE
    assert first.fresh
    assert file.stat().st_mode & 0o077 == 0
    again = authority_in(folder, NAMES[1:])
    assert (again.fresh, again.certificate) == (False, first.certificate)
    with patch.object(module, "SERVER_DAYS", module.OWN_DAYS):
        assert authority_in(folder, NAMES).fresh
    assert authority_in(folder, ["192.0.2.7", *NAMES]).fresh
    file.write_text("junk")
    with pytest.raises(Refused, match="no authority that can be read"):
        authority_in(folder, NAMES)
    assert file.read_text() == "junk"


def test_the_authority_signs_no_other_and_its_certificates_end_in_time() -> None:
    authority = module.new_authority(NAMES)
    basic = authority.certificate.extensions.get_extension_for_class(x509.BasicConstraints)
    assert basic.critical
    assert basic.value.path_length == 0
    assert authority.certificate.extensions.get_extension_for_class(x509.NameConstraints).critical
    leaf = authority.server_certificate(NAMES, ec.generate_private_key(ec.SECP256R1()))
    assert (leaf.not_valid_after_utc - leaf.not_valid_before_utc).days < 825


def test_where_the_library_is_missing_it_is_said_how_it_is_added(shop: Shop) -> None:
    from stockroom.cli.serving.serve import authority_for

    def without(name: str, *more: Any) -> Any:
        if name.startswith(("cryptography", "stockroom.page.safety.authority")):
            raise ModuleNotFoundError(name)
        return imported(name, *more)

    imported = builtins.__import__
    with (
        patch.object(builtins, "__import__", without),
        pytest.raises(Refused, match=r"one more package.*-m pip install cryptography"),
    ):
        authority_for(replace(shop), NAMES)
