"""Headings against chapter 49 of the Harmonized System (World Customs Organization)."""

import pytest

from intake.model.editions import Edition
from intake.valuing.customs import tariff_heading


@pytest.mark.parametrize(
    ("edition", "code"),
    [
        (Edition(id=1, title="Ferns", number="9780306406157"), "4901.99"),
        (Edition(id=1, title="Ferns", number=None, subject="Dictionaries"), "4901.91"),
        (Edition(id=1, title="Songs", number="9790260000438"), "4904.00"),
        (Edition(id=1, title="Quarterly", number="9770264359008", binding="softcover"), "4902.90"),
        (Edition(id=1, title="Quarterly", number="9770264359008", binding="bound volume"), "4901.99"),
        (Edition(id=1, title="Gulls", subject="Children's picture books"), "4903.00"),
        (Edition(id=1, title="Charts", hs_heading="4905.20"), "4905.20"),
    ],
)
def test_headings(edition: Edition, code: str) -> None:
    found = tariff_heading(edition)
    assert found.code == code
    assert found.name
    assert found.why
