"""What the tests of documents share: pages become pictures through a renderer that the drawing code does not use."""

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest

from intake.edges import pdf
from intake.model.pages import Page

Grey = npt.NDArray[np.uint8]
Render = Callable[[Sequence[Page], float], list[Grey]]


@pytest.fixture
def render() -> Render:
    """(pages, dpi) -> one grey picture a page, by PDFium."""

    def pictures(pages: Sequence[Page], dpi: float) -> list[Grey]:
        data, _ = pdf.draw(pages, title="test")
        document = pypdfium2.PdfDocument(data)
        out = [
            np.asarray(document[number].render(scale=dpi / 72).to_pil().convert("L")) for number in range(len(document))
        ]
        document.close()
        return out

    return pictures


@pytest.fixture
def read_text() -> Callable[[Sequence[Page]], list[str]]:
    """Pages -> the text of each, as PDFium extracts it."""

    def texts(pages: Sequence[Page]) -> list[str]:
        data, _ = pdf.draw(pages, title="test")
        document = pypdfium2.PdfDocument(data)
        out = [str(document[number].get_textpage().get_text_range()) for number in range(len(document))]
        document.close()
        return out

    return texts
