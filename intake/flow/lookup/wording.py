"""Looking things up for a person: what is where, and what happened to it."""

import re
from collections.abc import Iterable, Mapping, Sequence

from intake.edges.store.queries.boxes import taken_out_of
from intake.edges.store.queries.shelves import place_paths
from intake.edges.store.queries.withdrawals import withdrawals_of
from intake.edges.store.reader import LibraryReader
from intake.identifiers.parse import parse
from intake.model.currencies import amount_text
from intake.model.editions import Copy, CopyState, Edition, Printing
from intake.model.identifiers import Identifier
from intake.model.places import PlacePath
from intake.model.volumes import ends_with_volume
from intake.model.withdrawals import Withdrawal
from intake.units.convert import exact_kg_text
from intake.units.language import say, say_as, say_of, term, terms
from intake.units.local_forms import day_text


def edition_words(edition: Edition) -> str:
    """Write what distinguishes an edition from others of its title: statement, binding, year."""
    year = str(edition.year) if edition.year else ""
    return ", ".join(part for part in (edition.statement, edition.binding, year) if part)


def title_words(edition: Edition) -> str:
    """Write the title with its volume ("Divers and Petrels, vol. 1"), once where the title ends with it already."""
    if not edition.volume or ends_with_volume(edition.title, edition.volume):
        return edition.title
    return f"{edition.title}, {volume_words(edition, 'vol.')}"


def title_ending(edition: Edition) -> str:
    """Return how `title_words` ends where that names the volume; empty where it does not, or in other words.

    >>> title_ending(Edition(id=1, title="Gulls", volume="3")), title_ending(Edition(id=1, title="Gulls"))
    ('vol. 3', '')
    """
    title = title_words(edition)
    endings = (volume_words(edition, "vol."), edition.volume)
    return next((words for words in endings if words and title.endswith(words)), "")


def volume_words(edition: Edition, word: str = "Volume") -> str:
    """Write the volume as its set designates it; a bare number, arabic or roman, is said to be a volume's.

    >>> volume_words(Edition(id=1, title="Ferns", volume="1-6")), volume_words(Edition(id=1, title="", volume="2019/1"))
    ('Volumes 1-6', '2019/1')
    """
    return _designation_words([edition.volume], word)


def volumes_words(designations: Sequence[str], word: str = "volume") -> str:
    """Write several volumes of a set, each as the set designates it.

    >>> volumes_words(["3"]), volumes_words(["2", "IV", "Atlas"]), volumes_words(["2", "2019/1"])
    ('volume 3', 'volumes 2 and IV, Atlas', 'volume 2, 2019/1')
    """
    bare = [name for name in designations if _BARE.fullmatch(name)]
    named = [name for name in designations if not _BARE.fullmatch(name)]
    return ", ".join(filter(None, (_designation_words(bare, word), *named)))


_VOLUME_WORDS = {
    "vol.": terms("vol. {volumes}", "vols. {volumes}"),
    "volume": terms("volume {volumes}", "volumes {volumes}"),
    "Volume": terms("Volume {volumes}", "Volumes {volumes}"),
}
_FIGURE = r"(?:\d+|[IVXLC]+)"
_RANGE = re.compile(rf"{_FIGURE}\s*[-\u2010-\u2015]\s*{_FIGURE}")
_BARE = re.compile(rf"{_FIGURE}|{_RANGE.pattern}")


def _designation_words(designations: Sequence[str], word: str) -> str:
    """Write designations that are all bare numbers or ranges of them, after the word; another one as it stands."""
    if not all(map(_BARE.fullmatch, designations)):
        return ", ".join(designations)
    if not designations:
        return ""
    *first, last = designations
    several = bool(first) or _RANGE.fullmatch(last) is not None
    volumes = say("{names} and {last}", names=", ".join(first), last=last) if first else last
    return say_of(1 + several, *_VOLUME_WORDS[word], volumes=volumes)


def volume_is(edition: Edition) -> str:
    """Write the volume and the verb after it ("Volume 1 is", "Volumes 7-8 are")."""
    words = volume_words(edition)
    return f"{words} {'are' if words.startswith('Volumes ') else 'is'}"


def whole_words(edition: Edition) -> str:
    """Write the title, the volume and what distinguishes the edition from others, as one line."""
    words = edition_words(edition)
    return f"{title_words(edition)} ({words})" if words else title_words(edition)


def measure_words(edition: Edition) -> str:
    """Write what is stated of size and mass; empty where nothing is.

    >>> measure_words(Edition(id=1, title="Ferns", height_mm=315, thickness_mm=31, mass_g=2150))
    '315 mm high, 31 mm thick, 2.150 kg'
    """
    sides = ((edition.height_mm, "high"), (edition.width_mm, "wide"), (edition.thickness_mm, "thick"))
    sizes = [f"{figure:g} mm {side}" for figure, side in sides if figure is not None]
    return ", ".join([*sizes, exact_kg_text(edition.mass_g)] if edition.mass_g is not None else sizes)


def path_words(path: PlacePath) -> str:
    """Write where a place is as a person finds it, from the room down.

    >>> path_words(PlacePath(("Study", "A", "3")))
    'Study · A · 3'
    """
    return names_joined(path.names)


def names_joined(names: Iterable[str]) -> str:
    """Write the names of places, each of which is in the one before, in a row."""
    return " · ".join(names)


def where_words(reader: LibraryReader, copy: Copy) -> str:
    """Write where a copy is, as far as is known."""
    return where_each_is(reader, [copy])[copy.accession]


def where_each_is(reader: LibraryReader, copies: Iterable[Copy]) -> dict[str, str]:
    """Write where each of these copies is, as far as is known, by its accession number."""
    copies = list(copies)
    paths = place_paths(reader, [copy.place for copy in copies if copy.place])
    gone = withdrawals_of(reader, [copy.accession for copy in copies if copy.state is CopyState.WITHDRAWN])
    out_of = boxes_of_loose(reader, copies, paths)
    return {
        copy.accession: withdrawal_words(gone[copy.accession])
        if copy.accession in gone
        else place_words(copy, paths.get(copy.place or ""), out_of.get(copy.accession))
        for copy in copies
    }


def boxes_of_loose(reader: LibraryReader, copies: Iterable[Copy], paths: Mapping[str, PlacePath]) -> dict[str, str]:
    """Return the box that each copy came out of which is unpacked and stands nowhere yet."""
    loose = (copy.accession for copy in copies if copy.state is CopyState.UNPACKED and copy.place not in paths)
    return taken_out_of(reader, loose)


def place_words(copy: Copy, path: PlacePath | None, out_of: str | None) -> str:
    """Write where a copy is that is here: on its shelf, out of a box, or in one; empty where that is not known."""
    if path is not None:
        return path_words(path)
    if out_of is not None:
        if not copy.box or copy.box == out_of:
            return say("out of box {box}", box=out_of)
        return say("out of box {box}, listed in box {listed}", box=out_of, listed=copy.box)
    return say("box {box}", box=copy.box) if copy.box else ""


def withdrawal_words(withdrawal: Withdrawal) -> str:
    """Write why, when and for what amount a copy left the collection ("sold 2026-05-01, EUR 40.00")."""
    amount = "" if withdrawal.amount is None else amount_text(withdrawal.amount, withdrawal.currency)
    return ", ".join(
        filter(None, (f"{say(withdrawal.reason.value)} {day_text(withdrawal.on)}", amount, withdrawal.note))
    )


def written_number(edition: Edition) -> str:
    """Write an edition's number with its hyphens and supplement; empty where it has none."""
    if edition.number is None:
        return ""
    identifier = parse(edition.number)
    written = identifier.written if isinstance(identifier, Identifier) else edition.number
    return f"{written} + {edition.add_on}" if edition.add_on else written


_COPY_FIELDS: Mapping[str, str] = {
    "accession": term("number"),
    "edition_id": term("edition"),
    "printing_id": term("printing"),
    "state": term("state"),
    "box": term("box"),
    "place": term("shelf"),
    "position": term("position on the shelf"),
    "shelfmark": term("shelfmark"),
    "grade": term("condition"),
    "jacket": term("condition of the jacket"),
    "has_jacket": term("dust jacket"),
    "wrapped": term("still wrapped"),
    "condition": term("defects"),
    "note": term("note"),
    "sewing": term("sewing"),
    "covering": term("covering"),
    "finish": term("finish"),
    "slipcase": term("slipcase"),
    "signed": term("signed"),
    "limitation": term("number in the limitation"),
    "kept": term("never to go"),
    "why": term("why it is kept"),
}


def copy_field_words(name: str) -> str:
    """Write what a field of a copy's record is; one of another program's record is said as it is named.

    >>> copy_field_words("has_jacket")
    'dust jacket'
    """
    words = _COPY_FIELDS.get(name)
    return say(words) if words else name.replace("_", " ")


_EDITION_FIELDS: Mapping[str, str] = {
    "edition_id": "edition",
    "set_id": "set",
    "statement": "edition statement",
    "printed_in": "country of printing",
    "hs_heading": "HS heading",
    "why": "why it is kept",
    "height_mm": "height in mm",
    "width_mm": "width in mm",
    "thickness_mm": "thickness in mm",
    "mass_g": "mass in g",
    "ordinal": "printing",
}


def edition_field_words(name: str) -> str:
    """Write what a field of the record of an edition, a printing or a set is.

    >>> edition_field_words("height_mm"), edition_field_words("call_number")
    ('height in mm', 'call number')
    """
    return _EDITION_FIELDS.get(name, name.replace("_", " "))


def plain_value_words(value: object) -> str:
    """Write the value of a field as it stands in a record; several with semicolons between.

    >>> plain_value_words(("Ima Ginary", "Éve Nonesuch")), plain_value_words(240.0), plain_value_words(())
    ('Ima Ginary; Éve Nonesuch', '240', 'none')
    """
    if isinstance(value, float):
        return f"{value:g}"
    return field_value_words("; ".join(map(str, value)) if isinstance(value, tuple) else value)


def field_value_words(value: object) -> str:
    """Write a plain value of a record.

    >>> field_value_words(True), field_value_words(""), field_value_words("packed")
    ('yes', 'none', 'packed')
    """
    if isinstance(value, bool):
        return say("yes") if value else say("no")
    return say_as("value of a field", "none") if value in (None, "") else str(value)


def printing_ordinal_words(printing: Printing) -> str:
    """Write which printing it is, or the number line that does not tell."""
    if printing.ordinal is not None:
        return str(printing.ordinal)
    line = printing.number_line
    return say("unknown ({number_line})", number_line=line) if line else say("unknown")
