"""Bars in noise: symbols of an encoder that is not ours (zint), noise of known standard deviation (NumPy's normal)."""

from dataclasses import replace

import numpy as np
import pytest
import zint

from intake.reading import noisy
from intake.reading.decoders import available
from intake.reading.evidence import Evidence
from intake.reading.geometry import Grey
from intake.reading.noisy import NOISY, noise_of, read_noisy
from intake.reading.read import read
from tests.reading.drawing import Shot, photograph, symbol
from tests.reading.hard import hard

FERNS = "9780306406157"
SHOT = Shot(size=(420, 300), module_px=2.0, angle=4.0, blur_px=0.6, noise=0.0, ink=60, paper=150, ground=110)


def bars(noise: float) -> Grey:
    return photograph(symbol(zint.Symbology.EANX, FERNS[:12]), replace(SHOT, noise=noise))[0]


@pytest.mark.parametrize("sigma", [2.0, 6.0, 20.0])
def test_noise_is_measured_in_paper_slopes_and_bars(sigma: float) -> None:
    random = np.random.default_rng(7)
    paper = np.full((300, 400), 128.0)
    slope = np.add.outer(np.linspace(0, 40, 300), np.linspace(60, 140, 400))
    for surface in (paper, slope, photograph(symbol(zint.Symbology.EANX, FERNS[:12]), SHOT)[0]):
        noise = np.clip(np.rint(surface + random.normal(0, sigma, surface.shape)), 0, 255).astype(np.uint8)
        # Levels are whole, so that the median is a multiple of a quarter.
        assert noise_of(noise) == pytest.approx(sigma, rel=0.08, abs=0.25)


def test_a_picture_without_noise_has_none() -> None:
    assert noise_of(bars(0.0)) < NOISY
    assert noise_of(np.full((64, 64), 9, np.uint8)) == 0


@pytest.mark.parametrize(("kind", "seed"), [("noise", 7), ("noise", 17), ("noise", 20), ("pale", 9)])
def test_bars_that_noise_hides_are_read_when_it_is_averaged(
    monkeypatch: pytest.MonkeyPatch, kind: str, seed: int
) -> None:
    picture = hard(kind, seed)
    (reading,) = read(picture.grey, decoders=available())
    assert (reading.number, reading.accepted, reading.methods) == (picture.printed.number, True, ("grey",))
    monkeypatch.setattr(noisy, "NOISY", 1e9)
    assert not any(each.accepted for each in read(picture.grey, decoders=available()))


def test_pictures_without_noise_are_left_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    evidence = Evidence(2)
    monkeypatch.setattr(noisy, "locate", None)  # would fail if it were called
    read_noisy(bars(1.0), evidence, None)
    assert evidence.readings() == ()


def test_noise_alone_is_no_symbol() -> None:
    random = np.random.default_rng(11)
    for sigma in (5.0, 25.0):
        noise = np.clip(random.normal(128, sigma, (300, 400)), 0, 255).astype(np.uint8)
        rows = np.clip(noise + random.normal(0, sigma, (300, 1)), 0, 255).astype(np.uint8)
        for picture in (noise, rows, np.ascontiguousarray(rows.T)):
            evidence = Evidence(2)
            read_noisy(picture, evidence, None)
            assert evidence.readings() == ()
