"""The page of a step: its form, what it would change, and, once a person has agreed, what it did."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import replace
from pathlib import Path

from starlette.requests import Request
from starlette.responses import FileResponse, Response

from intake.desk.desk_startup import Library
from intake.desk.multipart import MEDIA_TYPE, read_form
from intake.desk.rendering import fields_of, page, status_of, text_of
from intake.desk.request_state import desk_of, session_of
from intake.desk.steps.step_faults import by_field, find_faults
from intake.desk.steps.step_record import UPLOAD, DeskStep, FieldKind, StepContext, StepField, StepGroup, StepOutcome
from intake.desk.steps.step_registry import STEPS, find_step
from intake.errors import IntakeError
from intake.flow.corrections.rehearse import Rehearsal, rehearse
from intake.flow.lookup.status import entries_after
from intake.flow.lookup.two_versions import version_of
from intake.model.changes import LedgerEntry

OWN_FIELDS = ("form_token", "request", "apply", "ask", "once", "shown", "kept", "version", "message", "not_done")
ENTRIES_SHOWN = 20
DONE, LOOK, CHANGED = "done", "look", "changed"


def show_steps(request: Request) -> Response:
    """List everything that can be done."""
    groups = [(group.value, [step for step in STEPS if step.group is group]) for group in StepGroup]
    return page(request, "steps.html", groups=groups)


def show_step(request: Request) -> Response:
    """Show the form of a step; of a question also the answer, where all that it needs was asked."""
    step = find_step(text_of(request.path_params["step"]))
    values = _asked(request)
    fields = _fields(request, step, values)
    is_answered = _is_answered(request, step, fields, values)
    faults = find_faults(fields, values) if is_answered or "ask" in request.query_params else ()
    if faults or not is_answered:
        return _shown(request, step, fields, values, faults=faults)
    try:
        outcome = step.run(_context(request, desk_of(request).library, values, {}, is_look=True))
    except IntakeError as error:
        return _shown(request, step, fields, values, faults=(error,))
    return _shown(request, step, fields, values, outcome=outcome)


def take_step(request: Request) -> Response:
    """Look at a step, or take it as it was looked at."""
    step = find_step(text_of(request.path_params["step"]))
    sent, values, files = _sent(request)
    fields = _fields(request, step, values)
    if faults := find_faults(fields, values):
        return _shown(request, step, fields, values, faults=faults)
    try:
        if step.is_question:
            outcome = step.run(_context(request, desk_of(request).library, values, files, is_look=True))
            return _shown(request, step, fields, values, outcome=outcome)
        if "apply" in sent:
            return _applied(request, step, sent, values, files)
        return _looked_at(request, step, values, files)
    except IntakeError as error:
        return _shown(request, step, fields, values, faults=(error,))


def hand_over(request: Request) -> Response:
    """Hand a file over that was made for this session."""
    files = desk_of(request).uploads.find(session_of(request).id, text_of(request.path_params["key"])).files
    (file,) = files
    return FileResponse(file, filename=file.name, headers={"Cache-Control": "no-store"})


def laptop_question(request: Request) -> str | None:
    """Return what the laptop is asked before a phone does this; None where the phone may."""
    step = find_step(text_of(request.path_params["step"]))
    if step.word is None:
        return None
    if request.method == "GET":
        values = _asked(request)
        return step.word(values) if _is_answered(request, step, _fields(request, step, values), values) else None
    sent, values, _ = _sent(request)
    return step.word(values) if step.is_question or "apply" in sent else None


def _asked(request: Request) -> dict[str, str]:
    """Return what the address of a page asks, by field."""
    return _typed({name: text_of(value) for name, value in request.query_params.items()})


def _typed(texts: Mapping[str, str]) -> dict[str, str]:
    return {name: text for name, text in texts.items() if text and name not in OWN_FIELDS}


def _is_answered(request: Request, step: DeskStep, fields: tuple[StepField, ...], values: Mapping[str, str]) -> bool:
    """Return whether the page of a question has its answer, as all that it needs was asked."""
    is_complete = step.is_question and all(values.get(field.name) for field in fields if field.required)
    return is_complete and (step.at_once or "ask" in request.query_params) and not _has_files(fields)


def _has_files(fields: tuple[StepField, ...]) -> bool:
    return any(field.kind in (FieldKind.FILE, FieldKind.PICTURES) for field in fields)


def _looked_at(
    request: Request,
    step: DeskStep,
    values: Mapping[str, str],
    files: Mapping[str, tuple[Path, ...]],
    *,
    changed: bool = False,
) -> Response:
    """Show what a step would change."""
    desk, session = desk_of(request), session_of(request)
    outcome = _rehearsed(request, step, values, files)
    if outcome.error is not None:
        return _shown(request, step, outcome.fields, values, faults=(outcome.error,), links=outcome.links, state=LOOK)
    kept = desk.uploads.keep_plan(session.id, outcome.kept) if outcome.kept is not None else ""
    shown = _shown(
        request,
        step,
        outcome.fields or _fields(request, step, values),
        values,
        outcome=outcome,
        carried={
            "shown": _mark(request, step, outcome),
            "kept": kept,
            "once": desk.uploads.keep_plan(session.id, step.name),  # a finger that presses twice takes it once
        },
        state=CHANGED if changed else LOOK,
    )
    shown.status_code = 409 if changed else 200
    return shown


def _rehearsed(
    request: Request, step: DeskStep, values: Mapping[str, str], files: Mapping[str, tuple[Path, ...]]
) -> StepOutcome:
    asked: list[str] = []

    def looked_at(library: Library) -> StepOutcome:
        return step.run(replace(_context(request, library, values, files, is_look=True), asked=asked))

    found = rehearse(desk_of(request).library, looked_at)
    outcome = StepOutcome(lines=found.lines, is_plan=True) if isinstance(found, Rehearsal) else found
    return replace(outcome, cautions=(*outcome.cautions, *asked))


def _applied(
    request: Request,
    step: DeskStep,
    sent: Mapping[str, str],
    values: Mapping[str, str],
    files: Mapping[str, tuple[Path, ...]],
) -> Response:
    """Take a step, if it is still what was shown."""
    desk, session = desk_of(request), session_of(request)
    kept = desk.uploads.find(session.id, sent["kept"]).plan if sent.get("kept") else None
    desk.uploads.use_up(session.id, sent.get("once", ""))
    if kept is None:
        now = _rehearsed(request, step, values, files) if step.looks_twice else StepOutcome()
        if sent.get("shown") != _mark(request, step, now):
            return _looked_at(request, step, values, files, changed=True)
    with desk.library.reading() as records:
        before = version_of(records)
    context = _context(request, desk.library, values, files, is_look=False, kept=kept)
    outcome = step.run(context)
    outcome = replace(outcome, cautions=(*outcome.cautions, *context.asked))
    with desk.library.reading() as records:
        entries = entries_after(records, before, ENTRIES_SHOWN)
    own = [entry for entry in entries if entry.action.station == session.station]
    return _shown(request, step, (), {}, outcome=outcome, entries=own, state=DONE)


def _mark(request: Request, step: DeskStep, outcome: StepOutcome) -> str:
    """Return by what a later request names just what was shown."""
    if not step.looks_twice:
        with desk_of(request).library.reading() as records:
            return str(version_of(records))
    said = (outcome.lines, outcome.cautions, [(table.heading, table.rows) for table in outcome.tables])
    return hashlib.sha256(repr(said).encode()).hexdigest()


def _context(
    request: Request,
    library: Library,
    values: Mapping[str, str],
    files: Mapping[str, tuple[Path, ...]],
    *,
    is_look: bool,
    kept: object = None,
) -> StepContext:
    return StepContext(
        desk=desk_of(request),
        library=library,
        values=values,
        files=files,
        session=session_of(request),
        is_look=is_look,
        kept=kept,
    )


def _sent(request: Request) -> tuple[dict[str, str], dict[str, str], dict[str, tuple[Path, ...]]]:
    """Return all texts of a form, those that a person typed, and its files, which are kept from the first look on."""
    desk, session = desk_of(request), session_of(request)
    content_type = request.headers.get("content-type", "")
    if content_type.startswith(MEDIA_TYPE):
        form = read_form(content_type, request.state.body)
        sent = {text_of(name): text_of(text) for name, text in form.texts}
        for name in dict.fromkeys(name for name, _ in form.files):
            files = [file for field, file in form.files if field == name]
            # The request may be run again, with the laptop's yes: the files are kept once.
            known = request.scope.setdefault("intake_uploads", {})
            known[name] = known.get(name) or desk.uploads.keep_files(session.id, files)
            sent[f"{UPLOAD}{name}"] = known[name]
    else:
        sent = fields_of(request)
    values = _typed(sent)
    kept = {
        name.removeprefix(UPLOAD): desk.uploads.find(session.id, key).files
        for name, key in values.items()
        if name.startswith(UPLOAD)
    }
    return sent, values, kept


def _fields(request: Request, step: DeskStep, values: Mapping[str, str]) -> tuple[StepField, ...]:
    with desk_of(request).library.reading() as records:
        return step.fields(records, values)


def _shown(
    request: Request,
    step: DeskStep,
    fields: tuple[StepField, ...],
    values: Mapping[str, str],
    *,
    outcome: StepOutcome | None = None,
    faults: Sequence[IntakeError] = (),
    links: Sequence[tuple[str, str]] = (),
    carried: Mapping[str, str] | None = None,
    entries: list[LedgerEntry] | None = None,
    state: str = "",
) -> Response:
    """Show a step's page."""
    names = [field.name for field in fields]
    fault_at = by_field(fields, faults)
    uploads = {name: key for name, key in values.items() if name.startswith(UPLOAD)}
    groups = list(dict.fromkeys(field.group for field in fields if field.group))
    shown = page(
        request,
        "step.html",
        step=step,
        kinds=FieldKind,
        fields=fields,
        folded=[(group, [field for field in fields if field.group == group]) for group in groups],
        values=values,
        rest={name: text for name, text in values.items() if name not in names},
        uploads={key.removeprefix(UPLOAD): desk_of(request).uploads.names(key_of) for key, key_of in uploads.items()},
        has_files=_has_files(fields),
        outcome=outcome,
        faults=faults,
        links=links,
        fault_at=fault_at,
        first_wrong=next((name for name in names if name in fault_at), ""),
        carried=carried or {},
        entries=entries or [],
        state=state,
    )
    if faults:
        shown.status_code = status_of(faults[0])
    return shown
