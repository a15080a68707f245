"""The two decoders behind one face, and the tool without one of them."""

import platform

import numpy as np
import pytest
import zint

from intake.model.identifiers import OwnKind, own_number
from intake.reading import decoders
from intake.reading.decoders import Zxing, available, install_hint, parse_symbol_text, split_add_on
from intake.reading.symbol_forms import SymbolForm
from tests.reading.drawing import Shot, photograph, symbol

COPY = own_number(OwnKind.COPY, 9)


@pytest.mark.parametrize("decoder", available(), ids=lambda decoder: decoder.name)
@pytest.mark.parametrize("angle", [0, 90, 180, 270])
def test_each_decoder_tells_number_supplement_and_direction(decoder: decoders.Decoder, angle: int) -> None:
    shot = Shot(size=(720, 720), angle=angle)
    picture, corners = photograph(symbol(zint.Symbology.EANX, "978030640615+51299"), shot)
    (decoded,) = decoder.decode(picture)
    assert (decoded.number, decoded.add_on, decoded.decoder) == ("9780306406157", "51299", decoder.name)
    ahead = np.subtract(decoded.corners[1], decoded.corners[0])
    drawn = corners[1] - corners[0]
    assert float(ahead @ drawn) > 0.9 * float(np.hypot(*ahead) * np.hypot(*drawn))


@pytest.mark.parametrize("decoder", available(), ids=lambda decoder: decoder.name)
def test_own_labels_are_read_only_when_asked_for(decoder: decoders.Decoder) -> None:
    for symbology in (zint.Symbology.CODE128, zint.Symbology.QRCODE):
        picture, _ = photograph(symbol(symbology, COPY), Shot())
        assert decoder.decode(picture) == ()
        assert [each.number for each in decoder.decode(picture, own=True)] == [COPY]


@pytest.mark.parametrize("failure", [ImportError("Unable to find zbar shared library"), OSError("libiconv.dll")])
def test_without_zbar_the_tool_reads_on_and_says_so(monkeypatch: pytest.MonkeyPatch, failure: Exception) -> None:
    def absent() -> None:
        raise failure

    monkeypatch.setattr(decoders, "Zbar", absent)
    assert [decoder.name for decoder in available()] == ["zxing"]
    sentences = {system: install_hint(system) for system in ("Linux", "Darwin", "Windows", "Plan9")}
    for system, command in {"Linux": "apt install libzbar0", "Darwin": "brew install zbar", "Windows": "pip"}.items():
        assert command in str(sentences[system])
    assert "dnf install zbar" in str(sentences["Linux"])
    assert all(str(text).count(". ") == 0 and str(text).endswith(".") for text in sentences.values())
    assert install_hint() == install_hint(platform.system())


def test_with_zbar_there_is_nothing_to_say() -> None:
    if len(available()) == 2:
        assert install_hint() is None


def test_a_supplement_is_split_off_only_where_there_is_one() -> None:
    assert split_add_on("977031784700134") == ("9770317847001", "34")
    assert split_add_on("96385074") == ("96385074", None)
    assert split_add_on(COPY) == (COPY, None)


def test_the_check_digit_is_ours_to_check() -> None:
    assert decoders.parse_symbol_text("9780306406158", "EAN13") is None
    assert decoders.parse_symbol_text("A9-00", "QRCode") is None
    assert Zxing().decode(np.full((50, 50), 255, np.uint8)) == ()


def test_the_left_half_of_a_long_symbol_is_no_upc_e() -> None:
    # 4094017879069 cut off behind its middle guard bars, with a module of the next bar, is a UPC-E of number system 1.
    assert parse_symbol_text("10914004", "UPCE") is None
    assert parse_symbol_text("01234565", "UPCE") == ("0012345000065", SymbolForm.SHORT)
