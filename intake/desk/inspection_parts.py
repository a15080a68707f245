"""The part of a page by which a copy is inspected, and help while its number line or year is typed."""

from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from intake.desk import desk_startup
from intake.desk.desk_startup import LibraryReader
from intake.desk.rendering import id_of, text_of
from intake.desk.request_state import desk_of
from intake.flow.condition.binding_help import SLIPCASE, binding_questions, clue_line, printing_clues
from intake.flow.condition.book_regions import REGIONS
from intake.flow.condition.confirm_condition import can_be_confirmed
from intake.flow.condition.reported_damage import reported_damage
from intake.flow.condition.typed_imprint import line_help, year_help
from intake.flow.lookup.two_versions import version_of
from intake.model.condition import PARTS, split_parts
from intake.model.editions import Copy, Edition, Grade, Printing

CLEAN = Grade.FINE
"""What one touch records of a book without a defect; whether it is as new is for a person to say by the grades."""


def inspection_values(records: LibraryReader, copy: Copy, edition: Edition) -> dict[str, object]:
    """Return what `part_inspection.html` shows of a copy."""
    defects = split_parts(copy.condition)
    damage = reported_damage(records, copy)
    is_unjudged = copy.grade is None and not copy.wrapped and not damage
    return {
        "version": version_of(records),
        "grades": list(Grade),
        "parts": PARTS,
        "regions": REGIONS,
        "defects": defects,
        "printing": records.get(Printing, copy.printing_id) if copy.printing_id is not None else None,
        "bindings": binding_questions(copy),
        "slipcase": SLIPCASE,
        "clues": [clue_line(clue) for clue in printing_clues(records, copy, edition)],
        # Of a wrapped book nothing is known, and one with a defect, or reported damaged, is not clean.
        "clean": CLEAN if is_unjudged and not any(map(defects.get, PARTS)) else None,
        "damage": damage,
        "as_recorded": can_be_confirmed(records, copy),
    }


def help_imprint(request: Request) -> Response:
    """Tell what a number line or a year states that is being typed."""
    asked = request.query_params
    with desk_of(request).library.reading() as records:
        copy = records.get(Copy, text_of(asked.get("copy", "")))
        number = copy.edition_id if copy is not None else id_of(asked.get("edition", ""))
        edition = records.get(Edition, number)
        text = text_of(asked.get("text", ""))
        if asked.get("field") == "year":
            message = year_help(records, edition, text, today=desk_startup.today())
        else:
            message = line_help(records, edition, text)
    return JSONResponse({"message": message})
