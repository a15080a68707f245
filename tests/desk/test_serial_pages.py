"""Pages of serials: the list, a ruler, and what an edition collects, on the desk's own library."""

from intake.edges.store.library import Library
from intake.flow.corrections.correction_plan import apply_correction
from intake.flow.corrections.edit_edition import plan_edition_edit
from intake.model.editions import Edition
from tests.desk.conftest import Running, let_in


def test_a_serial_is_listed_drawn_and_corrected(desk: Running, library: Library) -> None:
    with library.reading() as reader:
        first, second = reader.all(Edition)[:2]
        plans = [
            plan_edition_edit(reader, str(edition.key), values=[f"collects={collects}"], station="test")
            for edition, collects in (
                (first, "Saltmarsh <Letters> 1-12, annual 1"),
                (second, "saltmarsh <letters> 15-20"),
            )
        ]
    for plan in plans:
        apply_correction(library, plan)
    station = let_in(desk)
    assert "19 of 21 parts held, 1 gap" in station.get("/serials").text
    assert "Saltmarsh &lt;Letters&gt;" in station.get("/serials").text
    page = station.get("/serials/saltmarsh%20%3Cletters%3E").text
    assert "<svg " in page
    assert "Saltmarsh &lt;Letters&gt;" in page
    assert "<Letters>" not in page
    assert "13-14" in page
    edition = station.get(f"/editions/{first.id}").text
    assert "After 12: the next part, 13, is in no edition of the catalog." in edition
    assert station.get("/serials/nothing").status_code == 409
