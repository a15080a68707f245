"""The desk's edges: keys, certificates, the socket, small pictures, scratch files."""

import io
import os
import ssl
import stat
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import pytest
from cryptography import x509
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID
from cryptography.x509.verification import PolicyBuilder, Store
from PIL import Image

from intake.edges import desk_folder, network, random_tokens
from intake.edges.certificates import prepare
from intake.edges.temp_files import temporary_file
from intake.edges.thumbnails import shrink
from intake.errors import FileError, UsageError

NOW = datetime(2026, 5, 1, 9, tzinfo=UTC)
NAMES = ("localhost", "127.0.0.1", "192.168.1.20", "desk.local")


def test_a_browser_that_trusts_the_authority_trusts_the_machine(tmp_path: Path) -> None:
    """Checked by the path validation of the `cryptography` package (RFC 5280), and by OpenSSL through `ssl`."""
    held = prepare(tmp_path, NAMES, NOW)
    authority = x509.load_pem_x509_certificate(held.authority.read_bytes())
    machine, second = x509.load_pem_x509_certificates(held.chain.read_bytes())
    assert second == authority
    for name in ("localhost", "desk.local"):
        verifier = PolicyBuilder().store(Store([authority])).time(NOW).build_server_verifier(x509.DNSName(name))
        assert verifier.verify(machine, []) == [machine, authority]
    context = ssl.create_default_context(cafile=held.authority)
    context.load_cert_chain(held.chain, held.key)


def test_the_machine_certificate_is_one_that_browsers_take(tmp_path: Path) -> None:
    machine = x509.load_pem_x509_certificates(prepare(tmp_path, NAMES, NOW).chain.read_bytes())[0]
    # CA/Browser Forum, Baseline Requirements 6.3.2: no longer than 398 days (from memory).
    assert machine.not_valid_after_utc - machine.not_valid_before_utc <= timedelta(days=398)
    usage = machine.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    held = machine.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    assert held.get_values_for_type(x509.DNSName) == ["localhost", "desk.local"]
    assert [str(address) for address in held.get_values_for_type(x509.IPAddress)] == ["127.0.0.1", "192.168.1.20"]
    assert isinstance(machine.public_key(), ec.EllipticCurvePublicKey)


def test_certificates_are_kept_until_they_run_out_or_the_address_changes(tmp_path: Path) -> None:
    first = prepare(tmp_path, NAMES, NOW)
    authority = first.authority.read_bytes()
    assert prepare(tmp_path, NAMES, NOW + timedelta(days=300)).fingerprint == first.fingerprint
    assert prepare(tmp_path, NAMES[:2], NOW).fingerprint == first.fingerprint
    moved = prepare(tmp_path, (*NAMES, "192.168.7.7"), NOW)
    later = prepare(tmp_path, NAMES, NOW + timedelta(days=390))
    assert len({first.fingerprint, moved.fingerprint, later.fingerprint}) == 3
    assert later.authority.read_bytes() == authority, "phones that installed it need not do so again"


def test_damaged_certificates_are_made_anew(tmp_path: Path) -> None:
    first = prepare(tmp_path, NAMES, NOW)
    first.chain.write_bytes(b"nonsense")
    first.authority.write_bytes(b"nonsense")
    assert prepare(tmp_path, NAMES, NOW).fingerprint != first.fingerprint


@pytest.mark.skipif(os.name != "posix", reason="other systems keep rights otherwise")
def test_keys_are_their_owners_alone(tmp_path: Path) -> None:
    folder = tmp_path / "keys"
    desk_folder.write_private(folder / "sessions.json", b"[]")
    prepare(folder, NAMES, NOW)
    for path in folder.iterdir():
        assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert stat.S_IMODE(folder.stat().st_mode) == 0o700


def test_what_was_written_is_read_and_what_is_not_there_is_none(tmp_path: Path) -> None:
    assert desk_folder.read_private(tmp_path / "keys" / "sessions.json") is None
    desk_folder.write_private(tmp_path / "keys" / "sessions.json", b"[1]")
    assert desk_folder.read_private(tmp_path / "keys" / "sessions.json") == b"[1]"
    with pytest.raises(FileError):
        desk_folder.read_private(tmp_path / "keys")


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(FileError):
        desk_folder.write_private(tmp_path / "file" / "keys" / "sessions.json", b"")


def test_the_socket_is_this_machines_alone_unless_told() -> None:
    listening = network.listen(0, everywhere=False)
    try:
        assert listening.getsockname()[0] == "127.0.0.1"
        with pytest.raises(UsageError):
            network.listen(listening.getsockname()[1], everywhere=False)
    finally:
        listening.close()


def test_the_house_address_is_not_this_machines_own() -> None:
    address = network.house_address()
    assert address is None or not address.startswith("127.")


def test_codes_are_drawn_from_letters_that_are_not_mistaken() -> None:
    drawn = {random_tokens.code(8) for _ in range(200)}
    assert len(drawn) == 200
    assert not set("".join(drawn)) & set("AEIOU01SL5")


def test_small_pictures_are_upright_and_hold_nothing_else(tmp_path: Path) -> None:
    picture = Image.new("RGB", (400, 200), "white")
    picture.paste("black", (0, 0, 200, 200))
    exif = Image.Exif()
    exif[0x0112] = 6  # EXIF orientation: to be turned by a quarter, clockwise
    exif[0x010E] = "where it was taken"
    picture.save(tmp_path / "one.jpg", exif=exif, comment=b"whose it is")
    small = Image.open(io.BytesIO(shrink(tmp_path / "one.jpg", 100)))
    assert small.size == (50, 100)
    assert small.convert("L").getpixel((25, 10)) < 60  # type: ignore[operator] # of a grey picture it is a number
    assert not small.getexif()
    assert "comment" not in small.info


def test_a_picture_of_16_bits_is_shown_from_its_darkest_to_its_lightest(tmp_path: Path) -> None:
    levels = np.repeat(np.array([[300, 1200, 3000]], np.uint16), 20, axis=1)  # of 12 bits, as many cameras have them
    Image.fromarray(np.repeat(levels, 60, axis=0)).save(tmp_path / "one.png")
    small = np.asarray(Image.open(io.BytesIO(shrink(tmp_path / "one.png", 60))).convert("L"))
    assert [round(float(small[:, x].mean()) / 255, 1) for x in (10, 30, 50)] == [0.0, 0.3, 1.0]


@pytest.mark.parametrize("mode", ["RGBA", "LA", "P", "L", "1", "CMYK"])
def test_any_kind_of_picture_becomes_small(tmp_path: Path, mode: str) -> None:
    suffix = "tif" if mode == "CMYK" else "png"
    Image.new(mode, (64, 32)).save(tmp_path / f"one.{suffix}")
    assert Image.open(io.BytesIO(shrink(tmp_path / f"one.{suffix}", 16))).size == (16, 8)


def test_what_is_no_picture_is_not_shown(tmp_path: Path) -> None:
    (tmp_path / "one.jpg").write_bytes(b"nothing")
    with pytest.raises(FileError):
        shrink(tmp_path / "one.jpg", 100)


def test_scratch_files_are_gone_afterwards() -> None:
    with temporary_file("picture", b"data") as path:
        assert path.read_bytes() == b"data"
    assert not path.parent.exists()


def test_a_full_disk_is_a_sentence(monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_path: Path, _data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(FileError) as caught, temporary_file("picture", b"data"):
        pass
    assert "No space left" in str(caught.value)
