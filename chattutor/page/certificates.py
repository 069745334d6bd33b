"""An authority of this computer's own, for the class's address alone: devices that trust it can encrypt.

Its certificate is constrained (RFC 5280, 4.2.1.10) to the private network that the address is on and to one name that
is nobody's, so that whoever steals its key can pretend to be nothing else. It lasts a term, the server's a week.
"""

import os
from datetime import UTC, datetime, timedelta
from ipaddress import IPv4Address, IPv4Network
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from chattutor.common.exits import CannotGoOn, reason

TERM, WEEK = timedelta(days=120), timedelta(days=7)
OVERLAP = timedelta(days=1)  # before the first hour, for clocks that are slow; and the least that must be left
PRIVATE = tuple(map(IPv4Network, ("10.0.0.0/8", "172.16.0.0/12", "192.168.0.0/16", "169.254.0.0/16", "127.0.0.0/8")))
NO_NAME = "class.invalid"  # a name that can be nobody's (RFC 2606): with it no other name is allowed
NAME = "chattutor, this computer's own authority"
SERVER = "a class, on this computer"  # with spaces, that nobody takes it for a host's name
NOT_PRIVATE = "{at} is not an address of a private network; it needs a certificate of the school's own (--certificate)."
NOT_KEPT = "The certificates cannot be kept in {folder}: {reason}."


def certificates(folder: Path, at: str, now: datetime | None = None) -> tuple[Path, Path, Path]:
    """The authority's certificate, and the server's certificate and key for this address, in files in ``folder``; what
    is still valid is kept, so that devices go on trusting it. Raises CannotGoOn."""
    today = now or datetime.now(UTC)
    network = next((each for each in PRIVATE if IPv4Address(at) in each), None)
    if network is None:
        raise CannotGoOn(NOT_PRIVATE.format(at=at))
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        authority, key = _authority(folder, network, today)
        served, served_key = folder / "server.pem", folder / "server.key"
        own = ec.generate_private_key(ec.SECP256R1())
        _write(served_key, _as_pem(own))
        made = _server(at, own, authority, key, today)
        _write(served, made.public_bytes(serialization.Encoding.PEM))
    except OSError as error:
        raise CannotGoOn(NOT_KEPT.format(folder=folder, reason=reason(error))) from error
    return folder / "authority.pem", served, served_key


def _authority(
    folder: Path, network: IPv4Network, today: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    path, key_path = folder / "authority.pem", folder / "authority.key"
    kept: x509.Certificate | None
    try:
        kept = x509.load_pem_x509_certificate(path.read_bytes())
        key = serialization.load_pem_private_key(key_path.read_bytes(), None)
    except (FileNotFoundError, ValueError):
        kept = key = None
    if kept is not None and isinstance(key, ec.EllipticCurvePrivateKey) and _good(kept, key, network, today):
        return kept, key
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, NAME)])
    made = (
        _begun(name, name, key.public_key(), today, TERM)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_usage(signs=True), critical=True)
        .add_extension(x509.NameConstraints([x509.IPAddress(network), x509.DNSName(NO_NAME)], None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )
    _write(key_path, _as_pem(key))
    _write(path, made.public_bytes(serialization.Encoding.PEM))
    return made, key


def _good(kept: x509.Certificate, key: ec.EllipticCurvePrivateKey, network: IPv4Network, today: datetime) -> bool:
    """Whether it is this key's, for this network, and lasts long enough for a week's certificate."""
    allowed = kept.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    return (
        x509.IPAddress(network) in allowed
        and kept.public_key() == key.public_key()
        and kept.not_valid_after_utc > today + WEEK
    )


def _server(
    at: str,
    own: ec.EllipticCurvePrivateKey,
    authority: x509.Certificate,
    key: ec.EllipticCurvePrivateKey,
    today: datetime,
) -> x509.Certificate:
    name = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, SERVER)])
    return (
        _begun(name, authority.subject, own.public_key(), today, WEEK)
        .add_extension(x509.SubjectAlternativeName([x509.IPAddress(IPv4Address(at))]), critical=False)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs=False), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.AuthorityKeyIdentifier.from_issuer_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _begun(
    subject: x509.Name, issuer: x509.Name, key: ec.EllipticCurvePublicKey, today: datetime, lasts: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(issuer)
        .public_key(key)
        .serial_number(x509.random_serial_number())
        .not_valid_before(today - OVERLAP)
        .not_valid_after(today + lasts)
    )


def _usage(signs: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs, key_cert_sign=signs, crl_sign=signs, content_commitment=False,
        key_encipherment=False, data_encipherment=False, key_agreement=False, encipher_only=False, decipher_only=False,
    )  # fmt: skip


def _as_pem(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM, serialization.PrivateFormat.PKCS8, serialization.NoEncryption()
    )


def _write(path: Path, data: bytes) -> None:
    """For its owner alone, whole or not at all."""
    beside = path.with_suffix(".new")
    beside.unlink(missing_ok=True)
    with os.fdopen(os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        file.write(data)
    os.replace(beside, path)
