"""What an entry changed, in words, against the records before and after it."""

from dataclasses import replace

from intake.edges.store.library import Library
from intake.flow.lookup.entry_changes import step_changes
from intake.flow.lookup.history import history_of_step, latest_history
from intake.flow.moving import box_lifecycle
from intake.model.boxes import Box
from intake.model.changes import Action, ActionKind, Change
from intake.model.editions import Copy, Edition
from tests.counting import count_statements


def test_each_field_that_changed_is_said_before_and_after(library: Library) -> None:
    with library.reading() as records:
        copy, other = records.all(Copy)[:2]
        edition = records.get(Edition, copy.edition_id)
    assert edition is not None
    changes = (
        Change(copy, replace(copy, note="spine sunned", wrapped=True)),
        Change(edition, replace(edition, height_mm=301.5, contributors=("Ada Thorn", "Bo Lind"))),
        Change(other, replace(other, edition_id=copy.edition_id)),
    )
    seq = library.apply(Action(ActionKind.EDIT_COPY, copy.accession), changes).entry.seq
    with library.reading() as records:
        changed = step_changes(records, [(seq, seq)])[seq]
    assert (changed.total, changed.more) == (3, 0)
    title = "'Ferns of the Outer Isles, vol. 1'"
    about_edition, *about_copies = sorted(changed.lines, key=lambda line: not line.startswith("Edition"))
    assert about_edition == f"Edition {title}: contributors: Ada Thorn → Ada Thorn; Bo Lind; height in mm: 280 → 301.5"
    assert f"Copy {copy.accession}: note: none → spine sunned; still wrapped: no → yes" in about_copies
    assert f"Copy {other.accession}: edition: 'A Guide to Gulls' → {title}" in about_copies


def test_a_page_of_the_ledger_takes_a_few_statements_whatever_it_shows(library: Library) -> None:
    box_lifecycle.close_box(library, "1", station="hall")
    with library.reading() as records, count_statements(library) as count:
        lines = latest_history(records, 60).lines
        changes = step_changes(records, [(line.first, line.seq) for line in lines])
    assert count.statements <= 8
    assert changes[lines[0].seq].lines == ("Box B1-56: state: open → closed",)
    imported = changes[1]
    assert imported.more == imported.total - 3 > 0, "what is not shown is counted"


def test_the_ledger_of_one_thing_and_one_entry(library: Library) -> None:
    seq = box_lifecycle.close_box(library, "1", station="hall")
    assert seq
    with library.reading() as records:
        assert records.get(Box, "B1-56") is not None
        about = latest_history(records, 60, about=("box", "B1-56")).lines
        whole = latest_history(records, 60).lines
        assert history_of_step(records, about[0].seq) == about[0]
        assert history_of_step(records, whole[0].seq + 1) is None
    assert 1 < len(about) < len(whole)
    assert {line.seq for line in about} <= {line.seq for line in whole}
