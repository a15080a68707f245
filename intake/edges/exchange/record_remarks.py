"""What was noticed while records of another system were read or written: faults that lose a record, and remarks.

A fault is one record that cannot be used; the others are. A remark is what a used record held that has no field here,
or that was converted, doubted or repaired on the way. Both are data; words are made where they are shown.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum, auto

from intake.model.lookups import RecordNoteKind


class RecordProblem(StrEnum):
    """Why a record cannot be used."""

    TRUNCATED = auto()
    NOT_A_RECORD = auto()
    DIRECTORY = auto()
    ENCODING = auto()
    MIXED_ENCODINGS = auto()
    TOO_LONG = auto()
    DELETED = auto()
    NOT_BIBLIOGRAPHIC = auto()
    BROKEN_XML = auto()
    UNKNOWN_ENTITY = auto()


@dataclass(frozen=True, slots=True)
class RecordFault:
    """A record that cannot be used; `line` is its place in the file, counted in records from 1."""

    line: int
    problem: RecordProblem
    facts: Mapping[str, str | int] = field(default_factory=dict)


class RecordError(ValueError):
    """What is wrong with one record; becomes its fault."""

    def __init__(self, problem: RecordProblem, **facts: str | int) -> None:
        super().__init__(problem, facts)
        self.problem = problem
        self.facts = facts

    def at(self, number: int) -> RecordFault:
        """Return the fault of the record with this number."""
        return RecordFault(number, self.problem, self.facts)


class RemarkKind(StrEnum):
    """What happened to a part of a record that was used.

    LEFT_OUT: it has no field here. TECHNICAL: the same, and it is about the record and not about the book.
    COPIES: it describes copies, which are another list. CONVERTED: what is kept is not what was written.
    DOUBTED: it contradicts another part, or is not what it seems, and was not used. REPAIRED: the record breaks its
    own standard, and what it means is certain nevertheless. DELETED: the whole record says that another has ceased.
    """

    LEFT_OUT = auto()
    TECHNICAL = auto()
    COPIES = auto()
    CONVERTED = auto()
    DOUBTED = auto()
    REPAIRED = auto()
    DELETED = auto()


@dataclass(frozen=True, slots=True)
class RecordRemark:
    """One remark about one or more records.

    Attributes:
        kind: what happened.
        where: the part, in the format's own terms ("490 $x", "Measure 03").
        count: how many times it was met.
        record: the first record it was met in, from 1.
        example: what stood there.
        note: how what is kept differs from it, where it was converted.
    """

    kind: RemarkKind
    where: str
    count: int
    record: int
    example: str
    note: RecordNoteKind | None = None


LONGEST_EXAMPLE = 60
MOST_PLACES = 500
"""Places that are named; a file that was made to hurt may have as many as it has elements."""
OTHER_PLACES = "other parts"


Example = str | Callable[[], str]
"""What stood there; a function where it is dear to make, which is called for the first only."""


class Remarks:
    """Collects remarks, one for each kind and place, in little memory whatever the count of records."""

    def __init__(self) -> None:
        self._by_place: dict[tuple[RemarkKind, str, RecordNoteKind | None], list[int | str]] = {}
        self.record = 0
        """The record that is being read."""

    def add(self, kind: RemarkKind, where: str, example: Example = "", note: RecordNoteKind | None = None) -> None:
        """Note that something was met in the current record."""
        known = self._by_place.get((kind, where, note))
        if known is None and len(self._by_place) >= MOST_PLACES and where != OTHER_PLACES:
            self.add(kind, OTHER_PLACES, where, note)
        elif known is None:
            text = example if isinstance(example, str) else example()
            self._by_place[kind, where, note] = [1, self.record, text[:LONGEST_EXAMPLE]]
        else:
            known[0] = int(known[0]) + 1

    def left_out(self, where: str, example: Example) -> None:
        """Note what has no field here."""
        self.add(RemarkKind.LEFT_OUT, where, example)

    def converted(self, where: str, example: str, note: RecordNoteKind | None = None) -> None:
        """Note that what is kept is not what was written."""
        self.add(RemarkKind.CONVERTED, where, example, note)

    def clear(self) -> None:
        """Forget all, before a file is read again."""
        self._by_place.clear()

    def __iter__(self) -> Iterator[RecordRemark]:
        """Yield the remarks: by kind, then by place."""
        kinds = list(RemarkKind)
        for key in sorted(self._by_place, key=lambda key: (kinds.index(key[0]), key[1], key[2] or "")):
            count, record, example = self._by_place[key]
            yield RecordRemark(key[0], key[1], int(count), int(record), str(example), key[2])


class EveryRemark(Remarks):
    """Keeps each remark by itself and whole: for one record that a person looks at."""

    def __init__(self) -> None:
        super().__init__()
        self._all: list[RecordRemark] = []

    def add(self, kind: RemarkKind, where: str, example: Example = "", note: RecordNoteKind | None = None) -> None:
        """Note that something was met."""
        text = example if isinstance(example, str) else example()
        self._all.append(RecordRemark(kind, where, 1, self.record, text, note))

    def clear(self) -> None:
        """Forget all."""
        self._all.clear()

    def __iter__(self) -> Iterator[RecordRemark]:
        """Yield the remarks in the order they were made."""
        return iter(self._all)
