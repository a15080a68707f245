"""Forms with files, as another program writes them: httpx's own encoder of RFC 7578."""

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from intake.desk.multipart import SentFile, read_form
from intake.errors import UsageError

NAMES = st.text(st.characters(categories=["L", "N", "P", "Zs"], exclude_characters='"\\/'), min_size=1).map(str.strip)
TEXTS = st.text(st.characters(exclude_categories=["Cs"]))


@given(
    texts=st.lists(
        st.tuples(st.sampled_from(["kind", "gross", "note"]), TEXTS), max_size=4, unique_by=lambda one: one[0]
    ),
    files=st.lists(st.tuples(NAMES.filter(bool), st.binary()), max_size=3),
)
def test_what_another_program_wrote_is_read(texts: list[tuple[str, str]], files: list[tuple[str, bytes]]) -> None:
    sent = [("pictures", (name, data)) for name, data in files] or [("none", ("one", b"x"))]
    request = httpx.Request("POST", "http://desk/", data=dict(texts), files=sent)
    form = read_form(request.headers["content-type"], request.read())
    assert dict(form.texts) == dict(texts)
    assert [(name, file) for name, file in form.files] == [(name, SentFile(file, data)) for name, (file, data) in sent]


def test_a_file_field_in_which_nothing_was_chosen_is_none() -> None:
    """As a browser sends it: HTML Living Standard, "constructing the entry list", an empty name and no bytes."""
    field = b'Content-Disposition: form-data; name="file"; filename=""'
    head = b"--x\r\n" + field + b"\r\nContent-Type: application/octet-stream\r\n\r\n"
    assert read_form("multipart/form-data; boundary=x", head + b"\r\n--x--\r\n").files == ()


@pytest.mark.parametrize(
    ("content_type", "body"),
    [
        ("multipart/form-data", b"--x--"),
        ("multipart/form-data; boundary=x", b"--x\r\nno head\r\n--x--"),
        ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\ncut off'),
        ("multipart/form-data; boundary=x", b'--x\r\nContent-Disposition: form-data; name="a"\r\n\r\n\xff\r\n--x--'),
    ],
)
def test_what_is_no_form_is_refused(content_type: str, body: bytes) -> None:
    with pytest.raises(UsageError):
        read_form(content_type, body)
