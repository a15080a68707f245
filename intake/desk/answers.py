"""Answers to what was scanned: the sign for eye and ear, the place first, and the words as a part of a page."""

from collections.abc import Sequence

from intake.desk.desk_startup import LibraryReader
from intake.desk.inspection_parts import inspection_values
from intake.desk.rendering import fragment
from intake.desk.request_state import Desk
from intake.flow.lookup.details import pictures_of
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.wording import title_words
from intake.flow.shelves.draw_place import place_line, place_svg, shelf_place
from intake.flow.shelves.find_room import Room
from intake.flow.shelves.shelve_copy import shelved_lines
from intake.flow.unpacking.advice import Advice
from intake.flow.unpacking.attention import attention
from intake.flow.unpacking.book_scan import options_of
from intake.flow.unpacking.scan_anywhere import ShelvedScan, Shown
from intake.flow.unpacking.scan_results import (
    Booked,
    BookedBefore,
    LabelScan,
    Queued,
    ScanResult,
    number_of,
    option_name,
)
from intake.flow.unpacking.station import PictureResult
from intake.model.boxes import Box, BoxState
from intake.model.editions import Copy, Edition
from intake.model.identifiers import OwnKind
from intake.model.matches import MatchVerdict


def answer_of(desk: Desk, result: ScanResult | Shown | ShelvedScan, *, several: bool = False) -> dict[str, object]:
    """Answer one scan; where several were made from one picture, each answer is short."""
    answered = result.earlier if isinstance(result, BookedBefore) else result
    match answered:
        case LabelScan():
            return _label(desk, answered)
        case Queued():
            return _question(answered)
        case Booked():
            why, seq = reasons_words(answered.why), answered.entry.seq
            scanned = answered.scan.picture.sha256 if answered.scan.picture else None
            with desk.library.reading() as records:
                answer = booked(
                    records,
                    answered.copy,
                    answered.edition,
                    why,
                    seq,
                    answered.advice,
                    several=several,
                    besides=scanned,
                )
            return {**answer, "number": answered.scan.text}
        case Shown():
            return _shown(answered)
        case ShelvedScan():
            return _shelved(answered)
        case None:
            sentence = f"{result.scan.text if isinstance(result, BookedBefore) else ''} was booked before"
            return {"kind": "stop", "sentence": sentence, "html": fragment("part_stop.html", sentence=sentence)}


def booked(
    records: LibraryReader,
    copy: Copy,
    edition: Edition,
    why: str,
    entry: int,
    advice: Advice,
    *,
    several: bool = False,
    besides: str | None = None,
) -> dict[str, object]:
    """Answer with the place where the copy that was booked goes, what it is, and what is special about it.

    Args:
        records: the library at one moment.
        copy: as it is now.
        edition: of the copy.
        why: the reasons, in words.
        entry: of the ledger.
        advice: where it goes, and remarks.
        several: whether other answers stand beside it.
        besides: SHA-256 of the picture that was scanned, which is not its cover.
    """
    room = advice.room
    place = shelf_place(room)
    pictures = pictures_of(records, copy)
    remarks = (*attention(records, copy, edition), *advice.remarks)
    html = fragment(
        "part_booked.html",
        copy=copy,
        edition=edition,
        why=why,
        names=_names(room),
        reason=room.reason,
        place=place_line(place) if place else "",
        drawing="" if several else place_svg(room),
        steps=advice.steps,
        remarks=remarks,
        entry=entry,
        several=several,
        cover=next((picture for picture in reversed(pictures) if picture != besides), None),
        compare=len(pictures) > 1,
        **inspection_values(records, copy, edition),
    )
    return {
        "kind": "good",
        "html": html,
        "copy": copy.accession,
        "entry": entry,
        "title": title_words(edition),
        **_spoken(room, remarks),
    }


def _names(room: Room) -> tuple[str, ...]:
    """Return the names of the shelf that is advised, from the room down; none where there is no shelf."""
    return room.shelf.path.names if room.shelf is not None else ()


def _spoken(room: Room, remarks: Sequence[str]) -> dict[str, object]:
    """Return what is said aloud: the place, then the first remark, which is a warning if there is any."""
    return {"place": list(_names(room)), "warning": remarks[0] if remarks else ""}


def _label(desk: Desk, label: LabelScan) -> dict[str, object]:
    with desk.library.reading() as records:
        box = records.get(Box, label.number)
    is_place = label.kind is OwnKind.PLACE
    on_trolley = box is not None and box.state is BoxState.ARRIVED
    page = "shelves" if is_place else "unpack" if on_trolley else "boxes"
    opens = f"/{page}/{label.number}" if label.words else ""
    html = fragment("part_label.html", label=label, place=is_place, opens=opens)
    title = label.words or label.number
    return {"kind": "question", "html": html, "entry": None, "opens": opens, "title": title, "shelf": is_place}


def _question(queued: Queued) -> dict[str, object]:
    html = fragment(
        "part_question.html",
        query=queued.query,
        why=reasons_words(queued.why),
        text=queued.scan.text,
        options=[(option_name(option), option) for option in options_of(queued.identification)],
        entry=queued.entry.seq,
        unknown=queued.identification.verdict is MatchVerdict.UNKNOWN,
    )
    return {
        "kind": "question",
        "html": html,
        "entry": queued.entry.seq,
        "query": queued.query.id,
        "number": queued.scan.text,
        "title": queued.scan.text,
    }


def _shown(shown: Shown) -> dict[str, object]:
    """Show what was scanned outside of an open box, with what may be done with it."""
    html = fragment("part_shown.html", **shown_values(shown))
    title = title_words(shown.offers[0].edition) if len(shown.offers) == 1 else shown.text
    only = shown.offers[0] if len(shown.offers) == 1 else None
    if only is not None and only.stands:
        return {"kind": "good", "html": html, "entry": None, "title": title, "place": [f"stands on {only.where}"]}
    place = _names(only.room) if only is not None and only.room else ()
    return {"kind": "question", "html": html, "entry": None, "title": title, "place": list(place)}


def shown_values(shown: Shown) -> dict[str, object]:
    """Return what `part_shown.html` shows."""
    return {"shown": shown, "why": reasons_words(shown.why)}


def _shelved(done: ShelvedScan) -> dict[str, object]:
    """Answer that a copy stands on the shelf whose page is open."""
    stands = f"Copy {done.copy.accession} stands here already."
    first, *excess = shelved_lines(done.shelved) if done.shelved else (stands,)
    entry = done.entry.seq if done.entry else None
    name = done.shelved.copies[-1].shelfmark if done.shelved else done.copy.shelfmark
    html = fragment(
        "part_shelved.html", first=first, excess=excess, name=name, edition=done.edition, copy=done.copy, entry=entry
    )
    return {
        "kind": "question" if excess else "good",
        "html": html,
        "copy": done.copy.accession,
        "entry": entry,
        "title": title_words(done.edition),
        "place": [name],
        "warning": excess[0] if excess else "",
    }


def frame_of(frame: PictureResult) -> dict[str, object]:
    """Return what was read in a picture, with the corners of each symbol in px."""
    return {
        "width": frame.width_px,
        "height": frame.height_px,
        "readings": [
            {
                "number": number_of(reading),
                "accepted": reading.accepted,
                "corners": [[round(x), round(y)] for x, y in reading.corners],
            }
            for reading in frame.readings
        ],
    }
