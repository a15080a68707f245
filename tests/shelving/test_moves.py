"""From one arrangement to another: the fewest books, in an order that can be carried out.

The longest increasing subsequence is checked against every subsequence there is.
"""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from intake.model.shelving import Book, Space
from intake.shelving.moves import Moves, longest_increasing, plan_moves
from tests.drawn_examples import examples
from tests.shelving.making import book, space


@given(st.permutations(range(7)))
def test_no_run_is_longer(values: list[int]) -> None:
    found = longest_increasing(values)
    assert [values[index] for index in found] == sorted(values[index] for index in found)
    longer = combinations(range(7), len(found) + 1)
    assert not any(all(values[a] < values[b] for a, b in combinations(chosen, 2)) for chosen in longer)


@st.composite
def changes(draw: st.DrawFn) -> tuple[dict[str, list[Book]], dict[str, list[Book]], dict[str, Space]]:
    """Books on three shelves, and another division of another order that fits them too; little room to spare."""
    books = [book(f"A{nth}", draw(st.integers(10, 40))) for nth in range(draw(st.integers(1, 8)))]

    def divided(order: list[Book]) -> dict[str, list[Book]]:
        first, second = sorted(draw(st.tuples(st.integers(0, len(order)), st.integers(0, len(order)))))
        return {"1": order[:first], "2": order[first:second], "3": order[second:]}

    today, wanted = divided(books), divided(draw(st.permutations(books)))
    spaces = {
        number: space(number, 1 + max(sum(b.thickness_mm for b in side[number]) for side in (today, wanted)))
        for number in today
    }
    return today, wanted, spaces


def carried_out(moves: Moves, today: dict[str, list[Book]], spaces: dict[str, Space]) -> dict[str, list[Book]]:
    """Do what each step says, and hold every shelf to its width."""
    now = {number: list(books) for number, books in today.items()}
    lying: list[Book] = []
    for step in moves.steps:
        for one in step.books:
            (lying if step.origin is None else now[step.origin]).remove(one)
        if step.target is None:
            lying += step.books
            continue
        at = now[step.target].index(step.behind) + 1 if step.behind else 0
        now[step.target][at:at] = step.books
        assert sum(one.thickness_mm for one in now[step.target]) <= spaces[step.target].width_mm
    assert not lying
    return now


@settings(max_examples=examples(300), deadline=None)
@given(changes())
def test_the_steps_lead_there_and_touch_the_fewest(
    case: tuple[dict[str, list[Book]], dict[str, list[Book]], dict[str, Space]],
) -> None:
    today, wanted, spaces = case
    moves = plan_moves(today, wanted, spaces)
    assert carried_out(moves, today, spaces) == wanted
    stay = 0
    for shelf, books in wanted.items():
        both = [one for one in today[shelf] if one in books]
        stay += max(
            len(chosen)
            for size in range(len(both) + 1)
            for chosen in combinations(both, size)
            if [one for one in books if one in chosen] == list(chosen)
        )
    assert len(moves.handled) == sum(map(len, wanted.values())) - stay
    assert len({one.copy for one in moves.put_down}) == len(moves.put_down)


def test_two_full_shelves_that_change_places_put_down_one_of_them() -> None:
    left, right = [book("a", 50), book("b", 50)], [book("c", 60), book("d", 40)]
    moves = plan_moves({"1": left, "2": right}, {"1": right, "2": left}, {n: space(n, 100) for n in "12"})
    assert len(moves.handled) == 4
    assert len(moves.put_down) == 2
    assert [step.target for step in moves.steps] == [None, "1" if moves.put_down[0] in left else "2",
                                                     "2" if moves.put_down[0] in left else "1"]  # fmt: skip


def test_books_that_stand_nowhere_are_brought() -> None:
    moves = plan_moves({"1": [book("a")]}, {"1": [book("new"), book("a")]}, {"1": space("1")})
    (step,) = moves.steps
    assert (step.origin, step.target, step.behind) == (None, "1", None)
