"""The shop's own certificate authority, so that its pages come over https on its own network.

A certificate authority that a tablet trusts could speak for anybody, so this one is made to be good
for nothing but the shop's addresses: it is constrained to them (RFC 5280, 4.2.1.10), and signs no
other authority (path length 0, 4.2.1.9). Its key is in a file that its owner alone reads. The
server's certificate is made anew at each start, for 397 days: tablets take none of more than 825.

The only module that knows the library for certificates, which ``serve --secure`` alone loads.
"""

import ssl
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.hashes import SHA256
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from stockroom.page.safety.kept_file import keep_secret
from stockroom.refusals import Refused

__all__ = ["Authority", "authority_in"]

FILE = "authority.pem"
"""Its key and its certificate, one after the other."""
OWN_DAYS, SERVER_DAYS = 3650, 397
EARLY = timedelta(days=1)
"""Certificates begin so much before now: a tablet's clock may be behind."""

Extension = tuple[x509.ExtensionType, bool]
"""An extension, and whether who does not know it must refuse the certificate."""


@dataclass(frozen=True)
class Authority:
    """The shop's authority: its certificate, its key, and whether it was made just now."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey
    fresh: bool = False

    @property
    def as_file(self) -> bytes:
        """Its certificate as a device takes it (DER)."""
        return self.certificate.public_bytes(Encoding.DER)

    @property
    def fingerprint(self) -> str:
        """By which it is known again: the SHA-256 of its certificate, in pairs."""
        return self.certificate.fingerprint(SHA256()).hex(":").upper()

    def context(self, names: list[str]) -> ssl.SSLContext:
        """What a server at these addresses shows: a new key, and this authority's word for it."""
        key = ec.generate_private_key(ec.SECP256R1())
        chain = (self.server_certificate(names, key), self.certificate)
        made = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        made.minimum_version = ssl.TLSVersion.TLSv1_2
        with tempfile.TemporaryDirectory(prefix="stockroom-") as folder:
            file = Path(folder) / "server.pem"
            keep_secret(file, as_text(key, *chain))
            made.load_cert_chain(file)
        return made

    def server_certificate(
        self, names: list[str], key: ec.EllipticCurvePrivateKey
    ) -> x509.Certificate:
        """A server's certificate for these addresses; devices refuse it for any but the shop's."""
        alternative = x509.SubjectAlternativeName([general(name) for name in names])
        issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(self.key.public_key())
        return signed_by(
            self.key, self.certificate.subject, called("Stockroom"), key, SERVER_DAYS,
            (x509.BasicConstraints(ca=False, path_length=None), True),
            (usage(signs=False), True),
            (x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), False),
            (alternative, False), (issuer, False),
        )  # fmt: skip


def authority_in(folder: Path, names: list[str]) -> Authority:
    """The authority that is kept in a folder; a new one where there is none that serves.

    It serves as long as these addresses are its own and it outlives what it signs.

    Raises:
        Refused: what is kept can't be read.
    """
    file = folder / FILE
    try:
        kept = kept_in(file)
    except (OSError, ValueError, TypeError):
        raise Refused(
            "{file} holds no authority that can be read",
            "move it away: a new one is made, for each tablet to trust",
            file=str(file),
        ) from None
    if kept is not None and serves(kept, names):
        return kept
    made = new_authority(names)
    keep_secret(file, as_text(made.key, made.certificate))
    return made


def kept_in(file: Path) -> Authority | None:
    """What a file keeps; None where there is none.

    Raises:
        ValueError: it holds something else.
    """
    try:
        content = file.read_bytes()
    except FileNotFoundError:
        return None
    key = load_pem_private_key(content, None)
    if not isinstance(key, ec.EllipticCurvePrivateKey):
        raise ValueError("another kind of key")
    return Authority(x509.load_pem_x509_certificate(content), key)


def serves(kept: Authority, names: list[str]) -> bool:
    """True where an authority may still sign, and for all these addresses."""
    left = kept.certificate.not_valid_after_utc - datetime.now(UTC)
    limits = kept.certificate.extensions.get_extension_for_class(x509.NameConstraints).value
    own = limits.permitted_subtrees or []
    return left > timedelta(days=SERVER_DAYS) and all(constrained(name) in own for name in names)


def new_authority(names: list[str]) -> Authority:
    """An authority for these addresses alone."""
    key = ec.generate_private_key(ec.SECP256R1())
    itself = called(f"Stockroom of this shop, {datetime.now(UTC):%Y-%m-%d}")
    made = signed_by(
        key, itself, itself, key, OWN_DAYS,
        (x509.BasicConstraints(ca=True, path_length=0), True),
        (usage(signs=True), True),
        (x509.NameConstraints([constrained(name) for name in names], None), True),
    )  # fmt: skip
    return Authority(made, key, fresh=True)


def signed_by(
    signer: ec.EllipticCurvePrivateKey,
    issuer: x509.Name,
    subject: x509.Name,
    key: ec.EllipticCurvePrivateKey,
    days: int,
    *extensions: Extension,
) -> x509.Certificate:
    """A certificate for a key, with these extensions."""
    begins = datetime.now(UTC).replace(microsecond=0) - EARLY
    made = x509.CertificateBuilder(
        issuer, subject, key.public_key(), x509.random_serial_number(),
        begins, begins + timedelta(days=days),
    )  # fmt: skip
    known_by = x509.SubjectKeyIdentifier.from_public_key(key.public_key())
    for extension, critical in ((known_by, False), *extensions):
        made = made.add_extension(extension, critical=critical)
    return made.sign(signer, SHA256())


def general(name: str) -> x509.GeneralName:
    """An address or a name as certificates say it."""
    try:
        return x509.IPAddress(ip_address(name))
    except ValueError:
        return x509.DNSName(name)


def constrained(name: str) -> x509.GeneralName:
    """The same as a constraint: an address is a network of its own."""
    said = general(name)
    return x509.IPAddress(ip_network(name)) if isinstance(said, x509.IPAddress) else said


def usage(*, signs: bool) -> x509.KeyUsage:
    """What a key is for: an authority's signs certificates, a server's proves who it is."""
    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs,
        content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip


def called(text: str) -> x509.Name:
    """A name as a device shows it in its list."""
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, text)])


def as_text(key: ec.EllipticCurvePrivateKey, *certificates: x509.Certificate) -> bytes:
    """A key and certificates as they are kept (PEM)."""
    secret = key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    return secret + b"".join(one.public_bytes(Encoding.PEM) for one in certificates)
