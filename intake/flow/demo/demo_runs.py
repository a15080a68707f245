"""The demonstration's serials: what is missing, the cheapest way to have them whole, which books say it twice."""

from collections.abc import Callable
from pathlib import Path

from intake.edges import clock, sheets
from intake.edges.store.library import Library
from intake.flow.lists.import_list import ListKind, import_table
from intake.flow.papers import registry
from intake.flow.papers.options import PaperOptions
from intake.flow.papers.render import format_of, render, save
from intake.flow.runs.run_view import run_view
from intake.flow.runs.seek_editions import SeekRequest, seek_editions
from intake.flow.runs.set_extent import set_extent
from intake.flow.runs.spare_copies import BESIDE_PARTS, freed_words, spare_copies

WriteLine = Callable[[str], None]
LISTS = ((ListKind.EDITIONS, "collected.csv"), (ListKind.COPIES, "collected-copies.csv"))


def show(library: Library, scans: Path, folder: Path, write_line: WriteLine, *, station: str) -> None:
    """Take the lists of what collects serials in, and answer a collector's questions.

    A folder of scans without these lists leaves this part out.
    """
    if not all((scans / name).is_file() for _, name in LISTS):
        return
    write_line("")
    write_line("Serials: what is held, what to look for, what says the same twice")
    for kind, name in LISTS:
        table = sheets.read_csv(scans / name)
        import_table(library, kind, table, file=name, station=station, today=clock.today())
    serials = [(row.cells["title"], row.cells["extent"]) for row in sheets.read_csv(scans / "serials.csv").rows]
    for title, extent in serials:
        set_extent(library, title, extent, station=station)
    with library.reading() as reader:
        for title, _ in serials:
            view = run_view(reader, title)
            write_line(f"  {view.serial}: {view.counts}: {'; '.join(view.gaps) or 'nothing'}")
            answer = seek_editions(reader, title, SeekRequest(currency="EUR", on=clock.today()))
            chosen = ", ".join(one.key for one in answer.best.editions)
            if chosen:
                left = "; ".join(answer.best.left) or "nothing"
                proof = "proved" if answer.proved else answer.bound
                write_line(f"    cheapest: {chosen}, {answer.best.cost} EUR together ({proof}); left: {left}")
            for remark in answer.remarks:
                write_line(f"    {remark}")
        spare = spare_copies(reader)
    for one in spare.copies:
        write_line(f"  {one.copy} ({one.name}) could go: all parts of it are in {', '.join(one.also_in)}")
    write_line(f"  {freed_words(spare)}. {BESIDE_PARTS}")
    path = folder / "serials.pdf"
    save(render(library, registry.SERIALS, PaperOptions(), format_of(registry.SERIALS, path), on=clock.today()), path)
    write_line(f"  {path}  each serial as a ruler, with the editions that collect it")
