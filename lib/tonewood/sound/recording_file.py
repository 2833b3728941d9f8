"""Reading a recording: one row of samples from a file of any kind that the sound-file library reads.

Files are read in blocks and thinned to at most 24000 samples a second on the way, so that an hour's recording
takes about 350 MB at most; a wood's tones and a guitar's fundamentals lie far below that limit.
Limits below: common practice, no source.
"""

from __future__ import annotations

import struct
from collections.abc import Iterable, Iterator
from contextlib import nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, BinaryIO

import numpy as np

from tonewood.draws import Array
from tonewood.remember import remember

if TYPE_CHECKING:
    from numpy.typing import ArrayLike
    from soundfile import SoundFile

RATE = 24000.0         # samples a second kept, at most
BLOCK = 1 << 18        # frames read at a time
LONGEST = 4 * 3600.0   # s; beyond it is a slip
LEAST_RATE, MOST_RATE = 8000.0, 192000.0
FULL = 0.999           # share of full scale taken as clipped
HOP = 0.004            # s between levels
RUN = 3                # samples in a row at full scale that make a clip
STREAMED = 0x7FFFF000  # bytes; what is announced from here on was written before the length was known
PAGE = 27 + 255 + 255 * 255    # bytes; no page of an OGG is longer
LOST = 0.1             # s fewer than announced that are let pass: a coder fills up its last frames
ACCEPTED = "WAV, FLAC, OGG or MP3, 8 to 192 kHz, one or more channels"


@dataclass(frozen=True)
class Recording:
    """What was heard: samples (N,) as a share of full scale; rate, samples a second (Hz); name of the file;
    kept: how the channels became one; clipped (K,): seconds at which the recorder was overdriven."""

    samples: Array
    rate: float
    name: str = "recording"
    kept: str = "one channel"
    clipped: tuple[float, ...] = ()

    @property
    def seconds(self) -> float:
        """Length, s."""
        return len(self.samples) / self.rate

    def part(self, start: float, stop: float) -> Array:
        """The samples between two times (s)."""
        first, last = (max(int(round(t * self.rate)), 0) for t in (start, stop))
        return self.samples[first:last]


def recording(samples: ArrayLike, rate: float, name: str = "recording") -> Recording:
    """A Recording from samples, (N,) or (N, channels), shares of full scale, rate in Hz.

    Raises ValueError for a rate in kHz, samples that are no numbers, or more than two axes.

    >>> recording(np.zeros((8000, 2)), 8000).seconds
    1.0
    """
    values = np.asarray(samples, dtype=float)
    if values.ndim not in (1, 2):
        raise ValueError(f"recording: samples with {values.ndim} axes given; accepted: (N,) or (N, channels)")
    if not np.all(np.isfinite(values)):
        raise ValueError("recording: a sample that is not a number given; accepted: finite samples")
    _rate_ok(rate, name)
    blocks = values if values.ndim == 2 else values[:, None]
    return _joined([blocks], _heard(rate, [blocks]), len(blocks), name)


def read_recording(path: str | Path | BinaryIO, name: str | None = None) -> Recording:
    """A Recording from a file: WAV (16, 24, 32 bit, float), FLAC, OGG, MP3; 8 to 192 kHz.

    Channels are averaged; where two of them run against each other, which would cancel, the louder is kept.
    path: a path, or an open file (an upload). name: shown in refusals. Raises ValueError for a file that is
    missing, empty, of another kind, shorter than its own head announces, or an OGG without its end (copied
    only in part); a WAV written as a stream, whose head announces nothing (length 0 or all ones), is taken as
    it is.

    >>> read_recording("no such tap.wav")
    Traceback (most recent call last):
    ValueError: recording: no file no such tap.wav; accepted: the path of a sound file
    """
    import soundfile
    shown = name or (Path(path).name if isinstance(path, (str, Path)) else "the upload")
    if isinstance(path, (str, Path)) and not Path(path).is_file():
        what = f"{shown} is a folder" if Path(path).is_dir() else f"no file {shown}"
        raise ValueError(f"recording: {what}; accepted: the path of a sound file")
    try:
        with nullcontext(path) if not isinstance(path, (str, Path)) else open(path, "rb") as raw, \
                soundfile.SoundFile(_whole(raw, shown)) as file:
            rate, frames = float(file.samplerate), file.frames
            _rate_ok(rate, shown)
            if not frames:
                raise ValueError(f"recording: {shown} holds no sound; accepted: {ACCEPTED}. Did the recorder "
                                 "run?")
            if frames > LONGEST * rate:
                raise ValueError(f"recording: {shown} is {frames / rate / 3600:.1f} h long; accepted: up to "
                                 f"{LONGEST / 3600:.0f} h")
            heard = _heard(rate, _read(file))
            if heard.frames < frames - LOST * rate:              # an MP3 tells its length in its head
                raise _in_part(shown, f"holds {heard.frames / rate:.1f} s of the {frames / rate:.1f} s it "
                                      "announces")
            file.seek(0)
            return _joined(_read(file), heard, frames, shown)
    except soundfile.LibsndfileError as problem:
        told = str(problem).rsplit(": ", 1)[-1].rstrip(".")
        hint = ". Phones often record m4a: let the phone or a sound editor save it as WAV" \
            if shown.lower().endswith((".m4a", ".mp4", ".aac", ".3gp", ".amr", ".caf")) else ""
        told = told or "it breaks off"
        raise ValueError(f"recording: {shown} cannot be read as sound ({told}); accepted: {ACCEPTED}{hint}") \
            from None


def _read(file: SoundFile) -> Iterator[Array]:
    """Blocks of what is there: SoundFile.blocks fills up to the length announced with what lay in memory."""
    while len(block := file.read(BLOCK, dtype="float32", always_2d=True)):
        yield block


class _Mended:
    """A WAV whose head gives no length, read as if it gave the right one: four bytes from `at` on."""

    def __init__(self, file: BinaryIO, at: int, size: int) -> None:
        self._file, self._at, self._length = file, at, struct.pack("<I", size)
        self.seek, self.tell = file.seek, file.tell

    def read(self, count: int = -1) -> bytes:
        """The next bytes."""
        start = self._file.tell()
        found = bytearray(self._file.read(count))
        for k in range(4):
            if 0 <= self._at + k - start < len(found):
                found[self._at + k - start] = self._length[k]
        return bytes(found)


def _whole(file: BinaryIO, name: str) -> BinaryIO | _Mended:
    """The file, its length mended where the head gives none. Raises ValueError for a WAV that holds less
    sound than its head announces, and for an OGG that breaks off. Source: the form of RIFF files, chunks of
    four letters and a length, those of odd length filled up by one byte."""
    length = file.seek(0, 2)
    file.seek(0)
    if file.read(4) == b"OggS":
        _ogg_ended(file, length, name)
    file.seek(0)
    head, rate, at, found = file.read(12), 0, 12, None
    while head[:4] == b"RIFF" and head[8:] == b"WAVE" and at + 8 <= length and not found:
        file.seek(at)
        kind, size = struct.unpack("<4sI", file.read(8))
        at += 8
        if kind == b"fmt ":
            rate = struct.unpack_from("<I", file.read(16).ljust(16, b"\0"), 8)[0]        # bytes a second
        elif kind == b"data":
            found = size, length - at
        at += size + size % 2
    file.seek(0)
    if not found or not rate:
        return file
    size, there = found
    if size == 0 and there:
        return _Mended(file, at - 4, there)
    if size < STREAMED and size - there > 0.001 * rate:
        raise _in_part(name, f"holds {there / rate:.1f} s of the {size / rate:.1f} s it announces")
    return file


def _in_part(name: str, what: str) -> ValueError:
    return ValueError(f"recording: {name} {what}; accepted: a whole file. Was it copied only in part? If no "
                      "more of it is left, a sound editor saves what is there as a file of its own")


def _ogg_ended(file: BinaryIO, length: int, name: str) -> None:
    """Raises ValueError for an OGG file whose last page is cut or not marked as the last. Source: RFC 3533,
    section 6: flag 4 marks the end of a stream, the table of segments tells a page's length."""
    file.seek(max(length - PAGE, 0))
    tail = file.read(PAGE)
    file.seek(0)
    at = tail.rfind(b"OggS")
    page = tail[at:] if at >= 0 else b""
    count = page[26] if len(page) > 26 else 0
    if len(page) < 27 + count or len(page) < 27 + count + sum(page[27:27 + count]):
        raise _in_part(name, "breaks off within a page")
    if not page[5] & 4:
        raise _in_part(name, "breaks off: its last page is not marked as the end")


def _rate_ok(rate: float, name: str) -> None:
    if not LEAST_RATE <= float(rate) <= MOST_RATE:
        hint = f" Kilohertz? {rate:g} kHz is {1000 * rate:g} Hz." if 8 <= rate <= 192 else ""
        raise ValueError(f"recording: {name} has {rate:g} samples a second; accepted: {LEAST_RATE:.0f} to "
                         f"{MOST_RATE:.0f} Hz.{hint}")


def onsets(samples: Array, rate: float, rise: float = 15.0, apart: float = 0.15,
           hop: float = HOP) -> list[int]:
    """Samples at which something begins: the level, read every `hop` s, rises by `rise` dB within five of
    these, `apart` s or more after the one before, no more than 30 dB under the loudest. samples (N,), rate in
    Hz. Raises nothing.

    >>> t = np.arange(8000) / 8000
    >>> onsets(np.concatenate([np.zeros(800), np.exp(-9 * t) * np.sin(2000 * t)]), 8000)
    [800]
    """
    size = max(int(hop * rate), 1)
    whole = len(samples) // size * size
    level = np.asarray(10 * np.log10((samples[:whole].reshape(-1, size)**2).mean(axis=1) + 1e-14))
    if not len(level):
        return []
    look, found = 5, list[int]()
    padded = np.concatenate([np.full(look, np.percentile(level, 20)), level])
    before = np.lib.stride_tricks.sliding_window_view(padded, look).min(axis=1)[:len(level)]
    for k in np.flatnonzero((level - before >= rise) & (level >= level.max() - 30)):
        if not found or (k - found[-1]) * hop >= apart:
            found.append(int(k))
    return [k * size for k in found]


@dataclass(frozen=True)
class _Heard:
    """What a first pass finds: rate (Hz), share of the first and last channel in the mix, how it is called,
    and the times (s) of clips."""

    rate: float
    mix: Array
    kept: str
    clipped: tuple[float, ...]
    frames: int


def _heard(rate: float, blocks: Iterable[Array]) -> _Heard:
    power, frames, channels = np.zeros((2, 2)), 0, 1
    clipped: list[float] = []
    for block in blocks:
        full = np.abs(block).max(axis=1) >= FULL
        if len(full) >= RUN and full.any():
            for t in (frames + np.flatnonzero(np.convolve(full, np.ones(RUN, int), "valid") == RUN)) / rate:
                if not clipped or t - clipped[-1] > 0.01:
                    clipped.append(float(t))
        pair = block[:, [0, -1]].astype(float)
        power += pair.T @ pair
        frames, channels = frames + len(block), block.shape[1]
    (left, across), (_, right) = power
    if channels == 1:
        mix, kept = (1.0, 0.0), "one channel"
    elif across < -0.5 * np.sqrt(left * right) or min(left, right) < 0.01 * max(left, right):
        mix, kept = ((0.0, 1.0) if right > left else (1.0, 0.0)), "the louder of two channels"
    else:
        mix, kept = (0.5, 0.5), "the mean of two channels"
    return _Heard(float(rate), np.array(mix), kept, tuple(clipped), frames)


@remember(16)
def _thinning(rate: float, step: int) -> Array:
    from scipy.signal import cheby2
    return np.asarray(cheby2(10, 70, 0.5 * rate / step, fs=rate, output="sos"))


def _joined(blocks: Iterable[Array], heard: _Heard, frames: int, name: str) -> Recording:
    """The mix, thinned block by block into room made once."""
    step = int(np.ceil(heard.rate / RATE))
    if step > 1:
        from scipy.signal import sosfilt, sosfilt_zi  # which takes half a second to load
    low = _thinning(heard.rate, step) if step > 1 else None
    samples: Any = np.zeros(frames // step + 1, np.float32)
    filled, phase, state = 0, 0, None
    for block in blocks:
        if not len(block):
            continue
        one = block[:, [0, -1]] @ heard.mix
        if low is not None:
            if state is None:
                state = sosfilt_zi(low) * one[0]             # as if it had gone on before
            whole, state = sosfilt(low, one, zi=state)
            one, phase = whole[phase::step], (phase - len(whole)) % step
        room = min(len(one), len(samples) - filled)          # a file may hold more than its head tells
        samples[filled:filled + room] = one[:room]
        filled += room
    return Recording(samples[:filled], heard.rate / step, name, heard.kept, heard.clipped)
