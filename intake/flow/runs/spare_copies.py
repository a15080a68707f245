"""Which copies could go together, for all their parts are held in others."""

from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import dataclass

from intake.edges.store.queries.values import latest_valuations_of
from intake.edges.store.reader import LibraryReader
from intake.flow.lookup.wording import title_words
from intake.flow.runs.named_serial import unread_words
from intake.flow.runs.run_view import places_text
from intake.flow.runs.serial_map import SerialMap, collected_parts, edition_name, serial_maps
from intake.model.currencies import amount_text
from intake.model.editions import Copy, Edition
from intake.runs.cover_solver import SECONDS
from intake.runs.spans import Spans, difference
from intake.runs.spare import HeldVolume, spare
from intake.units.advice import advice
from intake.units.counts import counted

BESIDE_PARTS = "What a book has beside these parts (an introduction, sketches) is not recorded: look before it goes."


@dataclass(frozen=True, slots=True)
class SpareCopy:
    """A copy that could go.

    Attributes:
        also_in: the copies that stay and have its parts between them.
        frees_mm: None where its thickness is unknown.
        worth: its latest value, in words; empty where there is none.
        why: why it is kept, as a person noted; that alone does not hold it back, but has to be read before it goes.
    """

    copy: str
    name: str
    title: str
    collects: str
    also_in: tuple[str, ...]
    frees_mm: float | None
    worth: str
    why: str


@dataclass(frozen=True, slots=True)
class SpareAnswer:
    """Copies that could go together.

    Attributes:
        proved: that no other choice frees more.
        bound_mm: what no choice frees more than.
        remarks: what was not looked at; one sentence each.
    """

    copies: tuple[SpareCopy, ...]
    freed_mm: float
    proved: bool
    bound_mm: float
    remarks: tuple[str, ...]


def spare_copies(reader: LibraryReader, *, prefer: str = "", seconds: float = SECONDS) -> SpareAnswer:
    """Return the copies that could go together and free the most shelf.

    Never one that is signed, numbered, or marked as kept, nor one with parts beyond what its serial is known to have,
    nor the last of an edition with one number of a double number, unless a copy with the whole issue stays; nor both
    of two that stand for each other.

    Args:
        reader: of the library.
        prefer: words of a binding; if given, only copies bound so may stand for a copy that goes.
        seconds: how long to search.
    """
    collected = collected_parts(reader)
    maps = serial_maps(reader, collected)
    return spare_among(reader, maps, unread_words(reader, collected), prefer=prefer, seconds=seconds)


def spare_among(
    reader: LibraryReader,
    maps: Sequence[SerialMap],
    remarks: tuple[str, ...] = (),
    *,
    prefer: str = "",
    seconds: float = SECONDS,
) -> SpareAnswer:
    """Return the same of the maps of all serials; `remarks` are of what these leave out."""
    places: dict[str, dict[str, Spans]] = {}
    copies: dict[str, tuple[Copy, Edition]] = {}
    bound_to_stay: set[str] = set()
    halves: dict[str, dict[str, Spans]] = {}
    for found in maps:
        for one in found.editions:
            for copy in one.copies:
                copies[copy.accession] = (copy, one.edition)
                places.setdefault(copy.accession, {})[found.title] = difference(one.places, one.partly)
                halves.setdefault(copy.accession, {})[found.title] = one.partly
                if one.outside or one.is_assumed:
                    bound_to_stay.add(copy.accession)
    volumes = [
        HeldVolume(
            number,
            places[number],
            edition.thickness_mm,
            may_go=_may_go(copy) and number not in bound_to_stay,
            stands=prefer.casefold() in edition.binding.casefold(),
            halves=halves[number],
            edition=str(edition.id),
        )
        for number, (copy, edition) in sorted(copies.items())
    ]
    choice = spare(volumes, seconds)
    values = latest_valuations_of(reader, [one.copy for one in choice.volumes])
    listed = tuple(
        SpareCopy(
            copy=one.copy,
            name=edition_name(copies[one.copy][1]),
            title=title_words(copies[one.copy][1]),
            collects=copies[one.copy][1].collects,
            also_in=one.also_in,
            frees_mm=copies[one.copy][1].thickness_mm,
            worth=amount_text(value.amount, value.currency) if (value := values.get(one.copy)) else "",
            why=copies[one.copy][0].why or copies[one.copy][1].why,
        )
        for one in choice.volumes
    )
    how = advice("'intake run extent'", "on the page of the serial")
    staying = (
        f"Copy {number} stays: some of what it has is beyond what its serial is known to have, or nobody said how far "
        f"that goes ({how})."
        for number in sorted(bound_to_stay)
    )
    halves_told = _half_words(maps, {one.copy for one in choice.volumes})
    languages = {number: edition.language for number, (_, edition) in copies.items()}
    translated = (
        f"What {one.copy} ({own}) has is in another language in {other} ({languages[other]}): that counts all the same."
        for one in choice.volumes
        for other in one.also_in
        if (own := languages[one.copy]) and languages[other] not in ("", own)
    )
    return SpareAnswer(
        listed, choice.freed_mm, choice.proved, choice.bound_mm, (*remarks, *staying, *halves_told, *translated)
    )


def _half_words(maps: Iterable[SerialMap], going: Set[str]) -> Iterator[str]:
    """Yield a sentence for each copy that stays and may have an issue of several numbers in part."""
    for found in maps:
        for one in found.editions:
            if one.partly and (staying := [copy.accession for copy in one.copies if copy.accession not in going]):
                yield (
                    f"{'Copy' if len(staying) == 1 else 'Copies'} {', '.join(staying)} ('{one.name}') may stand for no "
                    f"other edition in {places_text(found, one.partly)} of {found.title}: it collects one number of "
                    "that, and whether it has the whole issue is not recorded."
                )


def _may_go(copy: Copy) -> bool:
    return not (copy.kept or copy.signed or copy.limitation)


def freed_words(answer: SpareAnswer) -> str:
    """Write how much shelf the copies free together, and of how many of them that is not known.

    >>> one = SpareCopy("A1-01", "T1", "Tide", "Tide 1-9", ("A1-02",), None, "", "")
    >>> freed_words(SpareAnswer((one,), 34.0, True, 34.0, ()))
    'Together they free at least 34 mm of shelf; the thickness of 1 copy is unknown'
    """
    proof = "" if answer.proved else f" (not proved: at most {answer.bound_mm:g} mm by the thicknesses known)"
    unknown = sum(one.frees_mm is None for one in answer.copies)
    if not unknown:
        return f"Together they free {answer.freed_mm:g} mm of shelf{proof}"
    of_these = f"the thickness of {counted(unknown, 'copy', 'copies')} is unknown"
    return f"Together they free at least {answer.freed_mm:g} mm of shelf{proof}; {of_these}"


def none_words(answer: SpareAnswer) -> str:
    """Write why no copy could go."""
    if not answer.proved:
        return f"No copy that could go was found in the time given; at most {answer.bound_mm:g} mm could be freed."
    named = ", or is named below" if answer.remarks else ""
    return (
        f"No copy could go: each has parts that no copy which may stand for it has, is kept, signed or numbered{named}."
    )
