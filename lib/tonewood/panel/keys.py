"""What the page does about keys and clicks inside our panels and what a cell shows, once per page.

A notebook takes single letters and arrows for commands to its cells (cut, delete, turn into text) even while
a list or a slider of ours has the focus. The script hears each key before the notebook does and keeps it
from going on; what the browser itself does with it (choose from a list, tick, press) happens all the same.
"""

from __future__ import annotations

# Joined to one line and put into an attribute: no comments in it. `step` moves a number box like a slider.
SCRIPT = """
if (!window.tonewoodKeys) (function () {
  window.tonewoodKeys = true;
  function stop(e) { e.stopPropagation(); }
  function step(box, way) {
    var s = box.closest('.tonewood-slider').querySelector('.noUi-target').noUiSlider.options;
    var low = Number(s.range.min), v = parseFloat(box.value.replace('\u2212', '-').replace(',', '.'));
    var n = (v - low) / s.step;
    if (isNaN(n)) return;
    n = way > 0 ? Math.floor(n + 1e-6) + 1 : Math.ceil(n - 1e-6) - 1;
    v = Math.min(Math.max(low + n * s.step, low), Number(s.range.max));
    box.value = String(parseFloat(v.toPrecision(6)));
    ['input', 'change'].forEach(function (name) { box.dispatchEvent(new Event(name, {bubbles: true})); });
  }
  window.addEventListener('keydown', function (e) {
    var at = e.target, ours = at.closest && at.closest('[class*=tonewood-], .jp-OutputArea-output');
    if (!ours || e.ctrlKey || e.altKey || e.metaKey || e.key === 'Tab' || e.key === 'Escape') return;
    if (at.matches('textarea, input:not([type=radio]):not([type=checkbox])')) {
      if (at.closest('.tonewood-number') && (e.key === 'ArrowUp' || e.key === 'ArrowDown')) {
        e.preventDefault(); e.stopPropagation(); step(at, e.key === 'ArrowUp' ? 1 : -1);
      }
      return;
    }
    if (at.matches('audio, video') || at.matches('.noUi-handle') && /^(Arrow|Page|Home|End)/.test(e.key))
      ours.addEventListener('keydown', stop, {once: true});
    else e.stopPropagation();
  }, true);
  window.addEventListener('click', function (e) {
    var b = e.target.closest && e.target.closest('.tonewood-button'), told = null;
    if (!b) return;
    var wait = setTimeout(function () {
      told = document.createElement('span'); told.className = 'tonewood-busy';
      told.setAttribute('role', 'alert'); b.insertAdjacentElement('afterend', told);
      told.textContent = 'Still working; this click waits its turn.';
    }, 400);
    var seen = new MutationObserver(function () {
      clearTimeout(wait); seen.disconnect(); if (told) told.remove(); });
    seen.observe(b, {attributes: true, attributeFilter: ['class', 'disabled']});
  }, true);
})();
"""
"""The listeners, set by whichever panel comes first."""
