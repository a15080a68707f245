from pathlib import Path

from intake.model.changes import Action, ActionKind, made
from intake.model.editions import BookSet
from tests.counting import count_statements
from tests.made_library import new_library

IMPORT = ActionKind.IMPORT_EDITIONS


def test_statements_and_transactions_are_counted_and_their_bounds_are_not(tmp_path: Path) -> None:
    with new_library(tmp_path / "library") as library:
        with count_statements(library) as reading, library.reading() as records:
            records.get(BookSet, 1)
            records.all(BookSet)
        assert (reading.statements, reading.transactions, reading.writing) == (2, 1, 0)
        with count_statements(library) as writing:
            library.apply(
                Action(IMPORT, "set"),
                made(BookSet(id=1, title="Herbal"), BookSet(id=2, title="Mosses")),
            )
        assert (writing.transactions, writing.writing) == (1, 1)
        assert sum(statement.startswith("INSERT INTO book_set") for statement in writing.asked) == 1
