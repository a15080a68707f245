"""First steps, from an empty library to books on their shelves; and the archives that are in the library's folder."""

from dataclasses import dataclass

from starlette.requests import Request
from starlette.responses import FileResponse, Response

from intake.desk.daily_backup import backup_line
from intake.desk.refusals import refusal
from intake.desk.rendering import page, text_of
from intake.desk.request_state import desk_of
from intake.flow.lookup.status import library_status
from intake.flow.moving.progress import progress
from intake.flow.safekeeping.backups import archives_beside
from intake.flow.shelves.shelf_list import shelf_list
from intake.model.boxes import BoxState

ARCHIVES_SHOWN = 20


@dataclass(frozen=True, slots=True)
class FirstStep:
    """One of the first steps: whether it is done (None: nobody can tell), what it is for, and where it is taken."""

    is_done: bool | None
    title: str
    why: str
    ways: tuple[tuple[str, str], ...]


def show_start(request: Request) -> Response:
    """Show what is done already on the way from a list to books on shelves, and what comes next."""
    with desk_of(request).library.reading() as records:
        counts = library_status(records).counts
        move = progress(records)
        shelves = shelf_list(records, "", 0, 1).total
    states = {row.box.state for row in move.boxes}
    is_filled = any(row.listed for row in move.boxes)
    steps = (
        FirstStep(
            is_done=counts.editions > 0,
            title="Bring a list of your books",
            why=(
                "Any table that you have; one with titles and boxes is brought as both, the same file. You see "
                "what was understood of it before anything changes."
            ),
            ways=(
                ("/steps/import?kind=editions", "A catalog: one row a title"),
                ("/steps/import?kind=copies", "An inventory or box lists: one row a copy"),
            ),
        ),
        FirstStep(
            is_done=bool(move.boxes),
            title="Pack them, if they are still to move",
            why="A plan fills boxes that can be lifted. Books that have arrived already are packed in your lists.",
            ways=(
                ("/steps/plan", "Plan the boxes"),
                ("/steps/open", "Open a box"),
                ("/steps/import?kind=boxes", "Bring a list of boxes"),
            ),
        ),
        FirstStep(
            is_done=shelves > 0,
            title="Make shelves",
            why="The desk tells for each book where it goes, and what has to move for it.",
            ways=(("/steps/bookcase", "Make a bookcase"), ("/steps/import?kind=places", "Bring a list of shelves")),
        ),
        FirstStep(
            is_done=None,
            title="Print labels",
            why="For boxes, shelves and books: what has a label can be scanned. Print them again whenever you wish.",
            ways=(
                ("/papers?paper=box-labels#chosen", "Box labels"),
                ("/papers?paper=shelf-labels#chosen", "Shelf labels"),
            ),
        ),
        FirstStep(
            is_done=bool(states & {BoxState.ARRIVED, BoxState.UNPACKED}),
            title="Check the boxes in, and unpack",
            why="With what is seen of carton and seal, before they are opened: a claim rests on it.",
            ways=(("/steps/arrive", "Check boxes in"), ("/", "Unpack")),
        ),
        FirstStep(
            is_done=is_filled and states == {BoxState.UNPACKED},
            title="Finish each box, and claim what is missing",
            why="The carrier's notice period may be a few days.",
            ways=(
                ("/steps/reconcile", "What is missing or damaged"),
                ("/steps/consign", "Name the carrier’s consignment"),
                ("/steps/claim", "What the carrier owes"),
            ),
        ),
        FirstStep(
            is_done=None,
            title="Value, insure and back up",
            why="A schedule for the insurer, and one archive of everything on another disk.",
            ways=(
                ("/steps/total", "What everything is worth"),
                ("/papers?paper=insurance#chosen", "Schedule for the insurer"),
                ("/steps/backup", "Write a backup"),
            ),
        ),
    )
    next_step = next((nth for nth, step in enumerate(steps) if step.is_done is False), None)
    return page(
        request, "start.html", steps=steps, next_step=next_step, is_empty=not counts.editions and not move.boxes
    )


def show_keeping(request: Request) -> Response:
    """Show how old the last backup is, and the archives that can be saved."""
    library = desk_of(request).library
    with library.reading() as records:
        entries = library_status(records).counts.entries
    archives = [(path.name, path.stat().st_size) for path in archives_beside(library.folder)[:ARCHIVES_SHOWN]]
    return page(request, "keeping.html", backup=backup_line(library.folder, entries), archives=archives)


def save_archive(request: Request) -> Response:
    """Hand an archive over, to be kept elsewhere."""
    name = text_of(request.path_params["name"])
    # The path is that of a file that is there, never made from what was asked for.
    path = next((path for path in archives_beside(desk_of(request).library.folder) if path.name == name), None)
    if path is None:
        return refusal(
            request, 404, "This archive", "is not in the library's folder", "look at the list of those that are"
        )
    return FileResponse(path, filename=f"intake-{path.name}", media_type="application/zip")


def archive_question(request: Request) -> str:
    """Return the question for saving an archive: it holds everything."""
    return f"save the backup {text_of(request.path_params['name'])}, which holds the whole library"
