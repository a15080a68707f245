"""What the ledger calls editions."""

from intake.model.editions import Edition


def subject_of(edition: Edition) -> str:
    """Return what the ledger calls an edition."""
    return edition.key or edition.number or str(edition.id)


def merge_subject(other: Edition, kept: Edition | None) -> str:
    """Return what the ledger calls the merge of one edition into another, which stays; None for how it begins."""
    return f"{subject_of(other)} into {subject_of(kept) if kept is not None else ''}"
