"""Answers to what was scanned: the sign for eye and ear, and the words as a part of a page."""

from intake.desk.desk_startup import LibraryReader
from intake.desk.rendering import fragment
from intake.desk.request_state import Desk
from intake.flow.lookup.reason_words import reasons_words
from intake.flow.lookup.two_versions import version_of
from intake.flow.unpacking.advice import Advice
from intake.flow.unpacking.attention import attention
from intake.flow.unpacking.book_scan import options_of
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
from intake.model.condition import PARTS, split_parts
from intake.model.editions import Copy, Edition, Grade, Printing
from intake.model.identifiers import OwnKind
from intake.model.matches import MatchVerdict


def answer_of(desk: Desk, result: ScanResult, *, several: bool = False) -> dict[str, object]:
    """Answer one scan; where several were made from one picture, each answer is short."""
    answered = result.earlier if isinstance(result, BookedBefore) else result
    match answered:
        case LabelScan():
            html = fragment("part_label.html", label=answered, place=answered.kind is OwnKind.PLACE)
            return {"kind": "question", "html": html, "entry": None}
        case Queued():
            return _question(answered)
        case Booked():
            why, seq = reasons_words(answered.why), answered.entry.seq
            with desk.library.reading() as records:
                return booked(records, answered.copy, answered.edition, why, seq, answered.advice, several=several)
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
) -> dict[str, object]:
    """Answer with the copy that was booked, where it goes and what is special about it."""
    html = fragment(
        "part_booked.html",
        copy=copy,
        edition=edition,
        why=why,
        where=advice.where,
        shelf=advice.shelf,
        steps=advice.steps,
        remarks=(*attention(records, copy, edition), *advice.remarks),
        entry=entry,
        several=several,
        version=version_of(records),
        grades=list(Grade),
        parts=PARTS,
        defects=split_parts(copy.condition),
        printing=records.get(Printing, copy.printing_id) if copy.printing_id is not None else None,
    )
    return {"kind": "good", "html": html, "copy": copy.accession, "entry": entry}


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
    return {"kind": "question", "html": html, "entry": queued.entry.seq, "query": queued.query.id}


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
