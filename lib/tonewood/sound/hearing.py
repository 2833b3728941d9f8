"""Just-noticeable differences of hearing, each with its source, to set beside computed differences.

They say what listeners notice in quiet, attentive comparison. A difference below them is unlikely to be heard; a difference above them may
still go unheard in music.
"""

from dataclasses import dataclass

import numpy as np

from tonewood import checks


@dataclass(frozen=True)
class Threshold:
    """One published threshold: quantity, value, unit, source, place (what was read of it), status and note."""

    quantity: str
    value: float
    unit: str
    source: str
    place: str
    status: str
    note: str = ""


THRESHOLDS = {t.quantity: t for t in (
    Threshold("pitch glide", 0.1, "equivalent rectangular bandwidths",
              "H. Jarvelainen & V. Valimaki, Audibility of initial pitch glides in string instrument sounds, ICMC 2001", "abstract",
              "published", "synthetic string tones; roughly the same at every pitch tried; year from memory"),
    Threshold("shorter decay", 0.75, "ratio of decay times",
              "T. Tolonen & H. Jarvelainen, Perceptual study of decay parameters in plucked string synthesis, AES 109th Convention, 2000",
              "abstract, in a faulty copy", "published", "the 25 % was read; year and convention from memory"),
    Threshold("longer decay", 1.40, "ratio of decay times",
              "T. Tolonen & H. Jarvelainen, Perceptual study of decay parameters in plucked string synthesis, AES 109th Convention, 2000",
              "abstract, in a faulty copy", "from memory", "the copy reads 4 % where 40 % is remembered"),
    Threshold("level", 0.463, "factor in the relative step of intensity",
              "W. Jesteadt, C. C. Wier & D. M. Green, Intensity discrimination as a function of frequency and sensation level, "
              "J. Acoust. Soc. Am. 61 (1977) 169", "formula as quoted in the manual of a speech-analysis program", "published",
              "pulsed pure tones; volume and page from memory"),
    Threshold("critical bandwidth share", 1 / 30, "share of the critical bandwidth",
              "A. J. M. Houtsma, T. D. Rossing & W. M. Wagenaars, Auditory Demonstrations, Acoustical Society of America, 1987",
              "text of demonstration 33; authors and year from memory", "published", "typical step of frequency between two steady tones"),
)}


def level_step(sensation_level=60.0):
    """Smallest level difference noticed between two tones [dB]: 10 log10(1 + 0.463 (I/I0)^-0.072), about 0.7 dB at 60 dB.

    sensation_level: level above the threshold of hearing [dB]. Jesteadt, Wier & Green 1977, see THRESHOLDS["level"]. Raises ValueError.
    """
    sensation_level = checks.number("sensation level", sensation_level, 0.0, 120.0, "dB")
    return 10 * np.log10(1 + THRESHOLDS["level"].value * 10 ** (-0.072 * sensation_level / 10))


def equivalent_rectangular_bandwidth(frequency):
    """Bandwidth of the ear's filter at a frequency [Hz]: 24.673 (0.004368 f + 1).

    ANSI/ASA S3.4-2007 as given in the Acoustical Society's terminology, entry 6.31. Raises ValueError.
    """
    return 24.673 * (0.004368 * checks.number("frequency", frequency, 20.0, 20000.0, "Hz") + 1)


def glide_threshold(frequency):
    """Weakest initial pitch glide most listeners notice [cents]: 0.1 equivalent rectangular bandwidth. Raises ValueError."""
    glide = THRESHOLDS["pitch glide"].value * equivalent_rectangular_bandwidth(frequency)
    return 1200 * np.log2(1 + glide / np.asarray(frequency, float))


def decay_noticed(ratio):
    """Whether a ratio of two decay times leaves the range heard as the same, 0.75 to 1.40: True or False, shape of `ratio`."""
    ratio = np.asarray(checks.number("ratio of decay times", ratio, 0.0, None, open_low=True))
    return (ratio < THRESHOLDS["shorter decay"].value) | (ratio > THRESHOLDS["longer decay"].value)


def table():
    """All thresholds with source and status."""
    import pandas
    return pandas.DataFrame([vars(t) for t in THRESHOLDS.values()])
