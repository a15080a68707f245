"""Lists that are read a page at a time."""


def first_of_page(begin: int, total: int, count: int) -> int:
    """Return where the page begins that has the thing after the first `begin`, or the last page.

    >>> first_of_page(130, 200, 60), first_of_page(999, 120, 60), first_of_page(5, 0, 60), first_of_page(-1, 9, 60)
    (120, 60, 0, 0)
    """
    return min(max(begin, 0), max(total - 1, 0)) // count * count
