"""Kinds of numbers by their GS1 prefix, and the tool's own numbers by ISO/IEC 7064."""

import pytest

from intake.model.identifiers import NumberKind, OwnKind, kind_of_ean, own_number


@pytest.mark.parametrize(
    ("number", "kind"),
    [
        # GS1 prefixes: 977 ISSN, 978 and 979 ISBN, but 979-0 music (ISMN).
        ("9780306406157", NumberKind.ISBN),
        ("9791234567896", NumberKind.ISBN),
        ("9790260000438", NumberKind.ISMN),
        ("9770317847001", NumberKind.ISSN),
        ("9760000000000", NumberKind.GTIN),
        ("4006381333931", NumberKind.GTIN),
        ("0061414112345", NumberKind.GTIN),
    ],
)
def test_kinds_by_prefix(number: str, kind: NumberKind) -> None:
    assert kind_of_ean(number) is kind


@pytest.mark.parametrize(
    ("kind", "serial", "number"),
    [
        # ISO/IEC 7064 MOD 97-10 by hand: A is 10, B 11, S 28; 98 less the remainder of the figures and 00.
        (OwnKind.COPY, 127, "A127-89"),  # 1271000 = 97 x 13103 + 9
        (OwnKind.COPY, 1, "A1-59"),  # 11000 = 97 x 113 + 39
        (OwnKind.BOX, 1, "B1-56"),  # 11100 = 97 x 114 + 42
        (OwnKind.PLACE, 3, "S3-84"),  # 32800 = 97 x 338 + 14
    ],
)
def test_own_numbers_by_hand(kind: OwnKind, serial: int, number: str) -> None:
    assert own_number(kind, serial) == number
