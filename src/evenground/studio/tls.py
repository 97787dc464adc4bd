"""The studio's own certificate: made here, for its own addresses, with a fingerprint to compare."""

import ipaddress
import os
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

__all__ = ["Certificate", "certificate_for"]

_DAYS = 397
"""Browsers refuse a certificate that is valid for longer than 398 days."""
_RENEW_DAYS = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class Certificate:
    """Where certificate and key lie, and the SHA-256 fingerprint in groups of four."""

    certificate_file: Path
    key_file: Path
    fingerprint: str


def certificate_for(folder: Path, hosts: tuple[str, ...], now: datetime | None = None) -> Certificate:
    """The certificate for these names and addresses; the one in the folder while it fits and lasts.

    Parameters
    ----------
    folder
        The data folder; the certificate stands in `tls` inside it, the key readable by its owner only.
    hosts
        Names and addresses under which the app is opened.
    now
        The moment, for the days it is valid.
    """
    now = now or datetime.now(UTC)
    place = folder / "tls"
    place.mkdir(mode=0o700, parents=True, exist_ok=True)
    certificate_file, key_file = place / "certificate.pem", place / "key.pem"
    kept = _kept(certificate_file) if key_file.is_file() else None
    if (
        kept is None
        or _hosts_of(kept) != set(hosts)
        or kept.not_valid_after_utc < now + timedelta(days=_RENEW_DAYS)
    ):
        kept = _make(certificate_file, key_file, hosts, now)
    print_ = kept.fingerprint(hashes.SHA256()).hex().upper()
    groups = " ".join(print_[i : i + 4] for i in range(0, len(print_), 4))
    return Certificate(certificate_file=certificate_file, key_file=key_file, fingerprint=groups)


def _kept(file: Path) -> x509.Certificate | None:
    try:
        return x509.load_pem_x509_certificate(file.read_bytes())
    except (OSError, ValueError):
        return None


def _hosts_of(certificate: x509.Certificate) -> set[str]:
    names = certificate.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    addresses = {str(a) for a in names.get_values_for_type(x509.IPAddress)}
    return addresses | set(names.get_values_for_type(x509.DNSName))


def _name(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ipaddress.ip_address(host))
    except ValueError:
        return x509.DNSName(host)


def _make(certificate_file: Path, key_file: Path, hosts: tuple[str, ...], now: datetime) -> x509.Certificate:
    """A new key and a certificate for it, signed by itself."""
    key = ec.generate_private_key(ec.SECP256R1())
    who = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "Evenground on this machine")])
    certificate = (
        x509.CertificateBuilder()
        .subject_name(who)
        .issuer_name(who)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - timedelta(hours=1))
        .not_valid_after(now + timedelta(days=_DAYS))
        .add_extension(x509.SubjectAlternativeName([_name(h) for h in hosts]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .sign(key, hashes.SHA256())
    )
    pem = key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )
    handle = os.open(key_file, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    with os.fdopen(handle, "wb") as out:
        out.write(pem)
    certificate_file.write_bytes(certificate.public_bytes(serialization.Encoding.PEM))
    return certificate
