"""Read the runs of one serial: ranges by hyphen, lists by comma, levels by colon, an open end by a trailing hyphen."""

import re
from dataclasses import dataclass, field
from fractions import Fraction

from intake.runs.captions import AND, LEVELS, NUMBER, TO, VULGAR, YEAR, caption_of
from intake.runs.parts import MAIN, Parts, RunKey, union_of
from intake.runs.spans import END, intersection
from intake.runs.statements import StatementFault, StatementProblem, StatementRemark, StatementRemarkKind

LARGEST = 999_999

_GLYPHS = "".join(VULGAR)
_NUMBER = re.compile(rf"(\d+)(?:\s?([{_GLYPHS}])|\.(\d+)|\s(\d+)/(\d+)(?!\d))?")
_WORD = re.compile(r"#|(?:[^\W\d_]|[°º№])+\.?|&")
_REST = re.compile(r"[^\s,;]*")
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
    """One part: its run, its number, and where it is written."""

    key: RunKey
    number: int | Fraction
    at: int


@dataclass(slots=True)
class RunsReader:
    """Reads from a place to the next semicolon.

    Attributes:
        text: with plain marks (`captions.plain_marks`).
        at: where it reads.
        end: where it has to stop.
        start: where it began.
        key: the run of a number without a caption.
    """

    text: str
    at: int
    end: int
    remarks: list[StatementRemark] = field(default_factory=list)
    start: int = field(init=False)
    key: RunKey = MAIN

    def __post_init__(self) -> None:
        self.start = self.at

    def read(self) -> Parts:
        """Return the parts.

        Raises:
            NotUnderstoodError: what is written is not a list of ranges.
        """
        read: list[Parts] = []
        while True:
            start = self._skip()
            piece = self.read_range()
            self._note_overlap(read, piece, self.text[start : self.at].strip())
            read.append(piece)
            if self._skip() >= self.end:
                return union_of(read)
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
        if self.text.startswith("/", self.at) and first.number.denominator == 1:
            return self._combined(first)
        if not self._passed_to():
            return _one(first)
        self._refuse_fraction(first)
        if self._skip() >= self.end or self.text[self.at] == ",":
            return Parts({first.key: ((int(first.number), END),)})
        last = self._point(first.key, beside=first)
        self._refuse_fraction(last)
        return self._spanned(first, last)

    def _passed_to(self) -> bool:
        match = _TO.match(self.text, self._skip(), self.end)
        if match is None or (match[0] != "-" and match[0].casefold() not in TO):
            return False
        self.at = match.end()
        return True

    def _combined(self, first: Point) -> Parts:
        self.at += 1
        match = _NUMBER.match(self.text, self.at, self.end)
        if match is None:
            raise self._fail(StatementProblem.NOT_UNDERSTOOD, self.at)
        last = self._number(match)
        self.at = match.end()
        written = self.text[first.at : self.at]
        self.remarks.append(StatementRemark(StatementRemarkKind.COMBINED, written))
        if last <= first.number or last.denominator > 1:
            raise self._fail(StatementProblem.BACKWARDS, first.at)
        return Parts({first.key: ((int(first.number), int(last)),)})

    def _spanned(self, first: Point, last: Point) -> Parts:
        if first.key == last.key:
            if last.number < first.number:
                raise self._fail(StatementProblem.BACKWARDS, first.at)
            return Parts({first.key: ((int(first.number), int(last.number)),)})
        volumes = _volumes(first, last)
        if volumes is None:
            raise self._fail(StatementProblem.MIXED_LEVELS, first.at)
        above, one, other = volumes
        if other < one:
            raise self._fail(StatementProblem.BACKWARDS, first.at)
        self.key = last.key
        self.remarks.append(StatementRemark(StatementRemarkKind.VOLUMES_BETWEEN, self.text[first.at : self.at]))
        between = {above: ((one + 1, other - 1),)} if other - one > 1 else {}
        return Parts(
            {
                **between,
                first.key: ((int(first.number), END),),
                last.key: ((min(1, int(last.number)), int(last.number)),),
            }
        )

    def _refuse_fraction(self, point: Point) -> None:
        if point.number.denominator > 1:
            raise self._fail(StatementProblem.FRACTION_IN_RANGE, point.at)

    def _note_overlap(self, read: list[Parts], piece: Parts, written: str) -> None:
        for earlier in read:
            twice = any(intersection(spans, earlier.spans.get(key, ())) for key, spans in piece.spans.items())
            if twice or any(piece.inserted[key] & earlier.inserted.get(key, frozenset()) for key in piece.inserted):
                self.remarks.append(StatementRemark(StatementRemarkKind.NAMED_TWICE, written))
                return

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
            self.at = match.end()
            if not self._goes_deeper(caption):
                break
        if len(levels) == 1 and levels[0][0] is None:
            return Point(carried, levels[0][1], start)
        key = self._key_of(levels, start, carried if beside is None else MAIN)
        if beside is not None and key == MAIN:
            key = beside.key if beside.key[-1:] in ((), (NUMBER,)) else key
        return Point(key, levels[-1][1], start)

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
    return Parts({point.key: ((int(point.number), int(point.number)),)})


def _volumes(first: Point, last: Point) -> tuple[RunKey, int, int] | None:
    """Return the run of the volumes, and the two volumes that a range goes from and to."""
    if len(first.key) != 3 or len(last.key) != 3 or first.key[0] != last.key[0]:
        return None
    return first.key[:1], int(first.key[1]), int(last.key[1])
