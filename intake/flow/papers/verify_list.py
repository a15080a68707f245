"""A printed list held against the library: is it of this ledger, was it true that day, and what changed since.

Three questions, each answered by itself: whether the entry that the proof names carries the digest that it names, and
the chain is whole (else the list, or the ledger, is another); whether its count and totals are those of that entry;
and which of its copies are not today as they were, in value, state or description.

A list is judged by the ledger alone. Where a table is not as the ledger left it, it is the library that was altered,
and a true list is not accused of it; where the entries up to that of the list are not sound, it is not judged at all.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from intake.edges import print_pictures, proof_files
from intake.edges.store.cut_ledger import check_against_notes
from intake.edges.store.engines.guarded import guarded
from intake.edges.store.library import Library
from intake.edges.store.queries.chain_check import digest_of_entry, verify_chain
from intake.edges.store.queries.ledger_entries import changes_since
from intake.edges.store.queries.replay import ReplayCount, records_told, replay
from intake.edges.store.reader import LibraryReader
from intake.errors import FileError
from intake.flow.lookup.wording import title_words
from intake.flow.papers.proofs import DECIDING, ProofRecords, claim, held_at, in_scope, values_in
from intake.flow.papers.verify_rows import Row, RowCheck, check_rows, row_lines
from intake.flow.safekeeping.finding_words import finding_words
from intake.flow.values.ledger_diff import changes_of
from intake.identifiers.own import serial_of
from intake.model.condition import CopyPicture
from intake.model.currencies import amount_text
from intake.model.findings import LibraryFinding
from intake.model.schedules import Proof
from intake.units.advice import advice
from intake.units.counts import counted, noun
from intake.valuing import proof as proof_words


@dataclass(frozen=True, slots=True)
class ChangedCopy:
    """One copy of the list that is not as it was; `entries` are the ledger's that changed it."""

    copy: str
    title: str
    what: str
    entries: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProofCheck:
    """What became of a list.

    Attributes:
        known: whether the ledger has the entry under the digest that the list names.
        broken: the first ledger entry that is not sound; None where the chain is whole.
        damage: where the library is not as its ledger left it, or its ledger was cut.
        wrong: what the list says otherwise than the ledger did when it was made.
        agrees: whether a list made now would have the same count and totals.
        changed: its copies that are not as they were; not looked for where the chain is broken.
        rows: whether its rows are those of that entry; None where they were not compared.
        pictures: photographs of its copies that are missing or altered: (SHA-256, which of the two).
    """

    proof: Proof
    known: bool
    broken: int | None
    damage: tuple[LibraryFinding, ...] = ()
    wrong: tuple[str, ...] = ()
    agrees: bool = False
    changed: tuple[ChangedCopy, ...] = ()
    pictures: tuple[tuple[str, str], ...] = ()
    rows: RowCheck | None = None

    @property
    def is_judged(self) -> bool:
        """Tell whether the ledger can say anything of the list: all its entries up to that of the list are there."""
        is_proved = self.broken is None or self.broken > self.proof.seq
        return is_proved and (self.known or not self.damage)

    @property
    def is_true(self) -> bool:
        """Tell whether the list is one of this ledger's and said the truth of its day."""
        return self.is_judged and self.known and not self.wrong and (self.rows is None or not self.rows.differences)

    @property
    def sound(self) -> bool:
        """Tell whether the list is true, and the library as its ledger left it."""
        return self.is_true and self.broken is None and not self.damage


def find_proof(path: Path) -> Proof:
    """Read the proof that a file carries.

    Raises:
        FileError: the file cannot be read, or carries none.
    """
    for text in proof_files.read_texts(path):
        found = proof_words.parse(text)
        if found is not None:
            return found
    raise FileError(str(path), "carries no proof that can be read", proof_files.REMEDY)


def read_proof(text: str) -> Proof | None:
    """Return the proof whose words a person typed; None where they are not those of one."""
    return proof_words.parse(text)


def verify(library: Library, proof: Proof, rows: Sequence[Row] | None = None) -> ProofCheck:
    """Compare a proof, and the rows of its list where they are given, with the ledger, and that with the tables."""
    with library.reading(damaged=True) as records:
        known = digest_of_entry(records, proof.seq) == proof.head
        broken = verify_chain(records)
        damage = tuple(_damage(records, broken))
        verdict = ProofCheck(proof=proof, known=known, broken=broken, damage=damage)
        if not known or not verdict.is_judged:
            return verdict
        then = held_at(records, proof.seq)
        values = values_in(then, proof.basis)
        listed = set(in_scope(then, proof.scope, values))
        verdict = replace(
            verdict,
            wrong=tuple(_differences(proof, _claimed(proof, then))),
            rows=None if rows is None else check_rows(rows, then, listed, values),
        )
        shown = {picture.picture for picture in records_told(records, CopyPicture) if picture.copy in listed}
        if broken is None:
            verdict = _compared_with_now(records, verdict, then, listed)
    bad = print_pictures.find_altered((sha256, library.picture_path(sha256)) for sha256 in sorted(shown))
    return replace(verdict, pictures=tuple(bad.items()))


def _damage(records: LibraryReader, broken: int | None) -> Iterator[LibraryFinding]:
    """Yield where the ledger was cut, and where it is whole, what of the records that decide is not as it left them."""
    yield from check_against_notes(records)
    if broken is None:
        yield from guarded(lambda: replay(records, None, ReplayCount(), DECIDING))


def _compared_with_now(records: LibraryReader, verdict: ProofCheck, then: ProofRecords, listed: set[str]) -> ProofCheck:
    """Add what a list made now would say, and which copies are not as they were, both by the ledger."""
    proof, now = verdict.proof, held_at(records)
    values = (values_in(then, proof.basis), values_in(now, proof.basis))
    copies = listed.union(in_scope(now, proof.scope, values[1]))
    held = [now.copies.get(copy) or then.copies[copy] for copy in sorted(copies, key=serial_of)]
    later = list(changes_since(records, proof.seq))
    found = {one.copy: one for one in changes_of([(copy.accession, copy.edition_id) for copy in held], later, values)}
    changed = tuple(
        ChangedCopy(
            copy.accession,
            title_words(edition) if (edition := now.editions.get(copy.edition_id)) else "",
            "; ".join(found[copy.accession].words),
            found[copy.accession].entries,
        )
        for copy in held
        if copy.accession in found
    )
    return replace(verdict, agrees=not list(_differences(proof, _claimed(proof, now))), changed=changed)


def _claimed(proof: Proof, held: ProofRecords) -> Proof:
    entry = (proof.seq, proof.head)
    return claim(held, purpose=proof.purpose, scope=proof.scope, basis=proof.basis, on=proof.on, entry=entry)


def _differences(said: Proof, is_so: Proof) -> Iterator[str]:
    """Yield what a list says otherwise than the records."""
    if said.copies != is_so.copies:
        yield f"it counts {counted(said.copies, 'copy', 'copies')}, the ledger {is_so.copies}"
    if said.unvalued != is_so.unvalued:
        yield f"it counts {counted(said.unvalued, 'copy', 'copies')} without a value, the ledger {is_so.unvalued}"
    ours = {(total.currency, total.basis): (total.amount, total.count) for total in said.totals}
    theirs = {(total.currency, total.basis): (total.amount, total.count) for total in is_so.totals}
    for currency, basis in sorted(ours.keys() | theirs.keys()):
        one, two = ours.get((currency, basis)), theirs.get((currency, basis))
        if one != two:
            words = [f"{amount_text(x[0], currency)} of {x[1]}" if x else "none" for x in (one, two)]
            yield f"its {currency} total of {basis} values is {words[0]}, the ledger's {words[1]}"


SHOWN = 50


def result_lines(verdict: ProofCheck, shown: int | None = SHOWN) -> list[str]:
    """Tell a verdict in sentences.

    Args:
        verdict: of the check.
        shown: how many of the copies that changed are named; None for all.
    """
    proof = verdict.proof
    copies = counted(proof.copies, "copy", "copies")
    said = [f"{proof.purpose.capitalize()} of {proof.on}, {copies}, ledger entry {proof.seq}"]
    said += _damage_lines(verdict)
    if not verdict.is_judged:
        return said
    if not verdict.known:
        return [*said, "This library's ledger has no such entry: the list, or the ledger, is another."]
    said += [f"The list says otherwise than the ledger of its day: {one}." for one in verdict.wrong]
    if not verdict.wrong:
        said.append("Its count and totals are those of the ledger at that entry.")
    said += row_lines(verdict.rows)
    if verdict.broken is not None:
        said.append("It was not compared with the library of today.")
    else:
        is_same = verdict.agrees and not verdict.changed
        by = "ledger" if verdict.damage else "library"
        is_todays = verdict.agrees or verdict.wrong  # what it says otherwise than its day's ledger was told above
        if is_same:
            said.append(f"The {by} still agrees with it.")
        elif verdict.changed:
            said.append("Changed since:")
        elif is_todays:
            said.append("No copy of it was changed since.")
        else:
            said.append("No copy of it was changed since, but its count or totals would be others today.")
    said += [f"  {one.copy}  {one.title}: {one.what} ({_entries(one.entries)})" for one in verdict.changed[:shown]]
    if shown is not None and len(verdict.changed) > shown:
        said.append(f"  … and {counted(len(verdict.changed) - shown, 'more copy', 'more copies')}; --all shows them")
    return [*said, *(f"  photograph {sha256} is {what}" for sha256, what in verdict.pictures)]


def _damage_lines(verdict: ProofCheck) -> Iterator[str]:
    if verdict.broken is not None:
        how = advice("see 'intake check'", "check the library")
        yield f"The ledger itself is not whole from entry {verdict.broken} on; {how}."
    if verdict.damage:
        more = f", and {len(verdict.damage) - 1} more" if len(verdict.damage) > 1 else ""
        how = advice("run 'intake check'", "check the library")
        yield f"The library is not as its ledger left it; {how}: {finding_words(verdict.damage[0])}{more}."
    if not verdict.is_judged:
        yield "The list is not judged by it."
    elif verdict.damage:
        yield "The list is judged by the ledger alone, not by the library's tables."


def _entries(seqs: tuple[int, ...]) -> str:
    return f"{noun(len(seqs), 'entry', 'entries')} {', '.join(map(str, seqs))}"
