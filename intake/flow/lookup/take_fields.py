"""Take fields of a library's record into the catalog: one plan, which a dry run shows and an undo takes back."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from intake.edges.exchange.marc_text import binding_in
from intake.edges.store.library import Library
from intake.edges.store.queries.editions import known_numbers
from intake.edges.store.queries.names import set_of_title
from intake.edges.store.reader import LibraryReader
from intake.errors import RefusedError, UsageError
from intake.flow.lookup.lookup_targets import LookupTarget, same_number
from intake.flow.lookup.server_words import FIELD_WORDS
from intake.model.changes import Action, ActionKind, Change, LedgerEntry, Provisional, made
from intake.model.editions import BookSet, Edition
from intake.model.identifiers import Identifier
from intake.model.lookups import LookedUpRecord, RecordNote, RecordValue
from intake.units.advice import advice

FIELDS = tuple(FIELD_WORDS)
"""The fields of an edition that a record may have, in the order they are shown."""
SET = "set"
"""The title of the edition's set, which is a record of its own."""

_SIZE = (float, 1, 2000)
NUMERIC: Mapping[str, tuple[type[int] | type[float], int, int]] = {
    "year": (int, 1400, 2099),
    "pages": (int, 1, 99_999),
    **dict.fromkeys(("height_mm", "width_mm", "thickness_mm"), _SIZE),
    "mass_g": (float, 1, 100_000),
}
"""What a number may be: whole or not, from, to; a book of before 1400 is rare enough to be typed in by hand, and none
is higher than two metres."""


@dataclass(frozen=True, slots=True)
class FieldOffer:
    """One field as the catalog and as the record have it.

    Attributes:
        known: None where the catalog has nothing.
    """

    name: str
    known: RecordValue | None
    found: RecordValue
    notes: tuple[RecordNote, ...] = ()

    @property
    def is_new(self) -> bool:
        """Return whether taking the field would change the catalog."""
        return self.known != self.found


def field_offers(target: LookupTarget, record: LookedUpRecord) -> tuple[FieldOffer, ...]:
    """Put what the record has beside what is known of the one edition that was looked up."""
    edition = target.editions[0] if len(target.editions) == 1 else None
    found = _found(target, record)
    return tuple(
        FieldOffer(
            name,
            _known(target, edition, name),
            found[name],
            tuple(note for note in record.notes if note.field == name),
        )
        for name in FIELDS
        if name in found
    )


def _known(target: LookupTarget, edition: Edition | None, name: str) -> RecordValue | None:
    if edition is None:
        return None
    return (target.set_title if name == SET else getattr(edition, name)) or None


def _found(target: LookupTarget, record: LookedUpRecord) -> Mapping[str, RecordValue]:
    """Return the record's fields, with the binding that its qualifier states for this very number."""
    identifier = target.identifier
    if identifier is None or "binding" in record.fields:
        return record.fields
    qualifiers = (number.qualifier for number in record.numbers if same_number(number.text, identifier))
    binding = next(filter(None, map(binding_in, qualifiers)), "")
    return {**record.fields, "binding": binding} if binding else record.fields


@dataclass(frozen=True, slots=True)
class Taken:
    """What is taken for one thing that was looked up, from which server."""

    target: LookupTarget
    server: str
    record: LookedUpRecord
    offers: tuple[FieldOffer, ...]


@dataclass(frozen=True, slots=True)
class TakePlan:
    """What would be written: an edition altered or made for each; nothing where the catalog has it all already."""

    taken: tuple[Taken, ...]
    changes: tuple[Change, ...]


def fields_named(texts: Sequence[str]) -> frozenset[str]:
    """Return the fields that a person names, one or several in a text with commas between, or `all`.

    Raises:
        UsageError: a name is not one of `FIELDS`.
    """
    names = {name.strip() for text in texts for name in text.split(",") if name.strip()}
    for name in sorted(names - {"all", *FIELDS}):
        raise UsageError(
            f"The field {name!r}", "is not one that is taken from a record", f"name {', '.join(FIELDS)} or all"
        )
    return frozenset(FIELDS if "all" in names else names)


def choose_record(
    target: LookupTarget, found: Sequence[tuple[str, LookedUpRecord]], fields: frozenset[str], nth: int | None = None
) -> tuple[LookupTarget, str, LookedUpRecord]:
    """Return the record to take from: the one named, else the first if all say the same in these fields.

    Args:
        target: what was looked up.
        found: the records of it, each with its server; at least one.
        fields: which are to be taken.
        nth: which of them, counted from 1.

    Raises:
        RefusedError: they differ and none was named, or there are not so many.
    """
    if nth is not None and nth > len(found):
        raise RefusedError(target.name, f"has {len(found)} of the records", "name one that was shown")
    if nth is None and len({_said(target, record, fields) for _, record in found}) > 1:
        why = f"has {len(found)} records that differ"
        raise RefusedError(
            target.name,
            why,
            advice(
                "look it up by itself, and name one of them with --record",
                "look it up by itself, and choose one of them",
            ),
        )
    return (target, *found[(nth or 1) - 1])


def _said(target: LookupTarget, record: LookedUpRecord, fields: frozenset[str]) -> tuple[tuple[str, RecordValue], ...]:
    return tuple((offer.name, offer.found) for offer in field_offers(target, record) if offer.name in fields)


def plan_take(
    library: Library, chosen: Sequence[tuple[LookupTarget, str, LookedUpRecord]], fields: frozenset[str]
) -> TakePlan:
    """Plan to take fields: into the edition that carries the number, or into a new one.

    Args:
        library: the library as it is now.
        chosen: for each thing that was looked up the server and one record of it.
        fields: which to take, of those that the record has.

    Raises:
        RefusedError: several editions carry the number, one was made meanwhile, or a new one would have no title.
    """
    with library.reading() as reader:
        numbers = [target.identifier.number for target, _, _ in chosen if target.identifier and not target.editions]
        meanwhile = known_numbers(reader, numbers)
        made_of = _Editions(reader)
        taken: list[Taken] = []
        for target, server, record in chosen:
            offers = tuple(offer for offer in field_offers(target, record) if offer.name in fields and offer.is_new)
            if len(target.editions) > 1:
                keys = ", ".join(edition.key or edition.title for edition in target.editions)
                why = f"means {len(target.editions)} editions ({keys})"
                raise RefusedError(f"Edition {target.name}", why, "look it up by its key")
            if target.identifier and target.identifier.number in meanwhile:
                raise RefusedError(f"Edition {target.name}", "was added to the catalog meanwhile", "look it up again")
            made_of.take(target, {offer.name: offer.found for offer in offers})
            taken.append(Taken(target, server, record, offers))
    return TakePlan(tuple(taken), tuple(made_of.changes))


class _Editions:
    """The changes that the values of records make: editions, and sets that are new."""

    def __init__(self, reader: LibraryReader) -> None:
        self.changes: list[Change] = []
        self._reader = reader
        self._new = Provisional()
        self._set_ids: dict[str, int] = {}

    def take(self, target: LookupTarget, values: Mapping[str, RecordValue]) -> None:
        """Add what takes the values into the one edition, or into a new one."""
        own = {name: value for name, value in values.items() if name != SET}
        if not target.editions and "title" not in own:
            why = "is not in the catalog, and a new edition needs a title"
            raise RefusedError(f"Edition {target.name}", why, "take the title too")
        before = target.editions[0] if target.editions else None
        after = _edition(target.identifier, own) if before is None else replace(before, **own)  # type: ignore[arg-type] # by name
        if SET in values:
            after = replace(after, set_id=self._set_id(str(values[SET])))
        if before is None:
            self.changes += made(replace(after, id=self._new.id()))
        elif after != before:
            self.changes.append(Change(before, after))

    def _set_id(self, title: str) -> int:
        if title not in self._set_ids:
            book_set = set_of_title(self._reader, title)
            if book_set is None:
                book_set = BookSet(id=self._new.id(), title=title)
                self.changes += made(book_set)
            self._set_ids[title] = book_set.id
        return self._set_ids[title]


def take(library: Library, plan: TakePlan, *, station: str) -> LedgerEntry | None:
    """Apply a plan as one entry of the ledger, which names the servers; None where it changes nothing.

    Raises:
        RefusedError: an edition was altered meanwhile.
    """
    if not plan.changes:
        return None
    names = [taken.target.name for taken in plan.taken if taken.offers]
    subject = names[0] if len(names) == 1 else f"{len(names)} editions"
    note = ", ".join(dict.fromkeys(taken.server for taken in plan.taken if taken.offers))
    return library.apply(Action(ActionKind.TAKE_FROM_SERVER, subject, station, note=note), plan.changes).entry


def new_edition(number: Identifier | None, texts: Mapping[str, str]) -> tuple[Edition, str]:
    """Return a new edition with the fields that a person chose and may have corrected, and the title of its set.

    Args:
        number: what was scanned.
        texts: by the name of the field, as shown: persons with semicolons between, sizes in millimetres.

    Raises:
        UsageError: no title, or a year, a number of pages or a size that is not one.
    """
    values: dict[str, RecordValue] = {}
    for name, text in texts.items():
        if name == "contributors":
            values[name] = tuple(filter(None, (person.strip() for person in text.split(";"))))
        elif name in NUMERIC and text:
            values[name] = _positive(name, text)
        elif name not in NUMERIC and name != SET:
            values[name] = text
    if not values.get("title"):
        raise UsageError("The new edition", "has no title", "tick the title, or type it as the title page has it")
    return _edition(number, values), texts.get(SET, "").strip()


def _edition(number: Identifier | None, values: Mapping[str, RecordValue]) -> Edition:
    edition = Edition(id=0, **values)  # type: ignore[arg-type] # by name
    return replace(edition, number=number.number, add_on=number.add_on) if number is not None else edition


def _positive(name: str, text: str) -> int | float:
    convert, least, most = NUMERIC[name]
    try:
        value = convert(text.replace(",", "."))
    except ValueError:
        value = convert(0)
    if not least <= value <= most:
        words = name.removesuffix("_mm").removesuffix("_g")
        raise UsageError(f"The {words} {text!r}", f"is not a number from {least} to {most}", "correct it")
    return value
