"""The studio's own certificate: browsers' rules for it, and that it is kept while it fits."""

import hashlib
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509

from evenground.studio.tls import certificate_for

HOSTS = ("127.0.0.1", "192.0.2.7", "localhost")
NOW = datetime(2026, 5, 9, tzinfo=UTC)


def test_it_names_its_addresses_and_lasts_no_longer_than_browsers_allow(tmp_path: Path) -> None:
    made = certificate_for(tmp_path, HOSTS, NOW)
    seen = x509.load_pem_x509_certificate(made.certificate_file.read_bytes())
    names = seen.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert {str(a) for a in names.get_values_for_type(x509.IPAddress)} == {"127.0.0.1", "192.0.2.7"}
    assert names.get_values_for_type(x509.DNSName) == ["localhost"]
    # CA/Browser Forum Baseline Requirements 6.3.2: at most 398 days.
    assert seen.not_valid_after_utc - seen.not_valid_before_utc <= timedelta(days=398)


def test_its_fingerprint_is_the_sha256_of_what_the_browser_sees(tmp_path: Path) -> None:
    made = certificate_for(tmp_path, HOSTS, NOW)
    der = ssl.PEM_cert_to_DER_cert(made.certificate_file.read_text("ascii"))
    assert made.fingerprint.replace(" ", "") == hashlib.sha256(der).hexdigest().upper()


def test_key_and_certificate_belong_together_and_the_key_is_the_owners_only(tmp_path: Path) -> None:
    made = certificate_for(tmp_path, HOSTS, NOW)
    ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER).load_cert_chain(made.certificate_file, made.key_file)
    assert stat.S_IMODE(made.key_file.stat().st_mode) == 0o600


def test_it_is_kept_until_it_runs_out_or_the_addresses_change(tmp_path: Path) -> None:
    first = certificate_for(tmp_path, HOSTS, NOW).fingerprint
    assert certificate_for(tmp_path, HOSTS, NOW + timedelta(days=300)).fingerprint == first
    renewed = certificate_for(tmp_path, HOSTS, NOW + timedelta(days=380)).fingerprint
    assert renewed != first
    assert certificate_for(tmp_path, (*HOSTS, "192.0.2.8"), NOW + timedelta(days=380)).fingerprint != renewed
