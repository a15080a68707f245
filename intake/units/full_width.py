"""Figures, letters and signs in the double width of East Asian type (Unicode, FF01 to FF5E, FFE0 to FFE6, 3000)."""

_NARROW = {code: code - 0xFEE0 for code in range(0xFF01, 0xFF5F)} | {
    0x3000: 0x20,
    0xFFE0: 0xA2,
    0xFFE1: 0xA3,
    0xFFE5: 0xA5,
    0xFFE6: 0x20A9,
}


def narrow(text: str) -> str:
    """Return a text with its figures, letters and signs in the usual width.

    >>> narrow("８００ｇ"), narrow("幅（ｃｍ）")
    ('800g', '幅(cm)')
    """
    return text if text.isascii() else text.translate(_NARROW)
