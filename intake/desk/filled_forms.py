"""A form of a rendered page, filled again with what was typed, and the sentence why it was refused beside it.

It works on the page as it was rendered, so that every form is filled in the same way and no page needs to know of it.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from html import escape, unescape
from html.parser import HTMLParser
from urllib.parse import unquote

Typed = Mapping[str, Sequence[str]]
"""What a form sent: the values of each name, as they were typed."""
ALERT_ID = "not-done"
KEPT_HIDDEN = "version"
"""The hidden field that is filled again: what the person saw when they typed, not what the page shows now."""
TICKED = ("checkbox", "radio")
NEVER_FILLED = ("hidden", "submit", "button", "image", "reset", "file", "password")


@dataclass(slots=True, eq=False)
class _Element:
    """A tag of the page, with where it begins and ends and where its end tag does."""

    tag: str
    attributes: dict[str, str | None]
    begin: int
    end: int
    inside: tuple["_Element", ...]
    inner_end: int = 0
    after: int = 0

    def get(self, name: str) -> str:
        return self.attributes.get(name) or ""

    def within(self, tag: str) -> "_Element | None":
        return next((outer for outer in reversed(self.inside) if outer.tag == tag), None)


class _Elements(HTMLParser):
    """Collects the elements that a form is made of, each with those that it stands in."""

    KNOWN = frozenset(("form", "details", "input", "textarea", "select", "option", "button", "a", "title"))
    EMPTY = "input"

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=False)
        self.elements: list[_Element] = []
        self._open: list[_Element] = []
        self._page = page
        self._lines = [0]
        for line in page.split("\n"):
            self._lines.append(self._lines[-1] + len(line) + 1)
        self.feed(page)
        self.close()

    def _at(self) -> int:
        line, column = self.getpos()
        return self._lines[line - 1] + column

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag not in self.KNOWN:
            return
        begin = self._at()
        end = begin + len(self.get_starttag_text() or "")
        element = _Element(tag, dict(attrs), begin, end, tuple(self._open), end, end)
        self.elements.append(element)
        if tag != self.EMPTY:
            self._open.append(element)

    def handle_endtag(self, tag: str) -> None:
        place = next((nth for nth in range(len(self._open) - 1, -1, -1) if self._open[nth].tag == tag), None)
        if place is None:
            return
        element = self._open[place]
        element.inner_end = self._at()
        element.after = self._page.index(">", element.inner_end) + 1
        del self._open[place:]


@dataclass(frozen=True, slots=True)
class _Edit:
    begin: int
    end: int
    text: str


@dataclass(frozen=True, slots=True)
class SentAgain:
    """A form that was sent: where to, how ("post" or "get"), and with what."""

    action: str
    method: str
    typed: Typed


def filled_again(page: str, path: str, sent: SentAgain, alert: Callable[..., str], field: str = "") -> str | None:
    """Return a page with its form filled again; None where it has no such form.

    Args:
        page: as it was rendered.
        path: of the page; its links to other parts of itself are completed with it.
        sent: the form as it was sent.
        alert: makes the sentence why it was refused, an element with the id `ALERT_ID`; is told by `at_field`
            whether it stands at a field, which takes the focus then.
        field: the name of the field that it is about; empty where that is not known.
    """
    elements = _Elements(page).elements
    forms = [
        element
        for element in elements
        if element.tag == "form"
        and (element.get("method").lower() or "get") == sent.method
        and unquote(element.get("action").partition("?")[0]) == sent.action
    ]
    if not forms:
        return None
    typed = sent.typed
    form = max(forms, key=lambda form: _likeness(_inside(elements, form), typed))
    controls = _inside(elements, form)
    about = next((one for one in controls if field and one.get("name") == field and _is_typed(one)), None)
    edits = [*_links(elements, path), *_opened(form, controls, typed, about)]
    for control in controls:
        edits += _filled(page, control, typed, is_about=control is about)
    title = next((element for element in elements if element.tag == "title"), None)
    if title is not None:
        edits.append(_Edit(title.end, title.end, "Not done: "))
    outside = [element for element in elements if element not in controls]
    edits += [_without(element, "autofocus") for element in outside if "autofocus" in element.attributes]
    beside = about.after if about is not None and about.get("type") not in TICKED else form.begin
    edits.append(_Edit(beside, beside, alert(at_field=about is not None)))
    return _edited(page, edits)


def _inside(elements: Sequence[_Element], form: _Element) -> list[_Element]:
    return [element for element in elements if form in element.inside]


def _is_typed(control: _Element) -> bool:
    """Return whether a person fills it."""
    if control.tag == "input":
        return control.get("type") not in NEVER_FILLED
    return control.tag in ("textarea", "select")


def _likeness(controls: Sequence[_Element], typed: Typed) -> int:
    """Return how well a form fits what was sent: several forms of a page may go the same way."""
    score = 0
    for control in controls:
        values = typed.get(control.get("name"))
        if values is None:
            continue
        is_same = control.get("value") in values
        if control.get("type") == "hidden":
            score += 2 if is_same else -2
        elif control.tag == "button":
            score += 2 if is_same else 0
        else:
            score += 1
    return score


def _filled(page: str, control: _Element, typed: Typed, *, is_about: bool) -> Iterator[_Edit]:
    """Yield what changes of one control of the form."""
    values = typed.get(control.get("name"), ())
    attributes = {name: value for name, value in control.attributes.items() if name != "autofocus"}
    if is_about:
        described = " ".join(filter(None, (ALERT_ID, control.get("aria-describedby"))))
        attributes |= {"aria-invalid": "true", "aria-describedby": described, "autofocus": None}
    if control.tag == "option":
        chosen = control.within("select")
        values = typed.get(chosen.get("name"), ()) if chosen else ()
        if not values:
            return
        value = control.attributes.get("value")
        text = unescape(page[control.end : control.inner_end]) if value is None else value
        _set(attributes, "selected", text in values)
    elif control.tag == "textarea" and values:
        yield _Edit(control.end, control.inner_end, "\n" + escape(values[0]))
    elif control.tag == "input" and control.get("type") in TICKED:
        _set(attributes, "checked", control.get("value") in values)
    elif control.tag == "input" and values and (_is_typed(control) or _is_kept(control, values[0])):
        attributes["value"] = values[0]
    if attributes != control.attributes:
        yield _tag(control, attributes)


def _is_kept(control: _Element, value: str) -> bool:
    return control.get("name") == KEPT_HIDDEN and value.isascii() and value.isdigit()


def _set(attributes: dict[str, str | None], name: str, is_set: bool) -> None:  # noqa: FBT001 # a plain setter
    attributes.pop(name, None)
    if is_set:
        attributes[name] = None


def _opened(form: _Element, controls: Sequence[_Element], typed: Typed, about: _Element | None) -> list[_Edit]:
    """Open what the form is folded into, and what is folded in it and was filled."""
    filled = [one for one in controls if one is about or (_is_typed(one) and any(typed.get(one.get("name"), ())))]
    folds = {id(outer): outer for one in (form, *filled) for outer in one.inside if outer.tag == "details"}
    return [_tag(fold, fold.attributes | {"open": None}) for fold in folds.values()]


def _links(elements: Sequence[_Element], path: str) -> list[_Edit]:
    """Complete the links that lead on from the page's own address: the answer to a form has another one."""
    relative = [one for one in elements if one.tag == "a" and one.get("href").startswith("?")]
    return [_tag(link, link.attributes | {"href": path + link.get("href")}) for link in relative]


def _without(element: _Element, name: str) -> _Edit:
    return _tag(element, {key: value for key, value in element.attributes.items() if key != name})


def _tag(element: _Element, attributes: Mapping[str, str | None]) -> _Edit:
    written = "".join(
        f" {name}" if value is None else f' {name}="{escape(value)}"' for name, value in attributes.items()
    )
    return _Edit(element.begin, element.end, f"<{element.tag}{written}>")


def _edited(page: str, edits: Sequence[_Edit]) -> str:
    parts: list[str] = []
    done = 0
    for edit in sorted(edits, key=lambda edit: (edit.begin, edit.end)):
        parts += (page[done : edit.begin], edit.text)
        done = edit.end
    return "".join((*parts, page[done:]))
