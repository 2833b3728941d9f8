"""Taps made by arithmetic, of known frequency and loss, and how well they are read back: a picture of the
reader's own errors. What real boards and rooms add to them is not in it. By definition of a dying tone."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np

from tonewood import checks
from tonewood.bench.taps import tap_tones
from tonewood.draws import Array
from tonewood.sound.recording_file import Recording, recording
from tonewood.tables import data_folder, read_table

if TYPE_CHECKING:
    from pandas import DataFrame

LEAD = 0.4       # s before the first tap
KNUCKLE = 0.003  # s in which the knuckle's own noise dies
FADED = 40.0     # a sound e^40 times weaker than it began is no longer added


def made_taps(frequency: float = 412.0, loss: float = 0.008, taps: int = 3, gap: float = 1.0,
              rate: float = 48000.0, noise: float = 1e-3, loud: float = 0.3,
              others: Sequence[tuple[float, float, float]] = (), hum: float = 0.0,
              hum_frequency: float = 50.0, offset: float = 0.0, opposite: bool = False, seed: int = 1
              ) -> Recording:
    """A made Recording of taps on a board: tone (Hz) and loss factor, `taps` of them every `gap` s.

    noise, loud, hum, offset: shares of full scale; others: further tones (Hz, loss factor, share of full
    scale); opposite: two channels that run against each other. Raises ValueError for sizes out of range.

    >>> made_taps(taps=2).seconds
    2.4
    """
    f = float(checks.number("frequency", frequency, 20.0, 0.4 * rate, "Hz"))
    eta = float(checks.number("loss factor", loss, 0.0, 0.5, open_low=True))
    count = checks.whole("taps", taps, 1, 100)
    chance = np.random.default_rng(seed)
    t = np.arange(int((LEAD + gap * count) * rate)) / rate
    sound = noise * chance.standard_normal(len(t)) + offset
    if hum:
        sound += hum * np.sin(2 * np.pi * hum_frequency * t + 1)

    def add(start: int, wave: Array) -> None:
        sound[start:start + len(wave)] += wave

    def heard(after: Array, rate_of_dying: float) -> Array:       # beyond, less than the rounding of the sum
        return after[:int(FADED / rate_of_dying * rate) + 1]

    for k in range(count):
        first = int((LEAD + k * gap) * rate)
        after = t[:len(t) - first]
        for tone, dies, size in [(f, eta, loud), *others]:
            on = heard(after, np.pi * tone * dies)
            add(first, size * np.exp(-np.pi * tone * dies * on) * np.sin(
                2 * np.pi * tone * on + chance.uniform(0, 2 * np.pi)))
        on = heard(after, 1 / KNUCKLE)
        add(first, 0.5 * loud * np.exp(-on / KNUCKLE) * chance.standard_normal(len(after))[:len(on)])
    samples: Array = np.clip(np.stack([sound, -sound], axis=1) if opposite else sound, -1.0, 1.0)
    return recording(samples, rate, f"made taps, {f:g} Hz")


CASES: dict[str, Callable[[float, float, int], Recording]] = {
    "quiet room": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, seed=seed),
    "noise 30 dB below": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, noise=0.01, seed=seed),
    "noise 16 dB below": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, noise=0.05, seed=seed),
    "one tap": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, taps=1, noise=0.01, seed=seed),
    "taps every 0.3 s": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, gap=0.3, noise=0.01, seed=seed),
    "second tone 4 % away": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, seed=seed,
                                                            others=[(1.04 * f, eta, 0.1)]),
    "equal tone 0.5 Hz away": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, seed=seed,
                                                              others=[(f + 0.5, eta, 0.3)]),
    "mains hum 20 dB below": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, hum=0.03, seed=seed),
    "channels opposed": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, opposite=True, seed=seed),
    "constant offset": lambda f, eta, seed: made_taps(f, eta, rate=16000.0, offset=0.1, seed=seed),
    "8000 samples a second": lambda f, eta, seed: made_taps(f, eta, rate=8000.0, seed=seed),
    "96000 samples a second": lambda f, eta, seed: made_taps(f, eta, rate=96000.0, seed=seed),
}


TOLD = {"frequency_median": "frequency, median (%)", "frequency_95th": "frequency, 95th (%)",
        "loss_median": "loss, median (%)", "loss_95th": "loss, 95th (%)",
        "within": "within twice the doubt told (%)", "refused": "refused (%)"}
"""What error_table tells, by the columns of tap_errors.csv."""
KEPT = "tap_errors.csv"


def kept_errors(trials: int = 12) -> DataFrame:
    """error_table(trials), %, as it was worked out beforehand where tap_errors.csv keeps it, else worked out
    now. Made anew by `python -m tonewood.bench.made_taps`; tests work it out again. Raises ValueError.

    >>> float(kept_errors(12).loc["quiet room", "refused (%)"])
    0.0
    """
    from pandas import DataFrame
    rows = [row for row in read_table(KEPT) if row["boards"] == trials]
    if not rows:
        return error_table(trials)
    return DataFrame([[np.nan if row[name] is None else row[name] for name in TOLD] for row in rows],
                     index=[row["case"] for row in rows], columns=list(TOLD.values()))


def error_table(trials: int = 20, cases: Sequence[str] = tuple(CASES)) -> DataFrame:
    """How far the reader is off, over `trials` boards a case (100 to 900 Hz, loss factors 5 to 20
    thousandths, drawn with seed 1): median and 95th percentile of the error of frequency and loss
    (%), how often the true loss lies within twice the uncertainty told (%), and how many were refused (%);
    cases: of CASES. Raises ValueError.

    >>> error_table(1).shape
    (12, 6)
    """
    from pandas import DataFrame
    count = checks.whole("trials", trials, 1, 10000)
    rows = []
    for made in (CASES[checks.choice("case", name, tuple(CASES))] for name in cases):
        chance = np.random.default_rng(1)
        off, within = [], []
        for k in range(count):
            f, eta = 100.0 * 9.0 ** chance.uniform(), chance.uniform(0.005, 0.02)
            found = tap_tones(made(f, eta, 1 + 7 * k), expected=f * chance.uniform(0.9, 1.1))
            if found.usable:
                off.append((100 * abs(found.frequency / f - 1), 100 * abs(found.loss / eta - 1)))
                within.append(abs(found.loss - eta) < 2 * found.loss_u)
        wrong = np.array(off) if off else np.full((1, 2), np.nan)
        half, far = np.median(wrong, axis=0), np.percentile(wrong, 95, axis=0)
        rows.append([half[0], far[0], half[1], far[1], 100 * np.mean(within) if within else np.nan,
                     100 * (1 - len(off) / count)])
    return DataFrame(rows, index=list(cases), columns=list(TOLD.values()))


def _keep() -> None:
    """Work out what tap_errors.csv keeps."""
    with open(data_folder() / KEPT, "w", encoding="utf-8", newline="") as file:
        out = csv.writer(file, lineterminator="\n")
        out.writerow(["boards", "case", *TOLD, "source", "place", "status", "note"])
        for boards in (6, 12):
            for case, values in zip(CASES, error_table(boards).to_numpy(), strict=True):
                out.writerow([boards, case, *("" if np.isnan(v) else f"{v:.9g}" for v in values), "derived",
                              "error_table, seed 1", "estimated", ""])


if __name__ == "__main__":
    _keep()
