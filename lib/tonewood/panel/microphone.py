"""A button that records through the browser's own microphone and hands the sound to an upload of the page, as
a WAV file, as if it had been chosen there.

The browser takes the samples as they come, without its cleaning for calls (echo, noise, loudness), which
would change a tone's fall. Browsers allow the microphone only on pages they trust: an address that begins
with https, or this machine's own (localhost, 127.0.0.1); elsewhere the button says so.
"""

from __future__ import annotations

from html import escape

import ipywidgets

LONGEST = 20
"""Seconds after which a recording stops by itself, unless told otherwise."""
UPLOAD = "tonewood-upload"

# Joined to one line and put into an attribute: no comments in it.
_SCRIPT = """
if (!window.tonewoodRecord) window.tonewoodRecord = async function (b, longest, advice) {
  var told = b.parentNode.querySelector('[role=status]'), parts = [], stream, node, clock;
  function say(words) { told.textContent = words; }
  if (b.tonewoodStop) { b.tonewoodStop(); return; }
  if (!window.isSecureContext || !navigator.mediaDevices || !window.AudioContext) {
    say('This browser gives no microphone to this page: it must stand at an address that begins with ' +
        'https, or on this machine (localhost). Record with a phone and upload the file.'); return; }
  try {
    stream = await navigator.mediaDevices.getUserMedia({audio: {channelCount: 1, echoCancellation: false,
      noiseSuppression: false, autoGainControl: false}});
  } catch (e) {
    say(e.name === 'NotAllowedError' ? 'The microphone was not allowed. Allow it beside the address of ' +
      'the page, or upload a file.' : e.name === 'NotFoundError' ? 'No microphone was found. Plug one in, ' +
      'or upload a file.' : 'The microphone cannot be used (' + e.name + '). Does another program hold ' +
      'it?'); return; }
  var context = new AudioContext(), source = context.createMediaStreamSource(stream);
  function take(samples) { parts.push(new Float32Array(samples)); }
  try {
    var code = 'registerProcessor(\\'tonewood-take\\', class extends AudioWorkletProcessor { process(i) { ' +
      'if (i[0][0]) this.port.postMessage(i[0][0].slice()); return true; } })';
    await context.audioWorklet.addModule(URL.createObjectURL(new Blob([code], {type: 'text/javascript'})));
    node = new AudioWorkletNode(context, 'tonewood-take');
    node.port.onmessage = function (e) { take(e.data); };
  } catch (e) {
    node = context.createScriptProcessor(4096, 1, 1);
    node.onaudioprocess = function (e) { take(e.inputBuffer.getChannelData(0)); };
  }
  source.connect(node); node.connect(context.destination); await context.resume();
  var words = b.textContent; b.textContent = 'Stop and read';
  say('Recording, at most ' + longest + ' s: ' + advice);
  b.tonewoodStop = function () {
    b.tonewoodStop = null; clearTimeout(clock); b.textContent = words;
    source.disconnect(); stream.getTracks().forEach(function (t) { t.stop(); });
    var rate = context.sampleRate, n = 0;
    parts.forEach(function (p) { n += p.length; }); context.close();
    if (!n) { say('Nothing was recorded: it was stopped before the first sound came in.'); return; }
    var out = new DataView(new ArrayBuffer(44 + 4 * n)), at = 44;
    function put(place, text) { for (var i = 0; i < 4; i++) out.setUint8(place + i, text.charCodeAt(i)); }
    put(0, 'RIFF'); out.setUint32(4, 36 + 4 * n, true); put(8, 'WAVE'); put(12, 'fmt ');
    out.setUint32(16, 16, true); out.setUint16(20, 3, true); out.setUint16(22, 1, true);
    out.setUint32(24, rate, true); out.setUint32(28, 4 * rate, true); out.setUint16(32, 4, true);
    out.setUint16(34, 32, true); put(36, 'data'); out.setUint32(40, 4 * n, true);
    parts.forEach(function (p) {
      for (var i = 0; i < p.length; i++, at += 4) out.setFloat32(at, p[i], true); });
    var up = b.closest('.tonewood-panel').querySelector('.UPLOAD'), field = null;
    up = up.matches('button') ? up : up.querySelector('button') || up;
    HTMLInputElement.prototype.click = function () { field = this; };
    try { up.click(); } finally { delete HTMLInputElement.prototype.click; }
    if (!field) { say('The recording could not be handed to the page. Upload a file.'); return; }
    var files = new DataTransfer();
    files.items.add(new File([out], 'microphone.wav', {type: 'audio/wav'}));
    field.files = files.files; field.dispatchEvent(new Event('change'));
    say('Recorded ' + (n / rate).toFixed(1) + ' s.');
  };
  clock = setTimeout(function () { if (b.tonewoodStop) b.tonewoodStop(); }, 1000 * longest);
};
"""


def microphone(upload: ipywidgets.FileUpload, advice: str, longest: int = LONGEST) -> ipywidgets.HTML:
    """The button, to be put into the same panel (boxes.panel) as `upload`, to which the sound is handed.
    advice: what to do now, said while it records; longest: seconds."""
    upload.add_class(UPLOAD)
    script = escape(" ".join(_SCRIPT.replace("UPLOAD", UPLOAD).split()))
    made = ipywidgets.HTML(
        f"<img alt='' hidden src='data:,' onerror=\"{script}\">"
        f"<button type='button' class='jupyter-widgets jupyter-button widget-button tonewood-microphone' "
        f"style='width:auto' onclick='tonewoodRecord(this, {longest}, this.dataset.advice)' "
        f"data-advice=\"{escape(advice, quote=True)}\">Record with the microphone</button>"
        "<div role='status' style='line-height:1.45;max-width:40em'></div>", layout={"width": "auto"})
    made.add_class("tonewood-note")
    return made
