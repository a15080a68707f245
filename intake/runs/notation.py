"""The plain notation of what an edition collects, read and written.

    Tidewrack Quarterly 57-83, 90, annual 2; Tidewrack Quarterly v.2:no.1-6

A range by hyphen, a list by comma, an open end by a trailing hyphen, levels by colon, another serial after a
semicolon. A caption holds for the numbers after it until another one comes. A title that could be mistaken for
something else stands in quotation marks. One issue with two numbers is written 45/46. Other notations (`#1-24`,
`Nr. 5 bis 9`) are read as well, and published statements (`intake.runs.published`) after a title: where no blank
follows a semicolon, the numbers after it are of the same run, as libraries write.
"""

import re
from collections.abc import Callable, Iterator
from functools import lru_cache

from intake.model.editions import whole_title_key
from intake.runs.additions import without_additions
from intake.runs.captions import LEVELS, NUMBER, caption_of, is_roman, plain_marks
from intake.runs.parts import MAIN, Parts, RunKey, between, union_of
from intake.runs.runs_reader import NotUnderstoodError, RunsReader
from intake.runs.spans import Span
from intake.runs.statements import (
    Collected,
    PartsStatement,
    StatementFault,
    StatementProblem,
    StatementRemark,
    StatementRemarkKind,
)
from intake.runs.written_pieces import write_pieces

_SEGMENT = re.compile(r'(?:"(?:[^"]|"")*"|<[^<>"]*>|[^;"])*')
_QUOTED = re.compile(r'\s*"((?:[^"]|"")*)"\s*')
_TOKEN = re.compile(r"(?<![^\s;])(?:(\d)|(#|[^\W\d_]*[°º№]|[^\W\d_]+\.?))")
_LONE_NUMBER = re.compile(r"\d*\s*")
_CAPITAL = re.compile(r"[^\W\d_]{3,}")


@lru_cache(maxsize=20_000)
def serial_key(title: str) -> str:
    """Fold the title of a serial, with what stands in brackets after it, so that its spellings agree."""
    return whole_title_key(title)


def read_statement(text: str, is_serial: Callable[[str], bool] | None = None) -> PartsStatement | StatementFault:
    """Read what an edition collects.

    Args:
        text: as a person writes it.
        is_serial: whether a serial of this title (as `serial_key` folds it) is known. A known title is preferred
            where a word may belong to the title or to the numbers ("Tidewrack Annual 2").

    Returns:
        The parts by serial, with remarks; or why and where the text is not understood.

    >>> read_statement("Tidewrack Quarterly 57-83, 90").collected[0].serial
    'Tidewrack Quarterly'
    """
    try:
        return _read(text, is_serial)
    except NotUnderstoodError as error:
        return error.fault(text)


def read_parts(text: str) -> Parts | StatementFault:
    """Read parts of one serial that is not named: an extent, or gaps.

    >>> read_parts("1-120").count()
    120
    """
    plain = plain_marks(text)
    read: list[Parts] = []
    try:
        run = MAIN
        for start, end in _segments(plain):
            reader = _reader(plain, start, end, MAIN if plain[start].isspace() else run)
            read.append(reader.read())
            run = reader.key
    except NotUnderstoodError as error:
        return error.fault(text)
    return union_of(read) if read else StatementFault(text, StatementProblem.EMPTY, 0)


def _segments(plain: str) -> Iterator[Span]:
    at = 0
    while at < len(plain):
        match = _SEGMENT.match(plain, at)
        end = match.end() if match else at
        if end < len(plain) and plain[end] == '"':
            raise NotUnderstoodError(StatementProblem.QUOTE_OPEN, end, plain[end:])
        if plain[at:end].strip():
            yield at, end
        at = end + 1


def _read(text: str, is_serial: Callable[[str], bool] | None) -> PartsStatement:
    plain = plain_marks(text)
    found: dict[str, Collected] = {}
    remarks: list[StatementRemark] = []
    title, run, last = "", MAIN, Parts()
    for start, end in _segments(plain):
        own, reader, parts = _segment(text, plain, start, end, is_serial)
        title = own or title
        if not title:
            raise NotUnderstoodError(StatementProblem.NO_SERIAL, start, plain[start:end].strip())
        if run and not own:
            reader, parts = _same_serial(plain, start, end, run, (reader, parts))
        if not own and not plain[start].isspace() and (gap := between(last, reader.first)):
            remarks.append(StatementRemark(StatementRemarkKind.NOT_PUBLISHED, write_parts(gap), gap))
        run, last = reader.key, reader.last
        key = serial_key(title)
        before = found.get(key)
        if before and before.parts & parts:
            remarks.append(StatementRemark(StatementRemarkKind.NAMED_TWICE, text[start:end].strip()))
        found[key] = Collected(before.serial, before.parts | parts) if before else Collected(title, parts)
        remarks += reader.remarks
    if not found:
        raise NotUnderstoodError(StatementProblem.EMPTY, 0)
    return PartsStatement(tuple(found.values()), tuple(remarks))


def _same_serial(
    plain: str, start: int, end: int, run: RunKey, read: tuple[RunsReader, Parts]
) -> tuple[RunsReader, Parts]:
    """Return what follows a semicolon without a title, after parts of a run with a caption.

    Published statements have no blank there, and the caption goes on; people who write one begin anew. Either is
    remarked on where the numbers have no caption of their own.
    """
    reader, parts = read
    written = plain[start:end].strip()
    kind = StatementRemarkKind.PLAIN_NUMBERS
    if not plain[start].isspace():
        kind = StatementRemarkKind.SAME_RUN
        reader = _reader(plain, start, end, run)
        parts = reader.read()
    if written[:1].isdigit():
        reader.remarks.append(StatementRemark(kind, written))
    return reader, parts


def _reader(plain: str, start: int, end: int, run: RunKey = MAIN) -> RunsReader:
    area, remarks = without_additions(plain, start, end)
    return RunsReader(area, start, end, remarks, key=run)


def _segment(
    text: str, plain: str, start: int, end: int, is_serial: Callable[[str], bool] | None
) -> tuple[str, RunsReader, Parts]:
    """Read one segment: its title, empty if there is none, and its parts."""
    if quoted := _QUOTED.match(plain, start, end):
        reader = _reader(plain, quoted.end(), end)
        return text[quoted.start(1) : quoted.end(1)].replace('""', '"').strip(), reader, reader.read()
    fault: NotUnderstoodError | None = None
    chosen: tuple[str, RunsReader, Parts] | None = None
    for at in _starts(plain, start, end):
        reader = _reader(plain, at, end)
        title = text[start:at].strip()
        is_known = is_serial is not None and is_serial(serial_key(title))
        if is_known or (chosen is None and not (fault and _is_list(plain[fault.start : fault.at]))):
            try:
                parts = reader.read()
            except NotUnderstoodError as error:
                error.start = at
                fault = error
                continue
            if is_known or chosen is None:
                chosen = (title, reader, parts)
    if chosen is None:
        raise fault or _no_numbers(plain, start, end)
    _note_title_word(text, chosen, is_serial)
    return chosen


def _no_numbers(plain: str, start: int, end: int) -> NotUnderstoodError:
    """Return the fault of a segment without figures; a last word in Roman numerals may be meant for them."""
    written = plain[start:end].strip()
    last = written.rsplit(maxsplit=1)[-1]
    if is_roman(last):
        return NotUnderstoodError(StatementProblem.ROMAN, plain.rindex(last, start, end), last)
    return NotUnderstoodError(StatementProblem.NO_NUMBERS, start, written)


def _starts(plain: str, start: int, end: int) -> Iterator[int]:
    """Return where the numbers may begin: at figures, or at a caption."""
    for match in _TOKEN.finditer(plain, start, end):
        if match[1] or caption_of(match[2]) is not None:
            yield match.start()


def _is_list(read: str) -> bool:
    """Tell whether what was read before a fault was more than a lone number, which a title may have in it."""
    return not _LONE_NUMBER.fullmatch(read)


def _note_title_word(text: str, chosen: tuple[str, RunsReader, Parts], is_serial: Callable[[str], bool] | None) -> None:
    """Remark on a caption with a capital right after a title that is not known: it may be the title's last word."""
    title, reader, _ = chosen
    word = _CAPITAL.match(text, reader.start)
    if title and word and _may_end_title(word[0]) and not (is_serial and is_serial(serial_key(title))):
        reader.remarks.append(StatementRemark(StatementRemarkKind.CAPTION_OR_TITLE, word[0]))


def _may_end_title(word: str) -> bool:
    return word[0].isupper() and caption_of(word) not in (NUMBER, *LEVELS)


def write_parts(parts: Parts) -> str:
    """Write parts of one serial; what is written is read as the same parts.

    >>> from intake.runs.parts import Parts
    >>> write_parts(Parts({(): ((57, 83), (90, 90)), ("v", 2, "no"): ((1, 6),), ("annual",): ((2, 2),)}))
    '57-83, 90, v.2:no.1-6, annual 2'
    """
    written: list[str] = []
    before: RunKey | None = None
    for piece in write_pieces(parts):
        written.append(piece.text if piece.key == before else piece.caption + piece.text)
        before = piece.key
    return ", ".join(written)


def write_statement(collected: tuple[Collected, ...]) -> str:
    """Write what an edition collects, for each serial in turn."""
    return "; ".join(f"{_write_title(one.serial, one.parts)} {write_parts(one.parts)}" for one in collected)


def _write_title(title: str, parts: Parts) -> str:
    written = f"{title} {write_parts(parts)}"
    read = read_statement(written)
    if isinstance(read, PartsStatement) and read.collected == (Collected(title, parts),) and not read.remarks:
        return title
    return '"' + title.replace('"', '""') + '"'
