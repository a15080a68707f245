"""Shelving plans as sentences, one for each action."""

from collections.abc import Sequence

from intake.model.shelving import Book
from intake.shelving.make_room import FilledShelf, RoomPlan, Shift
from intake.shelving.moves import Step


def room_sentences(plan: RoomPlan, shelves: Sequence[FilledShelf], new: Sequence[Book]) -> tuple[str, ...]:
    """Return how to make room for a book, and where to put it.

    Args:
        plan: from `intake.shelving.make_room`.
        shelves: the shelves that it was made for.
        new: the new book and its reserved space, as given to it.
    """
    lines = [_shift(shift, shelves) for shift in plan.shifts]
    where = shelves[plan.target].space.name
    behind = next((book for book in reversed(plan.before) if book.copy), None)
    ahead = next((book for book in plan.after if book.copy), None)
    start = "Then put it" if lines else "Put it"
    if behind is not None:
        lines.append(f"{start} on {where}, right after {_called(behind)}.")
    elif ahead is not None:
        lines.append(f"{start} at the front of {where}, before {_called(ahead)}.")
    else:
        lines.append(f"{start} on {where}, where no {'other book stands then' if lines else 'book is recorded yet'}.")
    lines += _kept(plan, new)
    return tuple(lines)


def step_sentence(step: Step, names: dict[str, str]) -> str:
    """Return the instruction for one step of a rearrangement.

    Args:
        step: from `intake.shelving.moves`.
        names: names of the shelves, by number.
    """
    what = _books(step.books)
    origin = (
        names[step.origin] if step.origin else "where you put them down" if len(step.books) > 1 else "where it lies"
    )
    if step.target is None:
        return f"Put {what} from {origin} aside for now."
    where = f"right after {_called(step.behind)}" if step.behind else "to the front"
    if step.origin == step.target:
        return f"On {origin}, move {what} {where}."
    return f"Move {what} from {origin} to {names[step.target]}, {where}."


def _shift(shift: Shift, shelves: Sequence[FilledShelf]) -> str:
    origin, target = shelves[shift.origin].space.name, shelves[shift.target].space.name
    last = shift.target > shift.origin
    moved = [book for book in shift.books if book.copy]
    count = "" if len(moved) == 1 else f"{len(moved)} "
    edge = f"from {_called(moved[0])} on" if last else f"up to {_called(moved[-1])}"
    which = _called(moved[0]) if len(moved) == 1 else edge
    return (
        f"Move the {'last' if last else 'first'} {count or 'book '}of {origin} ({which}) "
        f"to the {'front' if last else 'end'} of {target}."
    )


def _kept(plan: RoomPlan, new: Sequence[Book]) -> list[str]:
    """Return how much space to leave beside the book for volumes to come."""
    reserved = {id(book) for book in new if not book.copy}
    sentences = []
    for side, books in (("before", plan.before), ("after", plan.after)):
        spaces = [book for book in books if id(book) in reserved]
        if spaces:
            width = sum(book.thickness_mm for book in spaces)
            sentences.append(f"Leave {width:.0f} mm free {side} it for {_listed([book.name for book in spaces])}.")
    return sentences


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _books(books: Sequence[Book]) -> str:
    if len(books) == 1:
        return _called(books[0])
    return f"{len(books)} books, {_called(books[0])} to {_called(books[-1])},"


def _called(book: Book) -> str:
    return f"{book.copy} '{book.name}'"
