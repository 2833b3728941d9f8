"""A page to take away: one file that needs nothing from elsewhere, with sliders over pictures, sentences and
sounds worked out beforehand. It runs on a phone, without a network, from the attachment of a mail.

Without script the controls stay away and every sentence stands in a table; pictures then show the start. The
page forbids itself every request.
"""

from __future__ import annotations

import base64
import io
import itertools
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from math import prod

from PIL import Image

from tonewood import checks
from tonewood.panel.page import table

LARGEST = 5_000_000
"""Bytes of a page at most: what nearly every mail box takes."""
MOST = 200
"""Settings of one viewer at most."""
_LOOK = """
*{box-sizing:border-box} body{margin:0;background:#fff;color:#1c1c1c;
 font:16px/1.5 system-ui,-apple-system,"Segoe UI",Roboto,"DejaVu Sans",Helvetica,Arial,sans-serif}
main{max-width:62rem;margin:0 auto;padding:1rem} h1{font-size:1.6rem;line-height:1.2;margin:.2em 0}
h2{font-size:1.15rem;margin:2rem 0 .6rem;border-bottom:1px solid #888;padding-bottom:.2rem}
.kind{font-size:.85rem;letter-spacing:.06em;text-transform:uppercase;color:#444;margin:0}
.dials{display:flex;flex-wrap:wrap;gap:.4rem 1.6rem;margin:.6rem 0} .dials[hidden]{display:none}
.dial{flex:1 1 15rem;min-width:0} .dial label{display:flex;justify-content:space-between;gap:1rem}
.dial output{font-weight:600;text-align:right} .dial :is(input,select){width:100%;height:44px;
 margin:0;font:inherit}
.dial input{accent-color:#0072B2} :focus-visible{outline:3px solid #0072B2;outline-offset:2px}
.seen{margin:0} .seen img{display:block;max-width:100%;height:auto} .cut{display:none}
.says{border-left:4px solid #0072B2;padding:.2rem 0 .2rem .7rem;margin:.6rem 0;max-width:46rem}
figure{margin:.6rem 0} figure img{max-width:100%;height:auto} audio{width:100%;max-width:28rem;height:44px}
table{border-collapse:collapse;font-size:.9rem} caption{font-size:.8rem;color:#333;padding-top:.3rem}
th,td{padding:.25rem .8rem .25rem 0;vertical-align:top;border-bottom:1px solid #ccc;
 white-space:normal !important}
thead th{border-bottom:1px solid #555} tbody th{font-weight:normal}
summary{min-height:44px;padding:.6rem 0;cursor:pointer}
blockquote{margin:.4rem 0;padding-left:.8rem;border-left:4px solid #888;overflow-wrap:anywhere}
@media (max-width:640px){.parted .whole{display:none} .parted .cut{display:block;position:relative;
 overflow:hidden;width:100%;margin-bottom:.5rem} .cut img{position:absolute;max-width:none !important}}
.stacked{columns:380px} .stacked .whole{display:none} .stacked .cut{display:block;position:relative;
 overflow:hidden;width:100%;max-width:380px;break-inside:avoid}
.stacked .cut img{position:absolute;max-width:none !important}
@media print{.dials{display:none}}
"""
_SCRIPT = """
document.querySelectorAll('.viewer').forEach(function (v) {
  var d = JSON.parse(v.querySelector('script').textContent), seen = v.querySelector('.seen');
  var dials = v.querySelectorAll('.dial'), said = v.querySelector('.says'), sound = v.querySelector('audio');
  function show(first) {
    var at = 0;
    dials.forEach(function (dial, k) {
      var input = dial.querySelector('input,select'), now = +input.value, word = d.dials[k][now];
      at = at * d.dials[k].length + now;
      dial.querySelector('output').textContent = input.tagName === 'SELECT' ? '' : word;
      input.setAttribute('aria-valuetext', word);
    });
    var frame = d.frames[at], picture = frame[0] < 0 ? null : d.pictures[frame[0]];
    seen.hidden = picture === null;
    if (picture) seen.querySelectorAll('img').forEach(function (i) {
      i.src = picture; i.alt = d.alt + ' ' + frame[1]; });
    if (!first) said.textContent = frame[1];
    if (sound && frame[2] >= 0 && sound.dataset.at !== String(frame[2])) {
      sound.src = d.sounds[frame[2]]; sound.dataset.at = frame[2]; }
  }
  if (d.parted) seen.classList.add(d.parted);
  v.querySelector('.dials').hidden = false; v.querySelector('details').open = false;
  dials.forEach(function (dial) { dial.addEventListener('input', function () { show(false); }); });
  show(true);
});
"""


@dataclass(frozen=True)
class Dial:
    """What is set on the page: name; its values as they are read, in order; start: place of the first shown;
    ordered: a slider, else a list to choose from."""

    name: str
    shown: tuple[str, ...]
    start: int = 0
    ordered: bool = True

    def __post_init__(self) -> None:
        checks.whole(f"{self.name}: values", len(self.shown), 1, MOST)
        checks.whole(f"{self.name}: place of the start", self.start, 0, len(self.shown) - 1)


@dataclass(frozen=True)
class Frame:
    """One setting: picture (PNG, None for none), sentence, sound (WAV, None for none)."""

    picture: bytes | None
    sentence: str
    sound: bytes | None = None


@dataclass(frozen=True, kw_only=True)
class Viewer:
    """Dials over frames worked out beforehand, the last dial moving fastest. alt: what the pictures show;
    parts: {name: (left, bottom, right, top)} in fractions, which a phone shows one below the other;
    stacked: a wide page shows them beside each other. Raises ValueError."""

    dials: tuple[Dial, ...]
    frames: tuple[Frame, ...]
    alt: str
    parts: Mapping[str, Sequence[float]] = field(default_factory=dict)
    stacked: bool = False

    def __post_init__(self) -> None:
        wanted = settings(self.dials)
        if len(self.frames) != wanted:
            raise ValueError(f"frames: {len(self.frames)} given; accepted: {wanted}, one for each setting")

    @property
    def start(self) -> int:
        """Place of the frame first shown."""
        at = 0
        for dial in self.dials:
            at = at * len(dial.shown) + dial.start
        return at

    @property
    def html(self) -> str:
        """The viewer as mark-up: controls, picture, sentence, every sentence in a table."""
        pictures, sounds = _Once(_image), _Once(_sound)
        frames = [[pictures.place(f.picture), f.sentence, sounds.place(f.sound)] for f in self.frames]
        data = json.dumps({"dials": [dial.shown for dial in self.dials], "frames": frames, "alt": self.alt,
                           "pictures": pictures.kept, "sounds": sounds.kept,
                           "parted": "stacked" if self.stacked else "parted" if self.parts else ""},
                          ensure_ascii=False).replace("</", "<\\/")
        first = self.frames[self.start]
        alt = escape(f"{self.alt} {first.sentence}", quote=True)
        shown = f"<img class='whole' alt='{alt}' src='{_image(first.picture)}'>" if first.picture else ""
        source = f" src='{_sound(first.sound)}'" if first.sound else ""
        audio = f"<audio controls aria-label='Sound of this setting'{source}></audio>" if sounds.kept else ""
        rows = [(", ".join(words), frame.sentence) for words, frame in zip(
            itertools.product(*(dial.shown for dial in self.dials)), self.frames, strict=True)]
        every = table((", ".join(dial.name for dial in self.dials), "what is seen"), rows, wrap="60em").html
        return (f"<div class='viewer'><div class='dials' hidden>{''.join(map(_dial, self.dials))}</div>"
                f"<div class='seen'>{shown}{self._cuts(first)}</div>"
                f"<p class='says' role='status' aria-live='polite'>{escape(first.sentence)}</p>{audio}"
                f"<details open><summary>Every setting in words ({len(rows)})</summary>{every}</details>"
                f"<script type='application/json'>{data}</script></div>")

    def _cuts(self, first: Frame) -> str:
        """The parts of the picture, for phones; filled by the script."""
        if not self.parts or first.picture is None:
            return ""
        width, height = Image.open(io.BytesIO(first.picture)).size
        made = []
        for left, bottom, right, top in self.parts.values():
            wide, high = right - left, top - bottom
            shape = width / height * wide / high
            made.append(f"<div class='cut' style='aspect-ratio:{shape:.4f}'><img alt='' style='width:"
                        f"{100 / wide:.2f}%;left:{-100 * left / wide:.2f}%;"
                        f"top:{100 * (top - 1) / high:.2f}%'></div>")
        return "".join(made)


def settings(dials: Sequence[Dial]) -> int:
    """How many settings dials have together. Raises ValueError for more than MOST."""
    return checks.whole("settings of all dials together", prod(len(dial.shown) for dial in dials), 1, MOST)


def document(title: str, *marked: str) -> str:
    """The page around mark-up and viewers: no request can leave it. Raises ValueError where it is larger than
    LARGEST."""
    policy = ("default-src 'none'; img-src data:; media-src data:; style-src 'unsafe-inline'; "
              "script-src 'unsafe-inline'; base-uri 'none'; form-action 'none'")
    made = (f"<!doctype html><html lang='en'><head><meta charset='utf-8'><title>{escape(title)}</title>"
            f"<meta http-equiv='Content-Security-Policy' content=\"{policy}\">"
            "<meta name='viewport' content='width=device-width, initial-scale=1'>"
            f"<style>{_LOOK}</style></head><body><main>{''.join(marked)}</main><script>{_SCRIPT}</script>"
            "</body></html>")
    size = len(made.encode())
    if size > LARGEST:
        raise ValueError(f"page: {size / 1e6:.1f} MB made; accepted: at most {LARGEST / 1e6:g} MB, so that a "
                         "mail takes it. Use fewer values of the controls, or fewer pictures")
    return made


def _dial(dial: Dial) -> str:
    name, last = escape(dial.name), len(dial.shown) - 1
    if dial.ordered:
        box = (f"<input type='range' min='0' max='{last}' step='1' value='{dial.start}' "
               f"aria-label='{escape(dial.name, quote=True)}'>")
    else:
        options = "".join(f"<option value='{k}'{' selected' * (k == dial.start)}>{escape(words)}</option>"
                          for k, words in enumerate(dial.shown))
        box = f"<select aria-label='{escape(dial.name, quote=True)}'>{options}</select>"
    return f"<div class='dial'><label><span>{name}</span><output></output></label>{box}</div>"


class _Once:
    """Things that a page holds once however often they are shown."""

    def __init__(self, write: Callable[[bytes], str]) -> None:
        self._write, self._at, self.kept = write, {}, []

    def place(self, data: bytes | None) -> int:
        """Its place in `kept`, -1 for nothing."""
        if data is None:
            return -1
        if data not in self._at:
            self._at[data] = len(self.kept)
            self.kept.append(self._write(data))
        return self._at[data]


def _image(png: bytes) -> str:
    """A picture as a data address, as WebP where that is smaller (lossless) and can be written."""
    data, kind = png, "png"
    try:
        out = io.BytesIO()
        Image.open(io.BytesIO(png)).convert("RGB").save(out, "WEBP", lossless=True, method=4)
        if len(out.getvalue()) < len(png):
            data, kind = out.getvalue(), "webp"
    except (OSError, KeyError):
        pass
    return f"data:image/{kind};base64,{base64.b64encode(data).decode()}"


def _sound(wav: bytes) -> str:
    return f"data:audio/wav;base64,{base64.b64encode(wav).decode()}"
