"""The least number of boxes, found by trying everything: for small cases."""


def fewest(pieces: list[int], capacity: int) -> int:
    """Return the optimum by trying every assignment of pieces, heaviest first."""
    best = len(pieces)

    def place(nth: int, loads: list[int]) -> None:
        nonlocal best
        if len(loads) >= best:
            return
        if nth == len(pieces):
            best = len(loads)
            return
        for box in range(len(loads)):
            if loads[box] + pieces[nth] <= capacity:
                place(nth + 1, [load + pieces[nth] * (n == box) for n, load in enumerate(loads)])
        place(nth + 1, [*loads, pieces[nth]])

    pieces = sorted(pieces, reverse=True)
    place(0, [])
    return best
