"""Parts of a serial: numbers, numbers in volumes, annuals, specials, and parts inserted between two numbers.

A run is what is numbered through by itself. Its key says which: `()` for the plain numbers, `("v", 2, "no")` for the
numbers of volume 2, `("v",)` for whole volumes, `("annual",)` for annuals. A part inserted later ("12½") is an exact
fraction beside the whole numbers; a range does not include it unless it is named, for it may have been made long after.

A double number (one issue numbered 45/46) is one part that stands for two numbers: it counts once, and who has either
number has the issue. Its numbers are whole numbers of the run like any others; that they are one piece stands beside.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from math import ceil, floor

from intake.runs.captions import LEVELS
from intake.runs.spans import END, Span, Spans, count, difference, has, hull, intersection, spans_of, union

RunKey = tuple[str | int, ...]

MAIN: RunKey = ()


@dataclass(frozen=True, slots=True)
class Parts:
    """Some parts of one serial.

    Attributes:
        spans: the whole numbers of each run; none is empty. A span up to `END` is open.
        inserted: the parts that stand between two numbers, for each run that has any.
        combined: the first and last number of each single piece with several numbers, in order and apart from each
            other; all its numbers are in `spans`.
    """

    spans: Mapping[RunKey, Spans] = field(default_factory=dict)
    inserted: Mapping[RunKey, frozenset[Fraction]] = field(default_factory=dict)
    combined: Mapping[RunKey, Spans] = field(default_factory=dict)

    def __bool__(self) -> bool:
        return bool(self.spans or self.inserted)

    def __or__(self, other: "Parts") -> "Parts":
        return union_of((self, other))

    def __and__(self, other: "Parts") -> "Parts":
        return _made(
            {key: intersection(spans, other.spans.get(key, ())) for key, spans in self.spans.items()},
            {key: found & other.inserted.get(key, frozenset()) for key, found in self.inserted.items()},
            _of_both(self.combined, other.combined),
        )

    def __sub__(self, other: "Parts") -> "Parts":
        return _made(
            {key: difference(spans, other.spans.get(key, ())) for key, spans in self.spans.items()},
            {key: found - other.inserted.get(key, frozenset()) for key, found in self.inserted.items()},
            self.combined,
        )

    @property
    def is_open(self) -> bool:
        """Tell whether an end is open, so that nobody knows how many parts these are."""
        return any(spans[-1][1] == END for spans in self.spans.values())

    def count(self) -> int:
        """Return how many parts these are, a double number once; meaningless where an end is open."""
        twice = sum(last - first for pieces in self.combined.values() for first, last in pieces)
        return sum(map(count, self.spans.values())) - twice + sum(map(len, self.inserted.values()))

    def runs(self) -> frozenset[RunKey]:
        """Return the runs."""
        return frozenset(self.spans) | frozenset(self.inserted)


def _made(
    spans: Mapping[RunKey, Spans],
    inserted: Mapping[RunKey, frozenset[Fraction]],
    combined: Mapping[RunKey, Iterable[Span]],
) -> Parts:
    """Return parts without empty runs, and without a double number of which not all is among them."""
    whole = {key: _apart(pieces, spans.get(key, ())) for key, pieces in combined.items()}
    return Parts(
        {key: found for key, found in spans.items() if found},
        {key: found for key, found in inserted.items() if found},
        {key: pieces for key, pieces in whole.items() if pieces},
    )


def _apart(pieces: Iterable[Span], spans: Spans) -> Spans:
    """Return the pieces that lie in the spans, in order; of those that share a number, the first given."""
    chosen: list[Span] = []
    taken: set[int] = set()
    for first, last in pieces:
        numbers = range(first, last + 1)
        if taken.isdisjoint(numbers) and all(has(spans, number) for number in numbers):
            chosen.append((first, last))
            taken.update(numbers)
    return tuple(sorted(chosen))


def _of_both(
    one: Mapping[RunKey, Iterable[Span]], other: Mapping[RunKey, Iterable[Span]]
) -> dict[RunKey, tuple[Span, ...]]:
    return {key: (*one.get(key, ()), *other.get(key, ())) for key in {*one, *other}}


def union_of(several: Iterable[Parts]) -> Parts:
    """Return the parts that are in any."""
    spans: dict[RunKey, list[Spans]] = {}
    inserted: dict[RunKey, set[Fraction]] = {}
    combined: dict[RunKey, list[Span]] = {}
    for parts in several:
        for key, found in parts.spans.items():
            spans.setdefault(key, []).append(found)
        for key, fractions in parts.inserted.items():
            inserted.setdefault(key, set()).update(fractions)
        for key, pieces in parts.combined.items():
            combined.setdefault(key, []).extend(pieces)
    return _made(
        {key: union(*found) for key, found in spans.items()},
        {key: frozenset(found) for key, found in inserted.items()},
        combined,
    )


def known_parts(collected: Iterable[Parts], extent: Parts | None = None) -> Parts:
    """Return the parts that a serial is known to have.

    Args:
        collected: what each edition in the catalog collects of it.
        extent: its whole extent, if a person gave it; an end that it leaves open is closed by what is collected.

    Returns:
        The extent, with the inserted parts and the double numbers that an edition names; without one, each run from
        its first to its last part that any edition collects. An open end reaches as far as any number that is named in
        its run. Of double numbers that share a number, that of the extent counts, else that of the first edition.
    """
    every = union_of(map(_named, collected))
    found = {key: hull(spans) for key, spans in every.spans.items()}
    if extent is None:
        return _volumes_apart(_made(found, every.inserted, every.combined))
    spans = {key: _cut(spans, found.get(key, ())) for key, spans in extent.spans.items()}
    inserted = union_of((Parts({}, extent.inserted), Parts({}, _within(every, spans))))
    return _volumes_apart(_made(spans, inserted.inserted, _of_both(extent.combined, every.combined)))


def _within(every: Parts, spans: Mapping[RunKey, Spans]) -> dict[RunKey, frozenset[Fraction]]:
    ends = {key: hull(found)[0] for key, found in spans.items() if found}
    return {
        key: frozenset(one for one in found if ends[key][0] - 1 < one < ends[key][1] + 1)
        for key, found in every.inserted.items()
        if key in ends
    }


def _named(parts: Parts) -> Parts:
    return Parts({key: _closed(spans) for key, spans in parts.spans.items()}, parts.inserted, parts.combined)


def _closed(spans: Spans) -> Spans:
    """Return the spans with the open end closed at the last number that is named."""
    first, last = spans[-1]
    return (*spans[:-1], (first, first)) if last == END else spans


def _cut(spans: Spans, found: Spans) -> Spans:
    first, last = spans[-1]
    return (*spans[:-1], (first, max(first, found[-1][1] if found else first))) if last == END else spans


def _volumes_apart(known: Parts) -> Parts:
    """Return the parts without the whole volumes whose numbers are known."""
    numbered = _numbered(known.spans)
    spans = {key: difference(found, numbered.get(key, ())) for key, found in known.spans.items()}
    return _made(spans, known.inserted, known.combined)


def _numbered(keys: Iterable[RunKey]) -> dict[RunKey, Spans]:
    """Return of each level the volumes that have numbers among these runs."""
    found: dict[RunKey, list[Span]] = {}
    for key in keys:
        if len(key) == 3:
            found.setdefault(key[:1], []).append((int(key[1]), int(key[1])))
    return {level: spans_of(volumes) for level, volumes in found.items()}


def expanded(parts: Parts, known: Parts) -> Parts:
    """Return parts with each whole volume as all numbers of it, if these are known.

    What the serial is known to have of them is `expanded(parts, known) & known`; what else was named is `beyond`.
    """
    whole: list[Parts] = [parts]
    for key in known.runs():
        above = parts.spans.get(key[:1], ()) if len(key) == 3 else ()
        if above and has(above, int(key[1])):
            whole.append(_run_of(known, key))
    return union_of(whole) if len(whole) > 1 else parts


def _run_of(known: Parts, key: RunKey) -> Parts:
    return _made(
        {key: known.spans.get(key, ())},
        {key: known.inserted.get(key, frozenset())},
        {key: known.combined.get(key, ())},
    )


def beyond(parts: Parts, known: Parts) -> Parts:
    """Return the parts named that the serial is not known to have; what follows an open end is not named."""
    numbered = _numbered(known.runs())
    spans = {key: difference(found, numbered.get(key, ())) for key, found in _named(parts).spans.items()}
    return _made(spans, parts.inserted, parts.combined) - known


def doubles(pieces: Mapping[RunKey, Iterable[Span]]) -> Parts:
    """Return double numbers as parts."""
    given = {key: tuple(found) for key, found in pieces.items()}
    return _made({key: spans_of(found) for key, found in given.items()}, {}, given)


def partly(parts: Parts, known: Parts) -> Parts:
    """Return the known double numbers of which some numbers are among the parts and others are not.

    >>> known = Parts({(): ((1, 60),)}, {}, {(): ((45, 46),)})
    >>> partly(Parts({(): ((1, 45),)}), known).combined
    {(): ((45, 46),)}
    """
    return doubles(
        {
            key: [piece for piece in pieces if intersection((piece,), parts.spans.get(key, ())) not in ((), (piece,))]
            for key, pieces in known.combined.items()
        }
    )


def between(before: Parts, after: Parts) -> Parts:
    """Return the whole numbers between two pieces, in the runs that both have.

    >>> between(Parts({("v",): ((1, 4),)}), Parts({("v",): ((6, 9),)})).spans
    {('v',): ((5, 5),)}
    """
    spans: dict[RunKey, Spans] = {}
    for key in before.runs() & after.runs():
        low = before.spans[key][-1][1] if key in before.spans else floor(max(before.inserted[key]))
        high = after.spans[key][0][0] if key in after.spans else ceil(min(after.inserted[key]))
        if low + 1 < high:
            spans[key] = ((low + 1, high - 1),)
    return Parts(spans)


def part_order(key: RunKey, number: int | Fraction) -> tuple[int, str, int | Fraction, int | Fraction]:
    """Return where a part stands among those of its serial: plain numbers, volumes, then runs of their own by name.

    A whole volume stands where its numbers would.
    """
    if not key:
        return (0, "", number, 0)
    caption = str(key[0])
    rank = 1 if caption in LEVELS else 2
    return (rank, caption, int(key[1]), number) if len(key) > 1 else (rank, caption, number, 0)
