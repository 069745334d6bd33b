"""The class's own certificates: good for its address, for nothing else, and not for long. Checked by OpenSSL."""

import http.client
import shutil
import ssl
import subprocess
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import NameOID
from served import Served

from chattutor.common.exits import CannotGoOn
from chattutor.page.certificates import TERM, WEEK, certificates

OPENSSL = shutil.which("openssl")
needs_openssl = pytest.mark.skipif(not OPENSSL, reason="needs openssl")
AT = "192.168.7.20"


def _verifies(authority: Path, certificate: Path, *more: str) -> bool:
    done = subprocess.run(
        [str(OPENSSL), "verify", "-x509_strict", "-CAfile", str(authority), *more, str(certificate)],
        capture_output=True, check=False,
    )  # fmt: skip
    return done.returncode == 0


def _read(address: str, context: ssl.SSLContext) -> str:
    line = http.client.HTTPSConnection(urlsplit(address).netloc, timeout=10, context=context)
    line.request("GET", "/")
    text = line.getresponse().read().decode()
    line.close()
    return text


@needs_openssl
def test_the_servers_certificate_is_good_for_its_address_alone(tmp_path: Path) -> None:
    authority, served, key = certificates(tmp_path, AT)
    assert _verifies(authority, served, "-verify_ip", AT)
    assert not _verifies(authority, served, "-verify_ip", "192.168.7.21")
    for path in (served, key, tmp_path / "authority.key"):
        assert path.stat().st_mode & 0o777 == 0o600


@needs_openssl
@pytest.mark.parametrize(
    "name",
    [
        x509.DNSName("school.example"),
        x509.IPAddress(IPv4Address("203.0.113.9")),
        x509.IPAddress(IPv4Address("10.0.0.1")),
    ],
)
def test_a_stolen_authority_can_pretend_to_be_nothing_else(tmp_path: Path, name: x509.GeneralName) -> None:
    authority, served, _ = certificates(tmp_path, AT)
    key = serialization.load_pem_private_key((tmp_path / "authority.key").read_bytes(), None)
    assert isinstance(key, ec.EllipticCurvePrivateKey)
    other = ec.generate_private_key(ec.SECP256R1())
    now = datetime.now(UTC)
    forged = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, "forged")]))
        .issuer_name(x509.load_pem_x509_certificate(authority.read_bytes()).subject)
        .public_key(other.public_key())
        .serial_number(7)
        .not_valid_before(now - timedelta(days=1))
        .not_valid_after(now + timedelta(days=1))
        .add_extension(x509.SubjectAlternativeName([name]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    path = tmp_path / "forged.pem"
    path.write_bytes(forged.public_bytes(serialization.Encoding.PEM))
    assert not _verifies(authority, path)
    assert _verifies(authority, served)


def test_it_lasts_a_term_and_the_server_a_week(tmp_path: Path) -> None:
    now = datetime(2026, 9, 1, 8, tzinfo=UTC)
    authority, served, _ = certificates(tmp_path, AT, now)
    first = authority.read_bytes()
    ends = [x509.load_pem_x509_certificate(path.read_bytes()).not_valid_after_utc for path in (authority, served)]
    assert ends == [now + TERM, now + WEEK]
    certificates(tmp_path, AT, now + timedelta(days=100))
    assert authority.read_bytes() == first  # devices go on trusting it
    certificates(tmp_path, AT, now + TERM - WEEK)
    assert authority.read_bytes() != first


def test_another_network_or_damage_means_another_authority(tmp_path: Path) -> None:
    authority, *_ = certificates(tmp_path, AT)
    first = authority.read_bytes()
    certificates(tmp_path, "192.168.9.9")
    assert authority.read_bytes() == first
    certificates(tmp_path, "10.1.2.3")
    second = authority.read_bytes()
    assert second != first
    authority.write_bytes(second[:100])
    certificates(tmp_path, "10.1.2.3")
    assert authority.read_bytes() not in {second, second[:100]}


def test_a_public_address_is_refused(tmp_path: Path) -> None:
    with pytest.raises(CannotGoOn, match="not an address of a private network"):
        certificates(tmp_path, "203.0.113.9")


@pytest.mark.timeout(60)
def test_a_class_is_served_encrypted(tmp_path: Path) -> None:
    home = tmp_path / "home"
    words = ("--class", "--encrypt", "--at", "127.0.0.2", "--class-port", "0")
    with Served(tmp_path / "logs", *words, home=home) as served:
        line = served.text_until("For the class:")
        address = line.split()[-1]
        assert address.startswith("https://127.0.0.2:")
        trusting = ssl.create_default_context(cafile=str(home / "chattutor" / "certificates" / "authority.pem"))
        page = _read(address, trusting)
        assert "Join the lesson" in page and "not encrypted" not in page
        with pytest.raises(OSError, match="certificate verify failed"):
            _read(address, ssl.create_default_context())
