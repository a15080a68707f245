"""What a step of the desk is: one record, from which its page is made (`intake.desk.steps.step_pages`).

A step is run twice: first in a library that hands its plan back (`intake.flow.corrections.rehearse`), so that a person
sees what it would change, then, once they agree, in the real one. A question changes nothing, and is answered at once.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal
from enum import Enum, StrEnum, auto
from pathlib import Path
from typing import TypeVar

from intake.desk import desk_startup
from intake.desk.desk_startup import Library, LibraryReader
from intake.desk.rendering import list_query
from intake.desk.request_state import Desk
from intake.desk.sessions import DeskSession
from intake.errors import IntakeError, UsageError, about_field
from intake.units.amounts import parse_amount, parse_day
from intake.units.quantities import parse_height_mm, parse_length_mm, parse_mass_g, parse_size_mm

_Choice = TypeVar("_Choice", bound=StrEnum)
_Value = TypeVar("_Value")
UPLOAD = "upload-"
"""Begins the name under which a form carries what was sent into a field for files."""


class StepGroup(StrEnum):
    """What steps are about; the value is the heading over them."""

    LISTS = "Lists in and out"
    PACKING = "Packing and sending"
    ARRIVAL = "Arrival and claims"
    SHELVES = "Shelves"
    VALUES = "Values"
    COPIES = "Corrections"
    LIBRARY = "The library itself"


class FieldKind(Enum):
    """How a field is asked for."""

    TEXT = auto()
    LONG = auto()
    CHOICE = auto()
    FLAG = auto()
    DAY = auto()
    FILE = auto()
    PICTURES = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class StepField:
    """One field of a form.

    Attributes:
        label: the words before it.
        hint: what may be written into it, such as '850 g'.
        choices: value and words of each, for a choice.
        offered: what is proposed while it is typed.
        value: what it shows where nothing was typed.
        group: the heading of the fields that it belongs to; they are folded away until wanted.
        reads: raises a UsageError where what was typed cannot be read: it is said before the step is run.
        holds: what errors call a value of it (`IntakeError.field`), beside its own name: of "boxes" a "box".
    """

    name: str
    label: str
    kind: FieldKind = FieldKind.TEXT
    hint: str = ""
    choices: tuple[tuple[str, str], ...] = ()
    offered: tuple[str, ...] = ()
    value: str = ""
    required: bool = False
    group: str = ""
    reads: Callable[[str], object] | None = None
    holds: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class StepTable:
    """A table of an answer."""

    heading: str
    heads: Sequence[str]
    rows: Sequence[Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class StepOutcome:
    """What a step did, would do, or answers; nothing in it is read back.

    Attributes:
        lines: sentences; one that begins with spaces belongs to the one before it.
        cautions: what must not be overlooked.
        notes: sentences that stand below the tables, as lines do above.
        links: where to go on from here: address and words.
        is_plan: what was looked at can be done; a rehearsed step need not say so.
        kept: a plan that took a while, and is done as it was shown.
        fields: more to be asked, after a first look.
        error: why nothing can be done as it was asked, where `fields` and `links` offer the way on.
    """

    lines: Sequence[str] = ()
    cautions: Sequence[str] = ()
    tables: Sequence[StepTable] = ()
    notes: Sequence[str] = ()
    links: Sequence[tuple[str, str]] = ()
    is_plan: bool = False
    kept: object = None
    fields: tuple[StepField, ...] = ()
    error: IntakeError | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class StepContext:
    """What a step runs with.

    Attributes:
        library: the real one, or one that hands plans back while it is looked at.
        values: what was typed, by field; a field left empty is absent.
        files: what was sent, by field.
        is_look: whether it is only looked at.
        kept: the plan that was shown.
        asked: questions about what was typed, which stand beside what would change, and beside what changed.
    """

    desk: Desk
    session: DeskSession
    library: Library
    values: Mapping[str, str]
    files: Mapping[str, tuple[Path, ...]]
    is_look: bool
    kept: object = None
    asked: list[str] = field(default_factory=list)
    today: date = field(default_factory=desk_startup.today)
    now: datetime = field(default_factory=desk_startup.now)

    @property
    def station(self) -> str:
        """Return who does it."""
        return self.session.station

    def ask(self, question: str) -> None:
        """Ask whether something is right, before it changes anything."""
        self.asked.append(
            f"Is that right? {question}. If not, {'correct it below' if self.is_look else 'take it back'}."
        )

    def text(self, name: str) -> str:
        """Return what was typed; empty for nothing."""
        return self.values.get(name, "")

    def flag(self, name: str) -> bool:
        """Return whether a box was ticked."""
        return bool(self.values.get(name))

    def needed(self, name: str, what: str) -> str:
        """Return what was typed.

        Raises:
            UsageError: nothing was.
        """
        if text := self.values.get(name, ""):
            return text
        raise UsageError(what, "is missing", "write it into its field", field=name)

    def choice(self, name: str, kind: type[_Choice]) -> _Choice | None:
        """Return which value of an enumeration was chosen; None for nothing.

        Raises:
            UsageError: it is none of them.
        """
        text = self.text(name)
        chosen = next((one for one in kind if one == text), None)
        if text and chosen is None:
            offered = f"choose one of: {', '.join(kind)}"
            raise UsageError(f"The choice {text!r}", "is not one that is offered", offered, field=name)
        return chosen

    def words(self, name: str) -> tuple[str, ...]:
        """Return several things with commas, spaces or line breaks between."""
        return tuple(self.values.get(name, "").replace(",", " ").split())

    def lines(self, name: str) -> tuple[str, ...]:
        """Return several things, one on a line."""
        return tuple(filter(None, map(str.strip, self.values.get(name, "").splitlines())))

    def mass_g(self, name: str) -> float | None:
        """Return a mass in grams; None for nothing."""
        return self._read(name, parse_mass_g)

    def length_mm(self, name: str) -> float | None:
        """Return a length in millimetres; None for nothing."""
        return self._read(name, parse_length_mm)

    def height_mm(self, name: str) -> float | None:
        """Return a height above the floor in millimetres; None for nothing."""
        return self._read(name, parse_height_mm)

    def size_mm(self, name: str) -> tuple[float, float, float] | None:
        """Return a size in millimetres; None for nothing."""
        return self._read(name, parse_size_mm)

    def day(self, name: str) -> date | None:
        """Return a day; None for nothing."""
        return self._read(name, parse_day)

    def count(self, name: str, *, least: int, most: int) -> int | None:
        """Return a whole number; None for nothing.

        Raises:
            UsageError: it is none, or less or more than it may be.
        """
        return self._read(name, whole(least, most))

    def amount(self, name: str) -> Decimal | None:
        """Return an exact amount; None for nothing."""
        return self._read(name, parse_amount)

    def _read(self, name: str, read: Callable[[str], _Value]) -> _Value | None:
        with about_field(name):
            return read(text) if (text := self.text(name)) else None


def address(path: str, /, **values: str) -> str:
    """Return the address of a page with its fields filled in; one that says nothing is left out."""
    query = list_query(**values)
    return f"{path}?{query}" if query else path


def paper_address(**values: str) -> str:
    """Return the address of a paper with its options, at the place of the page where it is shown below the list."""
    return f"{address('/papers', **values)}#chosen"


def whole(least: int, most: int) -> Callable[[str], int]:
    """Return what reads a whole number from `least` to `most`, and raises a UsageError for anything else."""

    def read(text: str) -> int:
        if text.isascii() and text.isdigit() and len(text) < 10 and least <= int(text) <= most:
            return int(text)
        why = f"is not a whole one from {least} to {most}"
        raise UsageError(f"The number {text!r}", why, "write it in figures")

    return read


FieldsOf = Callable[[LibraryReader, Mapping[str, str]], tuple[StepField, ...]]


def fixed(*fields: StepField) -> FieldsOf:
    """Return fields that are the same whatever the library holds."""
    return lambda _records, _values: fields


@dataclass(frozen=True, slots=True, kw_only=True)
class DeskStep:
    """One step.

    Attributes:
        name: in its address.
        title: over its page, and on what leads to it.
        summary: what it does, in one line.
        fields: of its form, made from the library and what was typed so far.
        run: does it; see the module.
        is_question: it changes nothing.
        verb: on the button that does it.
        word: what the laptop is asked before a phone does it; None for what a phone may do by itself.
        at_once: a question that is answered as soon as its page is opened, where nothing has to be asked.
        looks_twice: what is to be done is planned again, and shown again where it differs from what was shown; else it
            is shown again where anything in the library was changed meanwhile.
    """

    name: str
    title: str
    summary: str
    group: StepGroup
    fields: FieldsOf
    run: Callable[[StepContext], StepOutcome]
    is_question: bool = False
    verb: str = "Do it"
    word: Callable[[Mapping[str, str]], str] | None = None
    at_once: bool = True
    looks_twice: bool = True


def choices_of(kind: type[StrEnum]) -> tuple[tuple[str, str], ...]:
    """Return the values of an enumeration as choices."""
    return tuple((one.value, one.value) for one in kind)
