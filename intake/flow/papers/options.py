"""The options of papers: their values, and what an option is to a surface that asks for it."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import Any

from intake.edges import catalogues, settings
from intake.errors import UsageError, about_field
from intake.model.carriage import Goods, Packer
from intake.model.papers import A4_MM, LETTER_MM
from intake.model.valuations import Basis

SIZES_MM = {"a4": A4_MM, "letter": LETTER_MM}
SECONDS = 5.0
"""How long a packing plan is improved where nothing is said."""


def usual_size() -> str:
    """Return the size of paper where none is chosen: what the environment names (INTAKE_PAPER), else A4."""
    named = settings.paper_size()
    return named if named in SIZES_MM else "a4"


class Grouping(StrEnum):
    """By what the copies of a schedule are grouped."""

    ROOM = "room"
    CLASS = "class"


class SpineText(StrEnum):
    """What a spine label shows beside its number and volume."""

    SHELFMARK = "shelfmark"
    TITLE = "title"


class CatalogueOrder(StrEnum):
    """By what the collection as a book is grouped."""

    ROOM = "room"
    SUBJECT = "subject"
    PERSON = "person"
    SERIAL = "serial"


class Suggestion(StrEnum):
    """The things of a library of which a form offers the list."""

    BOXES = "boxes"
    CONSIGNMENTS = "consignments"
    BOOKCASES = "bookcases"
    TEMPLATES = "templates"
    SERIALS = "serials"


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperOptions:
    """What a person chose for a paper; each paper heeds only its own options.

    Attributes:
        boxes, copies, shelves, bookcases, serials: which, as typed; none named means all (of copies, those on shelves).
        copy: the one copy, as typed.
        reference: the carrier's, of a consignment.
        template: a name of `label_templates/`, or the path of a file of the person's own.
        start: the first label of the first sheet that is still there, from 1.
        used: labels that are gone from the first sheet, each by its number.
        spine_text: what spine labels show.
        only_changed: leaves out the labels that say what they said when last printed.
        size: of the paper, a key of `SIZES_MM`.
        marked: whether a CSV file begins with a byte order mark.
        language: one of `intake.edges.catalogues.languages`.
        currency: of totals, a code of ISO 4217.
        rates_on: the day of the rates; None for the day of the paper.
        basis: the basis whose latest values count; None for the one that counts.
        owner, address: as they are printed.
        show_values: whether values are printed where they are left out otherwise.
        show_why: whether it is printed why copies are kept, where that is left out otherwise.
        no_why: whether that is left out where it is printed otherwise.
        limit: the amount above which a copy is on the high-value list.
        single_limit: what is worth more is listed by itself.
        insured: the sum insured.
        desk_address: the address of the desk, which makes a symbol open the box's page.
        stacking_g: the most that may stand on a box.
        regime: a key of `intake.carriage.regimes.REGIMES`.
        rate, rate_on, rate_source: one unit of the regime in the currency, of which day, by whom; None as recorded.
        per_kg: what the contract says the carrier owes for a kilogram.
        goods, packed_by, packages, volume_m3, charges: see `intake.model.carriage.LiabilityTerms`.
        holidays: public holidays, for periods that leave them out.
        delivered: the day of delivery of the boxes that have none recorded.
        awaited_lost: whether boxes that have not arrived count as lost.
        declared: the value declared to the carrier.
        relief: a value of `intake.carriage.household.Relief`.
        left_on, settled_on, abroad_since, entry_on: the days of a removal, see `RemovalDays` there.
        seconds: how long a packing plan may take.
        shelved: whether it packs what stands on shelves, too.
        split_sets: whether the volumes of a set may lie in different boxes.
    """

    boxes: tuple[str, ...] = ()
    copies: tuple[str, ...] = ()
    shelves: tuple[str, ...] = ()
    bookcases: tuple[str, ...] = ()
    serials: tuple[str, ...] = ()
    copy: str = ""
    reference: str = ""
    template: str = ""
    start: int = 1
    used: tuple[int, ...] = ()
    spine_text: SpineText = SpineText.SHELFMARK
    only_changed: bool = False
    size: str = field(default_factory=usual_size)
    marked: bool = False
    language: str = catalogues.ENGLISH
    currency: str = "EUR"
    rates_on: date | None = None
    basis: Basis | None = None
    owner: str = ""
    address: str = ""
    grouping: Grouping = Grouping.ROOM
    catalogue_order: CatalogueOrder = CatalogueOrder.ROOM
    show_values: bool = False
    show_why: bool = False
    no_why: bool = False
    limit: Decimal | None = None
    single_limit: Decimal | None = None
    insured: Decimal | None = None
    no_photographs: bool = False
    desk_address: str = ""
    stacking_g: float | None = None
    regime: str = ""
    rate: Decimal | None = None
    rate_on: date | None = None
    rate_source: str = ""
    per_kg: Decimal | None = None
    goods: Goods | None = None
    packed_by: Packer | None = None
    packages: int | None = None
    volume_m3: Decimal | None = None
    charges: Decimal | None = None
    holidays: tuple[date, ...] = ()
    awaited_lost: bool = False
    delivered: date | None = None
    declared: Decimal | None = None
    relief: str = ""
    left_on: date | None = None
    settled_on: date | None = None
    abroad_since: date | None = None
    entry_on: date | None = None
    seconds: float = SECONDS
    shelved: bool = False
    split_sets: bool = False

    @property
    def paper_mm(self) -> tuple[float, float]:
        """Return width and height of the paper."""
        return SIZES_MM[self.size]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaperOption:
    """How a person is asked for one option.

    Attributes:
        name: the field of `PaperOptions`.
        flag: how the command line calls it, without its hyphens; empty for one that is given by its place.
        label: what a form calls it.
        summary: what it does, in one line.
        read: from what was typed to the value; raises a UsageError where that cannot be read.
        choices: all that it can be; empty for anything.
        choice_words: what a form calls them, where the choice itself says too little.
        suggests: of which things of the library a form offers the list.
        required: whether the paper cannot be made without it.
        many: whether several can be named.
        is_flag: whether it is only said or not said.
    """

    name: str
    label: str
    summary: str
    flag: str = ""
    read: Callable[[str], Any] = str
    choices: tuple[str, ...] = ()
    choice_words: Mapping[str, str] = field(default_factory=dict)
    suggests: Suggestion | None = None
    required: bool = False
    many: bool = False
    is_flag: bool = False

    @property
    def called(self) -> tuple[tuple[str, str], ...]:
        """Return the choices, each with what a form calls it."""
        return tuple((choice, self.choice_words.get(choice, choice)) for choice in self.choices)


def typed(option: PaperOption, text: str) -> Any:
    """Return the value that a person typed into the field of a form.

    Raises:
        UsageError: it cannot be read, or is not among the choices.
    """
    if option.is_flag:
        return bool(text)
    if option.many:
        return tuple(text.replace(",", " ").split()) if option.suggests is None else (text,)
    if option.choices and text not in option.choices:
        raise UsageError(f"{option.label} {text!r}", "is not offered", f"choose one of {', '.join(option.choices)}")
    return option.read(text)


def with_typed(defaults: PaperOptions, options: tuple[PaperOption, ...], texts: Mapping[str, str]) -> PaperOptions:
    """Return the options with what a person typed into the fields of a form; an empty field leaves the default.

    Raises:
        UsageError: a text cannot be read.
    """
    given: dict[str, Any] = {}
    for option in options:
        if text := texts.get(option.name, "").strip():
            with about_field(option.name):
                given[option.name] = typed(option, text)
    return replace(defaults, **given)


def missing(options: tuple[PaperOption, ...], chosen: PaperOptions) -> Iterator[PaperOption]:
    """Yield the required options that are not chosen."""
    return (option for option in options if option.required and getattr(chosen, option.name) in ("", None, ()))
