"""What a person is told about records of other systems: what was left out, converted or doubted, a line for each."""

from collections.abc import Iterable, Iterator, Mapping

from intake.edges.exchange.marc_names import field_name
from intake.edges.exchange.marc_scripts import NOT_IN_880
from intake.edges.exchange.onix_tags import SHORT_TAGS
from intake.edges.exchange.record_remarks import RecordRemark, RemarkKind
from intake.flow.lookup.server_words import NOTE_WORDS
from intake.units.advice import Advice, worded

WHAT_HAPPENED: Mapping[RemarkKind, str | Advice] = {
    RemarkKind.LEFT_OUT: "has no field here and was left out",
    RemarkKind.COPIES: "describes copies; import the file as copies too",
    RemarkKind.CONVERTED: "was converted",
    RemarkKind.DOUBTED: "cannot be right and was left out",
    RemarkKind.DELETED: (
        "changes nothing here: 'intake edition withdraw' takes out what is meant",
        "changes nothing here: withdraw what is meant on its page",
    ),
    RemarkKind.REPAIRED: "was wrong, and what was meant is certain",
}

OTHERWISE: Mapping[tuple[RemarkKind, str], str | Advice] = {
    (RemarkKind.LEFT_OUT, "shelfmark"): (
        "is given to a copy by the shelf it is put on here, and was left out; 'intake copy edit' sets another",
        "is given to a copy by the shelf it is put on here, and was left out; a copy's correction sets another",
    ),
    (RemarkKind.LEFT_OUT, "876 $c"): "is no amount with the three letters of its currency beside it, and was left out",
    (RemarkKind.LEFT_OUT, "876 $d"): "is no whole day and was left out; the cost beside it counts as if it had none",
    (RemarkKind.LEFT_OUT, "876 $d without a cost"): "dates no cost that was read, and was left out",
    (RemarkKind.LEFT_OUT, "876 $j"): "follows here from what is done with the copy, and was left out",
    (RemarkKind.LEFT_OUT, "876 $p"): "is another library's number of the copy and was left out",
    (RemarkKind.LEFT_OUT, "852 $p"): "is another library's number of the copy and was left out",
}
"""What happened where the general sentence would be untrue."""
BESIDE_880 = "has no counterpart of its own in the script of the book, and was left out so that no text mixes the two"
EXPLAINED: Mapping[str, str] = {
    "leader 00-04": "the length of the record",
    "leader 09": "the encoding: the text is UTF-8",
    "020 $q": "what is said of the number",
    "260 $c": "date of publication",
    "264 $c": "date of publication",
    "300 $a": "extent",
    "300 $c": "size",
    "holdings record": "items of an edition in another record",
    "Measure 01": "height",
    "Measure 02": "width",
    "Measure 03": "thickness",
    "Measure 08": "mass",
}
"""By place, where its name alone does not tell."""


def remark_lines(remarks: Iterable[RecordRemark]) -> Iterator[str]:
    """Yield a line for each remark; what is about the records themselves stands together in the last.

    >>> list(remark_lines([RecordRemark(RemarkKind.LEFT_OUT, "520", 2, 1, "Gulls and how to know them")]))
    ["520 (summary) has no field here and was left out: 2 times, first in record 1: 'Gulls and how to know them'"]
    """
    technical: list[str] = []
    for remark in remarks:
        if remark.kind is RemarkKind.TECHNICAL:
            technical.append(remark.where if remark.where[:3].isdigit() else _place(remark.where))
            continue
        where = _place(remark.where)
        count = "once, in" if remark.count == 1 else f"{remark.count} times, first in"
        example = f": {remark.example!r}" if remark.example else ""
        note = f" ({NOTE_WORDS[remark.note]})" if remark.note is not None else ""
        special = BESIDE_880 if remark.where.endswith(NOT_IN_880) else OTHERWISE.get((remark.kind, remark.where))
        happened = worded(special or WHAT_HAPPENED[remark.kind])
        yield f"{where} {happened}{note}: {count} record {remark.record}{example}"
    if technical:
        yield f"Left out besides, as they are about the records and not about books: {', '.join(technical)}"


def _place(where: str) -> str:
    """Return a part of a record with what a person may know it by.

    >>> _place("490 $x"), _place("EditionType"), _place("Price 01")
    ('490 $x (series statement)', 'EditionType (x419)', 'Price 01')
    """
    name = field_name(where) if where[:3].isdigit() else SHORT_TAGS.get(where, "")
    name = EXPLAINED.get(where) or name
    return f"{where} ({name})" if name else where


NO_PLACE = "{where} has no place in this format: not written for {count}, such as {example!r}"
NOT_WRITTEN: Mapping[str, str | Advice] = {
    "no name": "{count} of an edition with neither key nor number, such as {example!r}: a list cannot name it, "
    "so give it a key before the file is imported again",
    "shared number": "{count} of an edition that shares its number with another and has no key, such as {example}: "
    "give it a key before the file is imported again",
    "no key": "{count} have neither key nor number, such as {example!r}; their records are called edition-1 and so on, "
    "which another library takes for their keys",
    "state": "the state of copies ({count}), such as {example!r}, is not written, nor where they are",
    "value": "values are not written to records that go to others (copies with one: {count}); use .csv or .xlsx",
    "price": "prices are not written to records that go to others (editions with one: {count}); use .csv or .xlsx",
    "why": "why a thing is kept is not written to records that go to others (stated of {count}); use .csv or .xlsx",
    "kept": "what is never to go is not written to records that go to others (copies: {count}); use .csv or .xlsx",
    "no copies": "editions without a copy to be written are in no record of this file ({count}), such as {example!r}",
    "withdrawn copies": (
        "copies that were withdrawn are not written ({count}); 'intake export everything' keeps them",
        "copies that were withdrawn are not written ({count}); an export of everything keeps them",
    ),
    "other values": (
        (
            "one value of each copy is written, the one that counts; not written besides, as earlier values or prices "
            "paid: {count}; 'intake export everything' keeps them"
        ),
        (
            "one value of each copy is written, the one that counts; not written besides, as earlier values or prices "
            "paid: {count}; an export of everything keeps them"
        ),
    ),
    "control characters": "{count} texts held characters that no record can hold, replaced by blanks: {example!r}",
}


def export_lines(remarks: Iterable[RecordRemark]) -> Iterator[str]:
    """Yield a line for each thing that an exported file does not hold.

    >>> list(export_lines([RecordRemark(RemarkKind.LEFT_OUT, "hs_heading", 3, 1, "4901.99")]))
    ["hs_heading has no place in this format: not written for 3, such as '4901.99'"]
    """
    for remark in remarks:
        sentence = worded(NOT_WRITTEN.get(remark.where, NO_PLACE))
        yield sentence.format(where=remark.where, count=remark.count, example=remark.example)
