"""What covers are worth as evidence: the short list, the proof, strangers, and what a look-up costs.

    python -m tests.benchmarks.cover_table [COVERS [ASKED]]

Drawn covers are indexed, photographs of some are looked up, and of as many that are not among them. Where the
development photographs are here, pairs of pictures of one book are compared, and pairs of two. Wanted: the right one
among the first 50 for 88 % of 2,500 and 80 % of 20,000 drawn covers; 72 % of the real pairs proved; no stranger of
5,000; under 0.8 s and 500 MB. Indexing 20,000 takes a quarter of an hour on one core.
"""

import itertools
import random
import resource
import sys
import time
from collections import Counter
from collections.abc import Iterable

import cv2
import numpy as np

from intake.covers.coded_covers import INDEXED, CodedCovers, uncoded
from intake.covers.cover_features import CoverFeatures, describe
from intake.covers.recognise import ASK, LISTED, SURE, recognise
from intake.covers.same_cover import compare
from intake.covers.visual_words import learn
from intake.edges import pictures
from tests.covers.drawn_covers import draw_cover, photograph
from tests.reading.photographs import ABSENT, FOLDER, TOGETHER, photographs

LEARNED_FROM = 800
STRANGE_PAIRS = 5000


def say(line: str) -> None:
    """Print a line at once: a run that is ended early has said what it measured until then."""
    print(line, flush=True)


def drawn_index(covers: int) -> CodedCovers:
    """Index so many drawn covers."""
    step = max(covers // LEARNED_FROM, 1)
    samples = [describe(draw_cover(number)).descriptions for number in range(0, covers, step)]
    coded = uncoded(learn(np.concatenate(samples)), covers)
    return coded.with_more(describe(draw_cover(number), INDEXED).descriptions for number in range(covers))


def look_up(coded: CodedCovers, asked: Iterable[int]) -> tuple[Counter[str], list[float]]:
    """Look up photographs of drawn covers; count what is found, and return the seconds that each took."""
    index, count = coded.index(), len(coded)
    found: Counter[str] = Counter()
    took = []
    for number in asked:
        picture = photograph(draw_cover(number), number)
        drawn = {cover: describe(draw_cover(cover)) for cover, _ in index.shortlist(describe(picture), LISTED)}
        started = time.process_time()
        features = describe(picture)
        listed = [cover for cover, _ in index.shortlist(features, LISTED)]
        candidates = recognise(features, index, drawn.get)
        took.append(time.process_time() - started)
        sure = [candidate.cover for candidate in candidates if candidate.inliers >= SURE]
        if number < count:
            found["asked"] += 1
            found["first"] += listed[:1] == [number]
            found["listed"] += number in listed
            found["proved"] += number in sure
            found["wrong"] += any(cover != number for cover in sure)
        else:
            found["strangers"] += 1
            found["strangers asked about"] += any(candidate.inliers >= ASK for candidate in candidates)
            found["strangers taken"] += bool(sure)
    return found, took


def real_pairs(strange: int) -> None:
    """Compare pairs of the development photographs, all of one book and some of two."""
    shown = [photo for photo in photographs() if photo.number]
    names = ["the Japanese book" if photo.number in TOGETHER else photo.number for photo in shown]
    features: list[CoverFeatures] = [describe(pictures.load(photo.path).grey) for photo in shown]
    pairs = list(itertools.combinations(range(len(shown)), 2))
    same = [pair for pair in pairs if names[pair[0]] == names[pair[1]]]
    other = [pair for pair in pairs if names[pair[0]] != names[pair[1]]]
    other = random.Random(1).sample(other, min(strange, len(other)))
    agree = [compare(features[left], features[right]).inliers for left, right in same]
    chance = [compare(features[left], features[right]).inliers for left, right in other]
    proved = sum(inliers >= SURE for inliers in agree)
    say(f"real pairs of one book   {len(same)}: proved {proved / len(same):.1%}")
    passed = sum(inliers >= SURE for inliers in chance)
    say(f"real pairs of two books  {len(other)}: taken for one {passed}, most places {max(chance)}")


def main(covers: int = 2500, asked: int = 200) -> None:
    """Print the table."""
    cv2.setNumThreads(1)
    started = time.process_time()
    coded = drawn_index(covers)
    say(f"{covers} covers drawn and indexed in {time.process_time() - started:.0f} s of one core's time")
    numbers = np.linspace(0, covers - 1, min(asked, covers)).astype(int).tolist()
    found, took = look_up(coded, [*numbers, *range(covers, covers + asked)])
    of = found["asked"]
    say(f"drawn covers             {covers}, photographs {of}")
    say(f"  first                  {found['first'] / of:.1%}")
    say(f"  among the first {LISTED}     {found['listed'] / of:.1%}")
    say(f"  proved                 {found['proved'] / of:.1%}, another proved {found['wrong']}")
    say(f"  strangers              {found['strangers']}: asked about {found['strangers asked about']}, "
          f"taken for one {found['strangers taken']}")  # fmt: skip
    say(f"  a look-up              median {np.median(took):.2f} s, longest {max(took):.2f} s of one core's time")
    say(f"  memory                 {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1000:.0f} MB at most")
    if FOLDER.is_dir():
        real_pairs(STRANGE_PAIRS)
    else:
        say(ABSENT)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
