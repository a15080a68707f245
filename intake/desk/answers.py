"""Answers to what was scanned: the sign for eye and ear, and the words as a part of a page."""

from intake.desk.rendering import fragment
from intake.desk.request_state import Desk
from intake.desk.startup import LibraryReader
from intake.flow.unpacking.advice import Advice
from intake.flow.unpacking.attention import attention
from intake.flow.unpacking.book_scan import Option, ScanOutcome, options_of
from intake.flow.unpacking.station import LabelScan, PictureResult, ScanResult
from intake.model.editions import Copy, Edition, Grade, Printing
from intake.model.identifiers import OwnKind
from intake.model.matches import MatchVerdict
from intake.valuing.condition import PARTS, split_parts


def option_key(option: Option) -> str:
    """Name an answer so that it means the same in the next request, or nothing."""
    return f"{option.act}/{option.edition.id}/{option.copy.accession if option.copy else ''}"


def answer_of(desk: Desk, outcome: ScanResult, *, several: bool = False) -> dict[str, object]:
    """Answer one thing that was taken; of several in one picture each is said shortly."""
    if isinstance(outcome, LabelScan):
        html = fragment("part_label.html", label=outcome, place=outcome.kind is OwnKind.PLACE)
        return {"kind": "question", "html": html, "entry": None}
    with desk.library.reading() as records:
        if outcome.query is not None:
            return _question(outcome)
        if outcome.copy is None:
            sentence = f"{outcome.scan.text}: {outcome.why}"
            return {"kind": "stop", "sentence": sentence, "html": fragment("part_stop.html", sentence=sentence)}
        edition = outcome.option.edition if outcome.option else records.get(Edition, outcome.copy.edition_id)
        seq = outcome.entry.seq if outcome.entry else None
        if edition is None:
            return {"kind": "stop", "sentence": outcome.why, "html": fragment("part_stop.html", sentence=outcome.why)}
        return booked(records, outcome.copy, edition, outcome.why, seq, outcome.advice, several=several)


def booked(
    records: LibraryReader,
    copy: Copy,
    edition: Edition,
    why: str,
    entry: int | None,
    advice: Advice | None,
    *,
    several: bool = False,
) -> dict[str, object]:
    """Say what was booked, where it goes and what is special about it."""
    html = fragment(
        "part_booked.html",
        copy=copy,
        edition=edition,
        why=why,
        where=advice.where if advice else "",
        steps=advice.steps if advice else (),
        remarks=(*attention(records, copy, edition), *(advice.remarks if advice else ())),
        entry=entry,
        several=several,
        grades=list(Grade),
        parts=PARTS,
        held=split_parts(copy.condition),
        printing=records.get(Printing, copy.printing_id) if copy.printing_id is not None else None,
    )
    return {"kind": "good", "html": html, "copy": copy.accession, "entry": entry}


def _question(outcome: ScanOutcome) -> dict[str, object]:
    options = outcome.weighed.candidates and options_of(outcome.weighed)
    html = fragment(
        "part_question.html",
        query=outcome.query,
        why=outcome.why,
        text=outcome.scan.text,
        options=[(option_key(option), option) for option in options or ()],
        entry=outcome.entry.seq if outcome.entry else None,
        unknown=outcome.weighed.verdict is MatchVerdict.UNKNOWN,
    )
    return {"kind": "question", "html": html, "entry": outcome.entry.seq if outcome.entry else None}


def frame_of(frame: PictureResult) -> dict[str, object]:
    """Say where in a picture what was read."""
    return {
        "width": frame.width_px,
        "height": frame.height_px,
        "readings": [
            {
                "number": f"{reading.number} {reading.add_on}" if reading.add_on else reading.number,
                "accepted": reading.accepted,
                "corners": [[round(x), round(y)] for x, y in reading.corners],
            }
            for reading in frame.readings
        ],
    }
