"""Pictures of many books compared with the list of the open box: found, not listed, not seen.

A book is found by its own number and by nothing else. What could not be read for certain, and what only a spine says,
is a question to look at; it books nothing and waits on no pile. Comparing writes nothing; what was found is booked one
by one, as any scan is (`intake.flow.unpacking.book_scan`).

Two pictures of one stack show the same books: of each number as many are counted as one picture shows at a time.
"""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import partial
from pathlib import Path

from intake.edges.store.library import Library
from intake.edges.store.queries.copies import unseen_in_box
from intake.edges.store.reader import LibraryReader
from intake.errors import LibraryBusyError
from intake.flow.lookup.identify import Doubtful, Identification, identify_each
from intake.flow.pictures.read_files import further_pages_words
from intake.flow.pictures.read_scene import ReadScene, read_scenes
from intake.flow.unpacking.book_pictures import code_book, is_second_line
from intake.flow.unpacking.book_scan import book_scan, label_of
from intake.flow.unpacking.busy_library import until_free
from intake.flow.unpacking.scan_results import (
    Choose,
    Disposition,
    Option,
    Question,
    ScanResult,
    defer_to_queue,
    number_of,
    scan_of,
)
from intake.flow.unpacking.spine_hints import SpineHint, spine_hints
from intake.identifiers.own import serial_of
from intake.matching.copy_candidates import apart_from_number
from intake.model.editions import Copy, Edition
from intake.model.readings import Reading
from intake.reading.decoders import Decoder


@dataclass(frozen=True, slots=True)
class SeenSymbol:
    """A symbol, the picture that shows it, and the how manieth of its number it is there, from 1."""

    reading: Reading
    shown: ReadScene
    nth: int = 1


@dataclass(frozen=True, slots=True)
class FoundCopy:
    """A copy of the box's list whose own number was read."""

    seen: SeenSymbol
    copy: Copy
    edition: Edition


@dataclass(frozen=True, slots=True)
class SeenOther:
    """A number that was read, for certain or not, and what it may be; no copy still in the box goes with it."""

    seen: SeenSymbol
    identification: Identification


@dataclass(frozen=True, slots=True)
class BoxScene:
    """What pictures of many books show of the box that is open.

    Attributes:
        found: copies listed in the box and still in it by the record, whose own number was read.
        not_listed: numbers read for certain that no copy still in the box has: another box's, seen before, unknown.
        undecided: numbers read for certain that more than one thing has, one of them in the box: a person has to say.
        doubtful: what was not read for certain; nothing is booked from it.
        hints: spines like titles that were not found.
        other_spines: the other spines: like titles listed elsewhere or found already, or like none.
        not_seen: copies listed and still in the box by the record, of which no number was read.
        labels: labels of boxes and places that are in the pictures.
        text_missing: whether the text of spines was not read, as that optional part is not installed.
        left_out: places like bars that were not read.
        further_pages: of which pictures only the first page was read, a sentence each.
        other_lines: lines of text that are not a spine's, or hardly read.
        failed: why pictures were not read.
        was_seen: whether any picture was read; where none was, nothing is known of the box.
    """

    found: tuple[FoundCopy, ...]
    not_listed: tuple[SeenOther, ...]
    undecided: tuple[SeenOther, ...]
    doubtful: tuple[SeenOther, ...]
    hints: tuple[SpineHint, ...]
    other_spines: tuple[SpineHint, ...]
    not_seen: tuple[tuple[Copy, Edition], ...]
    labels: tuple[str, ...]
    text_missing: bool
    left_out: int
    further_pages: tuple[str, ...]
    other_lines: int
    failed: tuple[str, ...]
    was_seen: bool

    @property
    def asked_about(self) -> frozenset[str]:
        """The copies that a person is asked about, by a number or by a spine."""
        by_number = (
            candidate.copy
            for other in (*self.undecided, *self.doubtful)
            for candidate in other.identification.candidates
        )
        by_spine = (copy for hint in self.hints for copy, _ in hint.copies)
        return frozenset(copy.accession for copy in (*by_number, *by_spine) if copy is not None)


def look_into_box(
    library: Library,
    box: str,
    sources: Iterable[Path | bytes],
    decoders: Sequence[Decoder],
    *,
    spines: bool = True,
    tick: Callable[[], None] = lambda: None,
) -> BoxScene:
    """Read pictures of many books, files or what a station sent, and compare them with a box; nothing is written.

    Args:
        library: with the lists.
        box: number of the box.
        sources: the pictures, those of one stack together.
        decoders: see `intake.reading.decoders.available`.
        spines: whether text is read, where the part for it is installed.
        tick: called once for each picture.
    """
    shown = tuple(read_scenes(sources, decoders, known=code_book(library, box), spines=spines, tick=tick))
    with library.reading() as records:
        return compare_with_box(records, box, shown)


def compare_with_box(records: LibraryReader, box: str, shown: Sequence[ReadScene]) -> BoxScene:
    """Compare pictures of many books with the list of a box; nothing is written.

    Args:
        records: the library.
        box: its number.
        shown: what was read in the pictures (`intake.flow.pictures.read_scene`).
    """
    not_seen = {copy.accession: (copy, edition) for copy, edition in unseen_in_box(records, box)}
    symbols = list(each_once(shown))
    labels = [label_of(records, symbol.reading.number) for symbol in symbols]
    books = [symbol for symbol, label in zip(symbols, labels, strict=True) if label is None]
    texts = [Doubtful(texts_of(symbol.reading), box) for symbol in books]
    found: list[FoundCopy] = []
    others: list[SeenOther] = []
    for symbol, identification in zip(books, identify_each(records, texts), strict=True):
        copy = next_copy(identification, not_seen) if symbol.reading.accepted else None
        if copy is not None:
            found.append(FoundCopy(symbol, *not_seen.pop(copy)))
        else:
            others.append(SeenOther(symbol, identification))
    spines = tuple(spine_hints(records, box, shown, not_seen))
    sure = [other for other in others if other.seen.reading.accepted]
    return BoxScene(
        found=tuple(found),
        not_listed=tuple(other for other in sure if not may_be_in(other, not_seen)),
        undecided=tuple(other for other in sure if may_be_in(other, not_seen)),
        doubtful=tuple(other for other in others if not other.seen.reading.accepted),
        hints=tuple(hint for hint in spines if hint.asks),
        other_spines=tuple(hint for hint in spines if not hint.asks),
        not_seen=tuple(not_seen.values()),
        labels=tuple(dict.fromkeys(label.number for label in labels if label is not None)),
        text_missing=any(each.text_missing for each in shown),
        left_out=sum(each.scene.left_out for each in shown),
        further_pages=tuple(words for each in shown if (words := further_pages_words(each.name, each.pages))),
        other_lines=sum(each.scene.other_lines for each in shown),
        failed=tuple(each.error for each in shown if each.error is not None),
        was_seen=any(each.error is None for each in shown),
    )


def texts_of(reading: Reading) -> tuple[str, ...]:
    """Return what a reading may be, best first."""
    others = () if reading.accepted else reading.candidates
    return tuple(dict.fromkeys((number_of(reading), *others)))


def each_once(shown: Sequence[ReadScene]) -> Iterator[SeenSymbol]:
    """Yield each symbol of the pictures once: of a number as many as one picture shows at a time."""
    told: Counter[str] = Counter()
    sure = {reading.number for each in shown for reading in each.scene.symbols if reading.accepted}
    for each in shown:
        here: Counter[str] = Counter()
        for reading in each.scene.symbols:
            if is_second_line(reading, each.scene.symbols) or (reading.number in sure and not reading.accepted):
                continue
            here[reading.number] += 1
            if here[reading.number] > told[reading.number]:
                told[reading.number] += 1
                yield SeenSymbol(reading, each, told[reading.number])


def next_copy(identification: Identification, not_seen: Mapping[str, tuple[Copy, Edition]]) -> str | None:
    """Return the copy that a number read for certain is: listed, and not found by another symbol; else None.

    Of copies that nothing tells apart the lowest number comes first (`intake.matching.copy_candidates`).
    """
    meant = identification.candidates[0].copy if identification.certain else None
    if meant is None:
        return None
    alike = (copy.accession for copy, _ in not_seen.values() if apart_from_number(copy) == apart_from_number(meant))
    return min(alike, key=serial_of, default=None)


def may_be_in(other: SeenOther, awaited: Collection[str]) -> bool:
    """Return whether what was read may be a copy that is still in the box."""
    copies = (candidate.copy for candidate in other.identification.candidates)
    return any(copy is not None and copy.accession in awaited for copy in copies)


def book_scene(
    library: Library,
    box: str,
    answer: BoxScene,
    *,
    choose: Choose = defer_to_queue,
    station: str,
    now: Callable[[], datetime],
    on_busy: Callable[[LibraryBusyError], None] = lambda _: None,
) -> Iterator[ScanResult]:
    """Book what was read for certain: copies found, and the other numbers, which are asked about or wait.

    A copy is booked by its own number, as if it had been scanned alone. The same pictures again change nothing.
    """
    found = [(each.seen, each.copy.accession) for each in answer.found]
    others = [(each.seen, None) for each in (*answer.not_listed, *answer.undecided)]
    for seen, accession in (*found, *others):
        picture = seen.shown.picture
        if picture is None:
            continue
        # The same whenever the same picture is compared again.
        request = f"{picture.sha256}/{box}/{seen.reading.number}/{seen.nth}"
        decide = second_of(accession, choose) if accession is not None and seen.nth > 1 else choose
        scan = scan_of(seen.reading, picture, request)
        step = partial(book_scan, library, box, scan, choose=decide, station=station, now=now())
        with library.keeping_picture(seen.shown.source, picture):
            yield until_free(step, on_busy)


def second_of(accession: str, choose: Choose) -> Choose:
    """Answer that it is this copy, for a number that one picture shows more than once: they are not one book."""

    def decide(question: Question) -> Option | None:
        for option in question.options:
            if option.act is Disposition.BOOK and option.copy is not None and option.copy.accession == accession:
                return option
        return choose(question)

    return decide
