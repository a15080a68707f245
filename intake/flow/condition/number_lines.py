"""A printer's key, as a person reads it off the copyright page."""

from intake.valuing.number_line import NumberLine, parse_number_line


def read_number_line(text: str) -> NumberLine:
    """Return the printing and the year that a line means, or why it means none."""
    return parse_number_line(text)
