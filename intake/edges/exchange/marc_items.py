"""The copies that a MARC 21 record describes (852 location, 876 item information), in and out.

An item is named by its piece designation ($p). What our copies have and MARC has no subfield for stands in the
repeatable nonpublic notes of 876 ($x), each under a name ("grade: Near Fine"). Values are never written: a record goes
to other people. Read are the cost ($c) and the day acquired ($d) that dates it. Source: MARC 21 Format for Holdings
Data (Library of Congress).
"""

import re
from collections.abc import Iterator, Sequence
from datetime import date

from intake.edges.exchange.marc_editions import check_usable, is_holdings, own_key
from intake.edges.exchange.marc_fields import MarcField, MarcRecord, Subfield
from intake.edges.exchange.marc_numbers import number_cells
from intake.edges.exchange.marc_scripts import by_tag
from intake.edges.exchange.outgoing import OutgoingCopy, jacket_text
from intake.edges.exchange.record_remarks import Remarks
from intake.model.editions import CopyState
from intake.model.valuations import Basis

NAMED = ("box", "room", "printing", "grade", "jacket", "wrapped")
"""The names of the notes in 876 $x that are read back."""
_NAMED = re.compile(rf"({'|'.join(NAMED)}): (.*)", re.DOTALL)
_ACCESSION = re.compile(r"A[0-9]+-[0-9]{2}")
USED_852, USED_876 = "hipqxz86", "cdpxz86"
_COST = re.compile(
    r"(?P<before>[0-9]+(?:\.[0-9]{1,3})?) ?(?P<code>[A-Z]{3})|(?P<letters>[A-Z]{3}) ?(?P<after>[0-9]+(?:\.[0-9]{1,3})?)"
)


def copy_cells(record: MarcRecord, remarks: Remarks) -> list[dict[str, str]]:
    """Return the cells of each copy, by the field names of a box list; `shelfmark` besides.

    Args:
        record: bibliographic, or a holdings record whose 004 names one.
        remarks: what has no cell is noted here.

    Raises:
        RecordError: the record describes neither.
    """
    check_usable(record)
    fields = by_tag(record)
    named = _edition_named(record)
    for tag in ("853", "854", "855", "863", "864", "865", "866", "867", "868", "877", "878"):
        for field in fields.get(tag, ()):
            remarks.left_out(tag, field.text)
    pairs = _pairs(fields.get("852", ()), fields.get("876", ()))
    return [_cells(named, location, item, remarks) for location, item in pairs]


def _edition_named(record: MarcRecord) -> dict[str, str]:
    """Return the cells that name the edition: its key, its number, or both; not every library has the same key."""
    if is_holdings(record):
        linked = next((field.data.strip() for field in record.having("004")), "")
        giver = next((field.data.strip() for field in record.having("003")), "")
        return {"key": f"({giver}){linked}" if giver and linked else linked}
    number, add_on = number_cells(by_tag(record), Remarks())  # what it notes is noted with the editions
    return {"key": own_key(record, number), "isbn": f"{number} {add_on}".strip()}


def _pairs(
    locations: Sequence[MarcField], items: Sequence[MarcField]
) -> Iterator[tuple[MarcField | None, MarcField | None]]:
    """Yield location and item of each copy; a location that several items share stands with each of them."""
    used: list[MarcField] = []
    for item in items:
        location = next((field for field in locations if _is_of(field, item)), None)
        if location is None and len(locations) == 1 and not locations[0].first("p"):
            location = locations[0]
        if location is not None:
            used.append(location)
        yield location, item
    yield from ((location, None) for location in locations if not any(location is one for one in used))


def _is_of(location: MarcField, item: MarcField) -> bool:
    if location.first("p") and item.first("p"):
        return location.first("p") == item.first("p")
    link = location.first("8").partition(".")[0]
    return bool(link) and link == item.first("8").partition(".")[0]


def _cells(
    named: dict[str, str], location: MarcField | None, item: MarcField | None, remarks: Remarks
) -> dict[str, str]:
    place, piece = location or MarcField("852"), item or MarcField("876")
    cells = {
        **named,
        "copy": _accession(piece if piece.first("p") else place, remarks),
        "shelfmark": " ".join(place.all("hi")),
        "condition": place.first("q"),
        "note": "; ".join((*place.all("z"), *piece.all("z"))),
    }
    cells |= _cost(piece, remarks)
    for note in (*place.all("x"), *piece.all("x")):
        if (known := _NAMED.fullmatch(note)) and known[1] not in cells:
            cells[known[1]] = known[2]
        else:
            remarks.left_out("876 $x", note)
    for field, used in ((place, USED_852), (piece, USED_876)):
        for code, value in field.subfields:
            if code not in used and value.strip():
                remarks.left_out(f"{field.tag} ${code}", value)
    return {name: text for name, text in cells.items() if text}


def _cost(item: MarcField, remarks: Remarks) -> dict[str, str]:
    """Return the cost of an item ($c, what was paid for it) where it is an amount and a currency: '12.50 GBP'.

    The day on which the item was acquired ($d) is that of the cost; without a cost it has no cell.
    """
    text, day = item.first("c"), item.first("d")
    found = _COST.fullmatch(text)
    if found is None:
        if text:
            remarks.left_out("876 $c", text)
        if day:
            remarks.left_out("876 $d without a cost", day)
        return {}
    amount, currency = (found["after"], found["letters"]) if found["after"] else (found["before"], found["code"])
    cells = {"value": amount, "currency": currency, "basis": Basis.PURCHASE.value}
    try:
        return {**cells, "valued_on": date.fromisoformat(day).isoformat()} if day else cells
    except ValueError:
        remarks.left_out("876 $d", day)
        return cells


def _accession(field: MarcField, remarks: Remarks) -> str:
    """Return the piece designation where it is one of this tool's numbers; another library's is noted."""
    text = field.first("p")
    if text and not _ACCESSION.fullmatch(text):
        remarks.left_out(f"{field.tag} $p", text)
        return ""
    return text


def item_fields(outgoing: OutgoingCopy) -> Iterator[MarcField]:
    """Yield the fields of one copy: where it belongs and how it is, and the item itself.

    The box is named only while the copy lies in it.
    """
    copy = outgoing.copy
    place = [("h", copy.shelfmark), ("p", copy.accession), ("q", copy.condition), ("z", copy.note)]
    scheme = "8" if copy.shelfmark else " "
    yield MarcField("852", f"{scheme} ", [(code, text) for code, text in place if text])
    is_packed = copy.box is not None and copy.state is CopyState.PACKED
    notes = {
        "box": (copy.box or "") if is_packed else "",
        "room": outgoing.room if is_packed else "",
        "printing": "" if outgoing.printing is None else str(outgoing.printing),
        "grade": copy.grade.value if copy.grade else "",
        "jacket": jacket_text(copy),
        "wrapped": "yes" if copy.wrapped else "",
    }
    named: list[Subfield] = [("x", f"{name}: {text}") for name, text in notes.items() if text]
    yield MarcField("876", "  ", [("p", copy.accession), ("j", copy.state.value), *named])
