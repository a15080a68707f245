"""In which encoding a text file is: told by its bytes where they prove it, else the decodings that a person may mean.

A byte order mark, strict UTF-8 and the pattern of NUL bytes that UTF-16 makes are proof. Of the old encodings of one
byte a letter (and the East Asian ones) none is: those in which every word looks written (`alphabets`) are compared, and
where they give one text that text is taken; otherwise a person chooses among the lines that differ. Nothing is ever
decided by what is likelier.
"""

import codecs
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from intake.edges.exchange.alphabets import languages_of, looks_written
from intake.errors import FileError, UsageError

CODECS = (
    "cp1252", "cp1250", "iso8859_15", "iso8859_2", "cp1254", "cp1257", "mac_roman", "mac_latin2", "cp850", "cp852",
    "cp437", "cp1251", "koi8_r", "cp866", "mac_cyrillic", "iso8859_5", "cp1253", "cp1255",
    "cp932", "gb18030", "big5", "euc_jp", "cp949",
)  # fmt: skip
"""Encodings of spreadsheet programs and older systems, the commonest first."""
EAST_ASIAN = CODECS[CODECS.index("cp932") :]
CHUNK_BYTES = 1 << 20
MOST_WORDS = 50_000
MOST_CHOICES = 3
MOST_LINES = 3
MOST_WORDS_SHARE = 0.75
"""Of the words of an East Asian decoding, so many look written where it is one to ask about."""
WORD = re.compile(rb'[^\s,;"]*[\x80-\xff][^\s,;"]*')
LONGEST_LINE_BYTES = 1 << 24
UTF8_LETTER = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")
MARKS = (
    (codecs.BOM_UTF8, "utf-8-sig"),
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)
"""Byte order marks; that of UTF-32 little-endian begins with that of UTF-16 and comes first."""
SAVE_AGAIN = "save it again as 'CSV UTF-8'"


_Texts = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class EncodingChoice:
    """A decoding that a person may mean: the codec, and lines that other choices read differently, by number."""

    codec: str
    lines: tuple[tuple[int, str], ...]


@dataclass(slots=True)
class _Words:
    """The words of a file that are not ASCII, each with the line it is first on.

    Attributes:
        letters: count of the letters that are UTF-8.
        stray: count of the bytes that are not, the first on a line `stray_at`.
        utf8_line: the first line that is UTF-8 throughout and not ASCII; 0 for none.
    """

    first_lines: dict[bytes, tuple[int, bytes]] = field(default_factory=dict)
    letters: int = 0
    stray: int = 0
    stray_at: tuple[int, int] = (0, 0)
    utf8_line: int = 0


def unicode_encoding(path: Path) -> str | None:
    """Return the codec of a file that is Unicode, after looking through all of it; None where it is not UTF-8.

    Raises:
        FileError: it has a byte order mark or the NUL bytes of UTF-16 and is not what these say; it is empty or holds
            NUL.
    """
    with path.open("rb") as file:
        start = file.read(4096)
    codec = next((codec for mark, codec in MARKS if start.startswith(mark)), None) or _by_nul_bytes(start)
    if codec is not None:
        check_encoding(path, codec)
        return codec
    try:
        check_encoding(path, "utf-8-sig")
    except _NotInEncodingError:
        return None
    return "utf-8-sig"


def find_encoding(path: Path) -> str | tuple[EncodingChoice, ...]:
    """Return the codec of a text file, or the decodings between which a person has to choose.

    Raises:
        FileError: it is UTF-8 but for a few bytes or lines, is in no encoding known here, is empty or holds NUL.
    """
    if (codec := unicode_encoding(path)) is not None:
        return codec
    words = _look_through(path)
    if words.letters > words.stray:
        line, byte = words.stray_at
        why = f"is UTF-8 text but for byte 0x{byte:02X} on line {line}, so that no encoding fits all of it"
        raise FileError(str(path), why, "correct that line, or save the file again as 'CSV UTF-8'")
    if words.utf8_line:
        why = f"mixes encodings: line {words.utf8_line} is UTF-8, and line {words.stray_at[0]} is not"
        raise FileError(
            str(path),
            why,
            (
                "correct the odd lines, or say with --encoding in which one all of it is",
                "correct the odd lines, or name the encoding of all of it",
            ),
        )
    decoded = {codec: texts for codec in CODECS if (texts := _decode(words, codec)) is not None}
    written = {codec: texts for codec, texts in decoded.items() if all(map(looks_written, texts))}
    by_text: dict[_Texts, str] = {}
    for codec, texts in ({**written, **_east_asian(decoded, written)} or decoded).items():
        by_text.setdefault(texts, codec)
    if not by_text:
        raise FileError(str(path), "is not text in any encoding that lists are kept in", SAVE_AGAIN)
    ranked = sorted(by_text, key=_likeness, reverse=True)
    if len(ranked) == 1 and written:
        return by_text[ranked[0]]
    further = [by_text[texts] for texts in ranked[MOST_CHOICES:] if written and by_text[texts] in EAST_ASIAN]
    return _choices(words, [*(by_text[texts] for texts in ranked[:MOST_CHOICES]), *further])


def _east_asian(decoded: Mapping[str, _Texts], written: Mapping[str, _Texts]) -> dict[str, _Texts]:
    """Return the East Asian decodings, where one looks written, in which most words do.

    An East Asian encoding has a sign for nearly every pair of bytes, so that what looks written in one is no proof.
    """
    if not any(codec in EAST_ASIAN for codec in written):
        return {}
    likely = {codec: texts for codec, texts in decoded.items() if codec in EAST_ASIAN}
    return {
        codec: texts
        for codec, texts in likely.items()
        if sum(map(looks_written, texts)) >= MOST_WORDS_SHARE * len(texts)
    }


def other_codecs(codec: str) -> tuple[str, ...]:
    """Return the likeliest encodings instead of one that nothing proves; none instead of Unicode."""
    if codec not in CODECS:
        return ()
    return tuple(other for other in (EAST_ASIAN if codec in EAST_ASIAN else CODECS[:4]) if other != codec)


def named_encoding(path: Path, name: str) -> str:
    """Return the codec that a person names, after looking through the file.

    Raises:
        UsageError: there is no such encoding.
        FileError: the file is not in it.
    """
    try:
        codec = codecs.lookup(name).name
        codecs.getincrementaldecoder(codec)().decode(b"a").encode()
    except (LookupError, AttributeError, TypeError, ValueError):
        raise UsageError(f"Encoding {name!r}", "is not known", f"name one such as {', '.join(CODECS[:4])}") from None
    codec = "utf-8-sig" if codec == "utf-8" else codec
    check_encoding(path, codec)
    return codec


class _NotInEncodingError(FileError):
    """The file holds bytes that its encoding does not have."""


def check_encoding(path: Path, codec: str) -> None:
    """Look through all of a file.

    Raises:
        FileError: it is not in this encoding, holds NUL, or holds nothing.
    """
    line, blank = 1, True
    decoder = codecs.getincrementaldecoder(codec)()
    for chunk in _chunks(path):
        try:
            text = decoder.decode(chunk, final=not chunk)
        except UnicodeDecodeError as error:
            at = line + error.object[: error.start].count(b"\n")
            why = f"is not {codec.removesuffix('-sig').upper()} text"
            why += f" (byte 0x{error.object[error.start]:02X} on line {at})"
            raise _NotInEncodingError(str(path), why, SAVE_AGAIN) from error
        if "\0" in text:
            at = line + text[: text.index("\0")].count("\n")
            raise FileError(str(path), f"holds a NUL byte on line {at}", SAVE_AGAIN)
        line += text.count("\n")
        blank = blank and not text.strip()
    if blank:
        raise FileError(str(path), "is empty", "give a table with a header")


def _chunks(path: Path) -> Iterator[bytes]:
    """Yield the bytes of a file, and at last none."""
    with path.open("rb") as file:
        while chunk := file.read(CHUNK_BYTES):
            yield chunk
    yield b""


def _by_nul_bytes(start: bytes) -> str | None:
    """Tell UTF-16 without a mark: the NUL bytes of its ASCII characters all stand on one side."""
    even, odd = start[::2].count(0), start[1::2].count(0)
    if max(even, odd) < 3 or max(even, odd) * 16 < len(start) or min(even, odd) * 8 > max(even, odd):
        return None
    return "utf-16-le" if odd > even else "utf-16-be"


def _look_through(path: Path) -> _Words:
    words, line, rest = _Words(), 1, b""
    for chunk in _chunks(path):
        whole, newline, rest = (rest + chunk).rpartition(b"\n") if chunk else (rest, b"", b"")
        if len(rest) > LONGEST_LINE_BYTES:
            why = f"has a line of more than {LONGEST_LINE_BYTES >> 20} MB (line {line})"
            raise FileError(str(path), why, "give a table with a row on each line")
        if b"\0" in whole:
            at = line + whole[: whole.index(b"\0")].count(b"\n")
            raise FileError(str(path), f"holds a NUL byte on line {at}", SAVE_AGAIN)
        if whole.isascii():
            line += whole.count(b"\n") + len(newline)
            continue
        for text in whole.split(b"\n"):
            if not text.isascii():
                _add_line(words, line, text)
            line += 1
    return words


def _add_line(words: _Words, line: int, text: bytes) -> None:
    without = UTF8_LETTER.sub(b"", text)
    words.letters += len(UTF8_LETTER.findall(text))
    if not without.isascii():
        stray = [byte for byte in without if byte > 127]
        words.stray_at = words.stray_at if words.stray else (line, stray[0])
        words.stray += len(stray)
    elif not words.utf8_line:
        words.utf8_line = line
    if len(words.first_lines) < MOST_WORDS:
        for word in WORD.findall(text):
            words.first_lines.setdefault(word, (line, text))


def _decode(words: _Words, codec: str) -> _Texts | None:
    try:
        return tuple(word.decode(codec) for word in words.first_lines)
    except UnicodeDecodeError:
        return None


def _likeness(texts: _Texts) -> tuple[float, float]:
    """Return only the order of choices: the share of words that look written, and of those that one language has."""
    counts: dict[str, int] = {}
    for text in texts:
        for code in languages_of(text):
            counts[code] = counts.get(code, 0) + 1
    return sum(map(looks_written, texts)) / len(texts), max(counts.values(), default=0) / len(texts)


def _choices(words: _Words, codecs_: Sequence[str]) -> tuple[EncodingChoice, ...]:
    """Return the choices with the first lines that they read differently."""
    lines: dict[int, bytes] = {}
    for word, (line, text) in words.first_lines.items():
        if len(lines) < MOST_LINES and (len(codecs_) == 1 or len({word.decode(codec) for codec in codecs_}) > 1):
            lines[line] = text
    return tuple(
        EncodingChoice(
            codec, tuple((line, text.decode(codec, errors="replace").strip()) for line, text in lines.items())
        )
        for codec in codecs_
    )
