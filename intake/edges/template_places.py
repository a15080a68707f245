"""Where the parts of a label template stand: within the label, and not over each other."""

from intake.model.papers import LabelField, LabelRule, LabelTemplate

ROUNDING_MM = 0.01


def is_inside(part: LabelField | LabelRule, template: LabelTemplate) -> bool:
    """Return whether a part is within its label."""
    return (
        part.x_mm >= 0
        and part.y_mm >= 0
        and part.width_mm >= 0
        and part.height_mm >= 0
        and part.x_mm + part.width_mm <= template.label_width_mm + ROUNDING_MM
        and part.y_mm + part.height_mm <= template.label_height_mm + ROUNDING_MM
    )


def overlaps(a: LabelField, b: LabelField) -> bool:
    """Return whether two fields share some of their rectangles."""
    return (
        min(a.x_mm + a.width_mm, b.x_mm + b.width_mm) - max(a.x_mm, b.x_mm) > ROUNDING_MM
        and min(a.y_mm + a.height_mm, b.y_mm + b.height_mm) - max(a.y_mm, b.y_mm) > ROUNDING_MM
    )
