"""Read the runs of one serial: ranges by hyphen, lists by comma, levels by colon, an open end by a trailing hyphen."""

import re
from dataclasses import dataclass, field
from fractions import Fraction

from intake.runs.captions import AND, LEVELS, NUMBER, TO, VULGAR, YEAR, caption_of, is_roman
from intake.runs.parts import MAIN, Parts, RunKey, union_of
from intake.runs.spans import END, Span, Spans, intersection, spans_of
from intake.runs.statements import StatementFault, StatementProblem, StatementRemark, StatementRemarkKind

LARGEST = 999_999
MOST_COMBINED = 12
"""Numbers of one piece: a year of months. Beyond that, a fraction or a date was meant ("3/1978")."""

_GLYPHS = "".join(VULGAR)
_NUMBER = re.compile(rf"(\d+)(?:\s?([{_GLYPHS}])|\.(\d+)|\s(\d+)/(\d+)(?!\d))?")
_WORD = re.compile(r"#|(?:[^\W\d_]|[°º№])+\.?|&")
_REST = re.compile(r"[^\s,;]*")
_DECIMAL_COMMA = re.compile(r"(\d+),(\d{1,2})")
_YEARS = range(1500, 2101)
_COLON = re.compile(r"\s*:")
_TO = re.compile(r"-|(?:t/m|[^\W\d_]+)(?=[\s\d#])", re.IGNORECASE)


class NotUnderstoodError(Exception):
    """The text is no statement: the problem, its place, the word there, where reading began. Never leaves the step."""

    def __init__(self, problem: StatementProblem, at: int, word: str = "") -> None:
        super().__init__(problem)
        self.problem = problem
        self.at = at
        self.word = word
        self.start = at

    def fault(self, text: str) -> StatementFault:
        """Return the same as a value, of the text as it was written."""
        return StatementFault(text, self.problem, self.at, self.word)


@dataclass(frozen=True, slots=True)
class Point:
    """One part: its run, its number, its last number (another one for a double number), and where it is written."""

    key: RunKey
    number: int | Fraction
    last: int | Fraction
    at: int

    @property
    def piece(self) -> tuple[Span, ...]:
        """Return the numbers of a double number; none for any other part."""
        return ((int(self.number), int(self.last)),) if self.last > self.number else ()


@dataclass(slots=True)
class RunsReader:
    """Reads from a place to the next semicolon.

    Attributes:
        text: with plain marks (`captions.plain_marks`).
        at: where it reads.
        end: where it has to stop.
        start: where it began.
        key: the run of a number without a caption.
        first, last: the first and the last range read by `read`.
    """

    text: str
    at: int
    end: int
    remarks: list[StatementRemark] = field(default_factory=list)
    start: int = field(init=False)
    key: RunKey = MAIN
    first: Parts = field(default_factory=Parts)
    last: Parts = field(default_factory=Parts)

    def __post_init__(self) -> None:
        self.start = self.at

    def read(self) -> Parts:
        """Return the parts.

        Raises:
            NotUnderstoodError: what is written is not a list of ranges.
        """
        read: list[Parts] = []
        start = self.at
        while True:
            before, start = start, self._skip()
            piece = self.read_range()
            self._note_overlap(read, piece, self.text[start : self.at].strip())
            self._note_comma(before, start)
            read.append(piece)
            if self._skip() >= self.end:
                self.first, self.last = read[0], read[-1]
                return read[0] if len(read) == 1 else union_of(read)
            self._separator()

    def expect_end(self) -> None:
        """Refuse whatever is left.

        Raises:
            NotUnderstoodError: something is.
        """
        if self._skip() < self.end:
            raise self._fail(StatementProblem.NOT_UNDERSTOOD, self.at)

    def _skip(self) -> int:
        while self.at < self.end and self.text[self.at].isspace():
            self.at += 1
        return self.at

    def _fail(self, problem: StatementProblem, start: int) -> NotUnderstoodError:
        if self.text.startswith("?", start):
            problem = StatementProblem.UNKNOWN_DIGIT
        word = _REST.match(self.text, start, self.end)
        if word and problem is StatementProblem.NOT_UNDERSTOOD and is_roman(word[0]):
            problem = StatementProblem.ROMAN
        return NotUnderstoodError(problem, start, word[0] if word else "")

    def _separator(self) -> None:
        word = _WORD.match(self.text, self.at, self.end)
        if self.text[self.at] == ",":
            self.at += 1
            word = _WORD.match(self.text, self._skip(), self.end)
        elif not (word and word[0].casefold() in AND):
            raise self._fail(StatementProblem.NOT_UNDERSTOOD, self.at)
        if word and word[0].casefold() in AND:
            self.at = word.end()

    def read_range(self) -> Parts:
        """Read one range, or one part. `key` is the run of a number without a caption, and then that of the range."""
        first = self._point(self.key)
        self.key = first.key
        if not self._passed_to():
            return _one(first)
        self._refuse_fraction(first)
        if self._skip() >= self.end or self.text[self.at] == ",":
            return _spans(first.key, ((int(first.number), END),), first)
        last = self._point(first.key, beside=first)
        self._refuse_fraction(last)
        return self._spanned(first, last)

    def _passed_to(self) -> bool:
        match = _TO.match(self.text, self._skip(), self.end)
        if match is None or (match[0] != "-" and match[0].casefold() not in TO):
            return False
        self.at = match.end()
        return True

    def _last_number(self, first: int | Fraction, start: int) -> int | Fraction:
        """Pass the further numbers of one piece ("45/46", "45/46/47") and return the last."""
        last = first
        while first.denominator == 1 and self.text.startswith("/", self.at):
            match = _NUMBER.match(self.text, self.at + 1, self.end)
            if match is None:
                raise self._fail(StatementProblem.NOT_UNDERSTOOD, self.at + 1)
            following = self._number(match)
            if following <= last or following.denominator > 1:
                is_year = first in _YEARS and following < min(_YEARS) and following != first % 100 + 1
                raise self._fail(StatementProblem.YEAR_AND_ISSUE if is_year else StatementProblem.BACKWARDS, start)
            if following - first >= MOST_COMBINED or (last > first and following > last + 1):
                raise self._fail(StatementProblem.COMBINED_TOO_MANY, start)
            last, self.at = following, match.end()
        if last > first:
            self.remarks.append(StatementRemark(StatementRemarkKind.COMBINED, self.text[start : self.at]))
        return last

    def _spanned(self, first: Point, last: Point) -> Parts:
        if self.at < self.end and not self.text[self.at - 1].isspace() and self.text[self.at].isalnum():
            raise self._fail(StatementProblem.NOT_UNDERSTOOD, last.at)
        if first.key == last.key:
            if last.number < first.number:
                raise self._fail(StatementProblem.BACKWARDS, first.at)
            return _spans(first.key, ((int(first.number), int(last.last)),), first, last)
        volumes = _volumes(first, last)
        if volumes is None:
            raise self._fail(StatementProblem.MIXED_LEVELS, first.at)
        above, one, other = volumes
        if other < one:
            raise self._fail(StatementProblem.BACKWARDS, first.at)
        self.key = last.key
        self.remarks.append(StatementRemark(StatementRemarkKind.VOLUMES_BETWEEN, self.text[first.at : self.at]))
        between = Parts({above: ((one + 1, other - 1),)} if other - one > 1 else {})
        start = _spans(first.key, ((int(first.number), END),), first)
        end = _spans(last.key, ((min(1, int(last.number)), int(last.last)),), last)
        return union_of((between, start, end))

    def _refuse_fraction(self, point: Point) -> None:
        if point.number.denominator > 1:
            raise self._fail(StatementProblem.FRACTION_IN_RANGE, point.at)

    def _note_overlap(self, read: list[Parts], piece: Parts, written: str) -> None:
        for earlier in read:
            twice = any(intersection(spans, earlier.spans.get(key, ())) for key, spans in piece.spans.items())
            if twice or any(piece.inserted[key] & earlier.inserted.get(key, frozenset()) for key in piece.inserted):
                self.remarks.append(StatementRemark(StatementRemarkKind.NAMED_TWICE, written))
                return

    def _note_comma(self, before: int, start: int) -> None:
        """Remark on two numbers running downwards with a bare comma between them: 12,5 may be meant for 12½."""
        match = _DECIMAL_COMMA.fullmatch(self.text, before, self.at)
        if match and start == match.start(2) and int(match[2]) < int(match[1]):
            self.remarks.append(StatementRemark(StatementRemarkKind.DECIMAL_COMMA, match[0]))

    def _point(self, carried: RunKey, *, beside: Point | None = None) -> Point:
        """Read one part: levels from the outermost, a caption before each number that needs one."""
        start = self._skip()
        levels: list[tuple[str | None, int | Fraction]] = []
        while True:
            caption = self._caption()
            match = _NUMBER.match(self.text, self._skip(), self.end)
            if match is None:
                raise self._fail(StatementProblem.NOT_UNDERSTOOD, self.at)
            levels.append((caption, self._number(match)))
            numbers_at, self.at = self.at, match.end()
            if not self._goes_deeper(caption):
                break
        number = levels[-1][1]
        last = self._last_number(number, start if len(levels) == 1 else numbers_at)
        if len(levels) == 1 and levels[0][0] is None:
            return Point(carried, number, last, start)
        key = self._key_of(levels, start, carried if beside is None else MAIN)
        if beside is not None and key == MAIN:
            key = beside.key if beside.key[-1:] in ((), (NUMBER,)) else key
        return Point(key, number, last, start)

    def _caption(self) -> str | None:
        word = _WORD.match(self.text, self._skip(), self.end)
        if word is None:
            return None
        caption = caption_of(word[0])
        if caption is None:
            raise self._fail(StatementProblem.NOT_UNDERSTOOD, self.at)
        self.at = word.end()
        return caption

    def _goes_deeper(self, caption: str | None) -> bool:
        """Pass the colon before the next level; after a volume a space serves, if a caption follows it."""
        match = _COLON.match(self.text, self.at, self.end)
        if match:
            self.at = match.end()
            return True
        word = _WORD.match(self.text, self._skip(), self.end)
        return caption in LEVELS and word is not None and caption_of(word[0]) == NUMBER

    def _number(self, match: re.Match[str]) -> int | Fraction:
        whole, glyph, decimals, above, below = match.groups()
        if int(whole) > LARGEST or (decimals and len(decimals) > 6):
            raise self._fail(StatementProblem.TOO_LARGE, match.start())
        if decimals:
            return Fraction(f"{whole}.{decimals}")
        part = Fraction(VULGAR[glyph]) if glyph else 0
        if below:
            if not 0 < int(above) < int(below) <= 1000:
                raise self._fail(StatementProblem.NOT_UNDERSTOOD, match.start())
            part = Fraction(int(above), int(below))
        return int(whole) + part

    def _key_of(self, levels: list[tuple[str | None, int | Fraction]], start: int, carried: RunKey) -> RunKey:
        if len(levels) > 2:
            raise self._fail(StatementProblem.TOO_DEEP, start)
        caption, number = levels[0]
        if len(levels) == 1:
            if caption != NUMBER:
                return (str(caption),)
            if carried[:1] and carried[0] in LEVELS:
                raise self._fail(StatementProblem.WHICH_LEVEL, start)
            return MAIN
        inner = levels[1][0]
        if caption is None and inner is None:
            raise self._fail(StatementProblem.BARE_LEVELS, start)
        outer = YEAR if caption is None else caption
        if outer not in LEVELS or inner not in (None, NUMBER) or number.denominator > 1:
            raise self._fail(StatementProblem.MIXED_LEVELS, start)
        return (outer, int(number), NUMBER)


def _one(point: Point) -> Parts:
    if point.number.denominator > 1:
        return Parts({}, {point.key: frozenset({Fraction(point.number)})})
    return _spans(point.key, ((int(point.number), int(point.last)),), point)


def _spans(key: RunKey, spans: Spans, *ends: Point) -> Parts:
    """Return whole numbers of one run, of which the ends may be double numbers."""
    pieces = tuple(piece for end in ends for piece in end.piece)
    if not pieces:
        return Parts({key: spans})
    return union_of((Parts({key: spans}), Parts({key: spans_of(pieces)}, {}, {key: pieces})))


def _volumes(first: Point, last: Point) -> tuple[RunKey, int, int] | None:
    """Return the run of the volumes, and the two volumes that a range goes from and to."""
    if len(first.key) != 3 or len(last.key) != 3 or first.key[0] != last.key[0]:
        return None
    return first.key[:1], int(first.key[1]), int(last.key[1])
