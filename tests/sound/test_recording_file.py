"""Files of each kind read alike (written by soundfile and by scipy), thinning changes nothing below its
limit, refusals name file and what is accepted."""

import io
import struct
import tracemalloc

import numpy as np
import pytest
import soundfile
from scipy.io import wavfile
from scipy.signal import resample_poly

from tonewood.sound.recording_file import BLOCK, onsets, read_recording, recording

T = np.arange(48000) / 48000
TONE = 0.5 * np.exp(-3 * T) * np.sin(2 * np.pi * 440 * T)


@pytest.mark.parametrize("kind, subtype", [
    ("WAV", "PCM_16"), ("WAV", "PCM_24"), ("WAV", "PCM_32"), ("WAV", "FLOAT"), ("WAV", "PCM_U8"),
    ("FLAC", "PCM_24"), ("OGG", "VORBIS"), ("MP3", "MPEG_LAYER_III")])
def test_each_kind_reads_alike(tmp_path, kind, subtype):
    path = tmp_path / f"tap.{kind.lower()}"
    soundfile.write(path, np.stack([TONE, TONE], axis=1), 48000, format=kind, subtype=subtype)
    heard = read_recording(path)
    assert heard.rate == 24000 and heard.name == path.name and heard.kept == "the mean of two channels"
    assert heard.seconds == pytest.approx(1.0, abs=0.06)             # compressed kinds carry a little more
    strength = np.abs(np.fft.rfft(heard.samples, 1 << 16))
    assert np.argmax(strength) * heard.rate / (1 << 16) == pytest.approx(440, abs=1)
    assert np.abs(heard.samples).max() == pytest.approx(0.5, abs=0.06)


def test_thinning_agrees_with_scipy_resampling(tmp_path):
    heard, other = recording(TONE, 48000).samples, resample_poly(TONE, 1, 2)
    both = [np.abs(np.fft.rfft(x))[:5000] for x in (heard, other)]       # up to 5 kHz
    assert np.max(np.abs(both[0] - both[1])) < 0.02 * both[1].max()


def test_blocks_join_without_a_seam():
    t = np.arange(2 * BLOCK + 1001) / 96000
    slow = recording(np.sin(2 * np.pi * 300 * t), 96000)
    after = slow.samples[1000:-1000]
    assert np.abs(after).max() == pytest.approx(1, abs=1e-3)
    assert np.abs(np.diff(after)).max() < 1.01 * 2 * np.pi * 300 / 24000


@pytest.mark.parametrize("rate, step", [(44100, 2), (96000, 4)])
def test_a_long_file_takes_little_memory(tmp_path, rate, step):
    path = tmp_path / "long.wav"
    with soundfile.SoundFile(path, "w", rate, 2, "PCM_16") as file:
        for _ in range(60):
            file.write(np.zeros((rate * 2, 2), np.int16))
    tracemalloc.start()
    heard = read_recording(path)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert heard.seconds == pytest.approx(120, abs=1e-3) and heard.rate == rate / step
    assert peak < 4 * len(heard.samples) + 40e6            # the samples kept, and a few blocks


def test_channels_that_run_against_each_other_do_not_cancel():
    heard = recording(np.stack([TONE, -0.8 * TONE], axis=1), 48000)
    assert heard.kept == "the louder of two channels" and np.abs(heard.samples).max() > 0.45


def test_clips_are_timed():
    loud = np.clip(5 * TONE, -1, 1)
    assert recording(loud, 48000).clipped[0] < 0.01 and recording(TONE, 48000).clipped == ()


def test_onsets_are_found_where_they_are():
    sound = np.concatenate([np.zeros(24000), TONE, TONE])
    sound += 1e-4 * np.random.default_rng(2).standard_normal(len(sound))
    assert np.array(onsets(sound, 48000)) / 48000 == pytest.approx([0.5, 1.5], abs=0.005)


def test_an_open_file_reads_as_its_path(tmp_path):
    path = tmp_path / "tap.wav"
    wavfile.write(path, 44100, (32000 * TONE).astype(np.int16))
    there = read_recording(io.BytesIO(path.read_bytes()), "upload.wav")
    assert np.array_equal(there.samples, read_recording(path).samples) and there.name == "upload.wav"


@pytest.mark.parametrize("name, content, words", [
    ("none.wav", None, "no file none.wav"), ("", None, "is a folder"),
    ("tap.m4a", b"\0\0\0 ftypM4A ", "save it as WAV"),
    ("text.wav", b"not a sound", "cannot be read as sound"), ("cut.wav", b"RIFF\x24\0\0\0WAVE", "cut.wav")])
def test_refusals_of_files(tmp_path, name, content, words):
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    with pytest.raises(ValueError, match=words):
        read_recording(path)


def test_an_empty_file_and_odd_rates_are_refused(tmp_path):
    path = tmp_path / "empty.wav"
    soundfile.write(path, np.zeros(0), 48000)
    with pytest.raises(ValueError, match=r"empty\.wav holds no sound"):
        read_recording(path)
    with pytest.raises(ValueError, match="Kilohertz"):
        recording(TONE, 48)
    with pytest.raises(ValueError, match="not a number"):
        recording([0.0, np.nan], 48000)
    with pytest.raises(ValueError, match="3 axes"):
        recording(np.zeros((2, 2, 2)), 48000)


def test_a_file_copied_in_part_is_refused_and_a_stream_is_read(tmp_path):
    """A WAV cut in half, at 16 bits and as float, with a chunk of odd length before its sound; the same
    whole, and as a phone streams it, its length not filled in."""
    t = np.arange(16000) / 8000
    for subtype in ("PCM_16", "FLOAT"):
        soundfile.write(tmp_path / "whole.wav", 0.3 * np.sin(2000 * t), 8000, subtype=subtype)
        raw = (tmp_path / "whole.wav").read_bytes()
        at = raw.index(b"data")
        odd = raw[:at] + b"note" + struct.pack("<I", 3) + b"abc\0" + raw[at:]
        for content in (raw, odd):
            half = content[:len(content) - (len(raw) - at - 8) // 2]
            with pytest.raises(ValueError, match=r"tap.wav holds 1\.0 s of the 2\.0 s .* only in part"):
                read_recording(io.BytesIO(half), "tap.wav")
            assert read_recording(io.BytesIO(content)).seconds == pytest.approx(2.0)
        for length in (0xFFFFFFFF, 0x7FFFFFFF - 36, 0):
            streamed = raw[:at + 4] + struct.pack("<I", length) + raw[at + 8:]
            assert read_recording(io.BytesIO(streamed)).seconds == pytest.approx(2.0), (subtype, length)
    soundfile.write(tmp_path / "tap.flac", 0.3 * np.sin(2000 * t), 8000)
    cut = (tmp_path / "tap.flac").read_bytes()
    (tmp_path / "tap.flac").write_bytes(cut[:len(cut) // 2])
    with pytest.raises(ValueError, match="tap.flac cannot be read as sound"):
        read_recording(tmp_path / "tap.flac")
    for kind, subtype, said in (("OGG", "VORBIS", "breaks off"), ("OGG", "OPUS", "breaks off"),
                                ("MP3", "MPEG_LAYER_III", r"holds \d\.\d s of the 8\.0 s it announces")):
        soundfile.write(tap := io.BytesIO(), 0.3 * np.sin(np.arange(8 * 48000) / 20), 48000, format=kind,
                        subtype=subtype)
        assert read_recording(tap, "tap").seconds == pytest.approx(8.0, abs=0.1)
        ends = [tap.getvalue().rindex(b"OggS")] if kind == "OGG" else []       # between two pages too
        for end in (*ends, len(tap.getvalue()) // 2, len(tap.getvalue()) * 9 // 10):
            with pytest.raises(ValueError, match=f"tap {said}.*only in part"):
                read_recording(io.BytesIO(tap.getvalue()[:end]), "tap")
