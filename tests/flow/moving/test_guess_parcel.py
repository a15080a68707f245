"""What may be in a parcel of the small library: whose list comes first, and how sure the answer is said to be."""

import pytest

from intake.edges.store.library import Library
from intake.flow.moving import guess_parcel
from intake.flow.moving.guess_parcel import look_into, verdict_words
from intake.weighing.guess_contents import ContentsGuess, SubsetGuess


def answer(*probabilities: float, alike: int = 1, on_no_list: float = 0.0, sampled: float = 0.0) -> ContentsGuess:
    guesses = tuple(SubsetGuess((f"A{n}",), probability) for n, probability in enumerate(probabilities))
    together = min(1 - on_no_list, alike * probabilities[0]) if probabilities else 0.0
    return ContentsGuess(guesses, alike, together, on_no_list, {}, {}, sampled)


def test_how_sure_an_answer_is_said_to_be() -> None:
    assert verdict_words(answer(on_no_list=1.0)) == (
        "Most probably something that is on no list (100 %): nothing on the lists fits these measures."
    )
    assert verdict_words(answer(0.3, on_no_list=0.6)) == "Most probably something that is on no list (60 %)."
    assert "no list" not in verdict_words(answer(0.3, on_no_list=0.5))
    assert "no list" not in verdict_words(answer(0.7, on_no_list=0.6))
    assert "70 %" in verdict_words(answer(0.7))
    assert "50 %" in verdict_words(answer(0.5))
    assert verdict_words(answer(0.5)).split(" (")[0] == verdict_words(answer(0.7)).split(" (")[0]
    unsure = verdict_words(answer(0.49))
    assert "49 %" in unsure
    assert unsure.split("49")[0] != verdict_words(answer(0.7)).split("70")[0]
    # Two alike that are improbable together are not said to be it.
    assert verdict_words(answer(0.1, 0.1, alike=2)).startswith("Not sure")


def test_twins_are_counted_and_many_ask_for_more_measures() -> None:
    assert "first 2 (60 % together)" in verdict_words(answer(0.3, 0.3, alike=2))
    three, four = verdict_words(answer(0.3, alike=3)), verdict_words(answer(0.2, alike=4))
    assert len(four) > len(three)
    assert "about 9 " in verdict_words(answer(0.1, alike=9, sampled=0.6))
    assert "about 9 " not in verdict_words(answer(0.1, alike=9, sampled=0.4))


@pytest.mark.parametrize(("box", "listed"), [("1", "B1-56"), ("2", "B2-47")])
def test_the_list_of_its_own_box_comes_first(library: Library, box: str, listed: str) -> None:
    with library.reading() as records:
        looked = look_into(records, box, mass_g=1260, scale_g=5)
        anywhere = look_into(records, None, mass_g=1260, scale_g=5)
    assert looked.boxes[looked.answer.guesses[0].keys[0]] == listed
    assert set(looked.titles) == set(anywhere.titles) == set(looked.boxes)
    assert len(looked.titles) == 5
    assert (looked.answer.left_out, anywhere.answer.left_out) == (0, 0)
    # Without a box no list comes first: each of five copies of one mass is as likely.
    singles = [anywhere.answer.inside[key] for key in anywhere.titles]
    assert max(singles) - min(singles) < 1e-9
    assert looked.words == verdict_words(looked.answer)


def test_copies_beyond_those_read_are_in_the_prior_and_counted(
    library: Library, monkeypatch: pytest.MonkeyPatch
) -> None:
    with library.reading() as records:
        whole = look_into(records, None, mass_g=1260, scale_g=5).answer
        monkeypatch.setattr(guess_parcel, "LOOKED_AT", 2)
        part = look_into(records, None, mass_g=1260, scale_g=5).answer
    # Five copies of one supposed mass: two that are read have what each of five has, but for sets of three and more.
    assert part.left_out == 3
    assert part.guesses[0].probability == pytest.approx(whole.guesses[0].probability, rel=0.01)
    assert part.left_out_probability > 0.5
