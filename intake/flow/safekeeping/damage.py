"""Whether damage of the library is behind an error that nobody foresaw."""

from intake.edges.store.library import Library
from intake.errors import IntakeError, StoreError
from intake.flow.safekeeping.before_papers import REMEDY
from intake.flow.safekeeping.check_library import check_without_pictures
from intake.flow.safekeeping.finding_words import finding_words


def damage_of(library: Library) -> IntakeError | None:
    """Return the error for the first thing that a check finds wrong with records or ledger; None where all is well."""
    try:
        with library.reading(damaged=True) as records:
            findings = check_without_pictures(records)
    except IntakeError as error:
        return error
    wrong = next((finding for finding in findings if not finding.kind.is_note), None)
    if wrong is None:
        return None
    return StoreError(f"The library {library.place}", f"is damaged ({finding_words(wrong)})", REMEDY)
