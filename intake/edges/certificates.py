"""Certificates for the live camera of a phone: the household's own authority, and a certificate for this machine.

Browsers allow camera access to secure pages only. The authority is valid for ten years and can be installed on a phone;
the machine's certificate is valid for 397 days, because browsers accept at most 398, and is replaced when it expires or
the addresses of the machine change.

Sources: RFC 5280 (profile), CA/Browser Forum Baseline Requirements 6.3.2 (398 days; from memory).
"""

import hashlib
import ipaddress
import ssl
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from intake.edges.desk_folder import write_private

AUTHORITY_DAYS = 3650
MACHINE_DAYS = 397
SPARE_DAYS = 30
CLOCK_SLACK = timedelta(days=1)
"""Certificates are valid from a day earlier, because a phone's clock may be slow."""

Key = ec.EllipticCurvePrivateKey


@dataclass(frozen=True, slots=True)
class Certificates:
    """The files of the certificates.

    Attributes:
        chain: the machine's certificate and the authority's, PEM; `key` belongs to the first.
        authority: the authority's certificate, PEM, which can be installed on a phone.
        fingerprint: SHA-256 of the machine's certificate in pairs of hexadecimal digits, as browsers show it.
    """

    chain: Path
    key: Path
    authority: Path
    fingerprint: str


def prepare(folder: Path, names: Sequence[str], now: datetime) -> Certificates:
    """Return certificates for a machine, creating them if they are missing, expired or for other names.

    Args:
        folder: where they are stored.
        names: host names and addresses of the machine.
        now: the current time in UTC.

    Raises:
        FileError: the folder cannot be written.
    """
    files = Certificates(folder / "machine.pem", folder / "machine.key", folder / "authority.pem", "")
    machine = _usable(files, names, now)
    if machine is None:
        authority_key, authority = _authority(folder, now)
        key = ec.generate_private_key(ec.SECP256R1())
        machine = _machine(key, names, authority, authority_key, now)
        write_private(files.key, _pem_key(key))
        write_private(files.chain, _pem(machine) + _pem(authority))
    digest = hashlib.sha256(machine.public_bytes(serialization.Encoding.DER)).hexdigest().upper()
    pairs = ":".join(digest[start : start + 2] for start in range(0, len(digest), 2))
    return Certificates(files.chain, files.key, files.authority, pairs)


def server_context(files: Certificates) -> ssl.SSLContext:
    """Return how the desk speaks TLS: 1.2 or 1.3 with the library's own choice of ciphers, nothing older."""
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.minimum_version = ssl.TLSVersion.TLSv1_2
    context.load_cert_chain(files.chain, files.key)
    return context


def _usable(files: Certificates, names: Sequence[str], now: datetime) -> x509.Certificate | None:
    """Return the machine's certificate if it is still valid for all names, else None."""
    try:
        machine = x509.load_pem_x509_certificates(files.chain.read_bytes())[0]
        certified = machine.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except (OSError, ValueError, x509.ExtensionNotFound):
        return None
    if not (files.key.exists() and files.authority.exists()):
        return None
    lasts = machine.not_valid_after_utc - now > timedelta(days=SPARE_DAYS)
    return machine if lasts and set(certified) >= set(_alternative(names)) else None


def _authority(folder: Path, now: datetime) -> tuple[Key, x509.Certificate]:
    """Return the household's authority, creating it if there is none that remains valid long enough."""
    key_file, file = folder / "authority.key", folder / "authority.pem"
    try:
        key = serialization.load_pem_private_key(key_file.read_bytes(), password=None)
        authority = x509.load_pem_x509_certificate(file.read_bytes())
        if isinstance(key, Key) and authority.not_valid_after_utc - now > timedelta(days=MACHINE_DAYS):
            return key, authority
    except (OSError, ValueError):
        pass  # there is none yet, or it is not usable
    new_key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, f"Book intake at home {now:%Y-%m-%d}")])
    usage = x509.KeyUsage(
        digital_signature=False, content_commitment=False, key_encipherment=False, data_encipherment=False,
        key_agreement=False, key_cert_sign=True, crl_sign=True, encipher_only=False, decipher_only=False,
    )  # fmt: skip
    authority = (
        _builder(name, name, new_key, now, AUTHORITY_DAYS)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(new_key.public_key()), critical=False)
        .sign(new_key, hashes.SHA256())
    )
    write_private(key_file, _pem_key(new_key))
    write_private(file, _pem(authority))
    return new_key, authority


def _machine(
    key: Key, names: Sequence[str], authority: x509.Certificate, authority_key: Key, now: datetime
) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Book intake")])
    issuer_key = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key())
    return (
        _builder(name, authority.subject, key, now, MACHINE_DAYS)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.SubjectAlternativeName(_alternative(names)), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(issuer_key, critical=False)
        .sign(authority_key, hashes.SHA256())
    )


def _builder(subject: x509.Name, issuer: x509.Name, key: Key, now: datetime, days: int) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - CLOCK_SLACK)
        .not_valid_after(now - CLOCK_SLACK + timedelta(days=days))
    )


def _alternative(names: Sequence[str]) -> list[x509.GeneralName]:
    """Return host names and addresses in the form used in a certificate."""
    general_names: list[x509.GeneralName] = []
    for name in names:
        try:
            general_names.append(x509.IPAddress(ipaddress.ip_address(name)))
        except ValueError:
            general_names.append(x509.DNSName(name))
    return general_names


def _pem(certificate: x509.Certificate) -> bytes:
    return certificate.public_bytes(serialization.Encoding.PEM)


def _pem_key(key: Key) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
