"""The outline of a line of text: its corners, or those of its box, clockwise from the top left."""

from intake.model.readings import TextLine


def test_outline() -> None:
    boxed = TextLine("Gulls", (10, 20, 40, 30))
    assert list(boxed.outline) == [(10, 20), (40, 20), (40, 30), (10, 30)]
    assert boxed.score == 1
    turned = ((40.0, 20.0), (40.0, 30.0), (10.0, 30.0), (10.0, 20.0))
    assert TextLine("Gulls", (10, 20, 40, 30), corners=turned).outline == turned
