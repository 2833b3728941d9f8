"""A list that is searched by typing: the page puts a text field with a list of matches in place of a long
drop-down list, in the pattern of an editable combobox (WAI-ARIA Authoring Practices 1.2).

The drop-down list stays the one that holds the choice; without the script it is simply used as it is. Typing
any part of a name, or of its other names, narrows the list; arrows, Enter, Escape and the mouse work in it.
A text that is no name of the list is refused and the choice stays.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from html import escape


def other_names(also: Mapping[str, str]) -> str:
    """Mark-up that hands the script the other names to search by, {shown name: other names}."""
    names = escape(json.dumps(dict(also), ensure_ascii=False), quote=True)
    return f"<span hidden data-also='{names}'></span>"


LOOK = """
.tonewood-find .widget-dropdown {position:relative}
.tonewood-find select.tonewood-behind {display:none}
.tonewood-seek {flex:1 1 0; min-width:0; width:100%; height:28px; box-sizing:border-box; padding:0 24px 0 8px;
  border:1px solid var(--jp-border-color1,#999); background:var(--jp-layout-color0,#fff);
  color:var(--jp-content-font-color1,#000); font:inherit; font-size:13px}
.tonewood-find .widget-dropdown::after {content:"▾"; position:absolute; right:8px; bottom:0;
  line-height:28px; pointer-events:none; color:var(--jp-content-font-color1,#000)}
.tonewood-hits {position:absolute; left:0; right:0; top:100%; z-index:20; margin:0; padding:2px 0;
  max-height:232px; overflow-y:auto; list-style:none; border:1px solid var(--jp-border-color1,#999);
  background:var(--jp-layout-color0,#fff); color:var(--jp-content-font-color1,#000); font-size:13px;
  line-height:1.35; box-shadow:0 3px 10px rgba(0,0,0,.3)}
.tonewood-hits[hidden], .tonewood-refused[hidden] {display:none}
.tonewood-hits li {padding:4px 8px; cursor:default; white-space:normal}
.tonewood-hits li.tonewood-at {background:var(--jp-layout-color2,#ddd); box-shadow:inset 3px 0 EDGE}
.tonewood-hits small {font-size:12px; font-style:italic} .tonewood-refused {flex:1 1 100%; line-height:1.4}
"""

# Joined to one line and put into an attribute: no comments in it.
SCRIPT = """
if (!window.tonewoodFind) (function () {
  var made = 0, kept = [];
  function dress(cell) {
    var list = cell.querySelector('select'), label = cell.querySelector('.widget-label');
    if (!list || !label || !cell.querySelector('[data-also]') || cell.querySelector('.tonewood-seek')) return;
    var name = 'tonewood-find-' + (++made), at = -1, shown = [];
    var box = document.createElement('input'), hits = document.createElement('ul');
    var told = document.createElement('div');
    function set(on, values) { Object.keys(values).forEach(function (k) { on.setAttribute(k, values[k]); }); }
    function also() { return JSON.parse(cell.querySelector('[data-also]').dataset.also); }
    function words(option) { return option ? option.textContent.replace(/\\u00a0/g, ' ') : ''; }
    function all() { return Array.from(list.options).map(words); }
    function now() { return words(list.options[list.selectedIndex]); }
    function close() {
      hits.hidden = true; at = -1; box.setAttribute('aria-expanded', 'false');
      box.removeAttribute('aria-activedescendant');
    }
    function mark(i) {
      at = i;
      Array.from(hits.children).forEach(function (li, k) {
        li.classList.toggle('tonewood-at', k === i);
        if (k === i) { box.setAttribute('aria-activedescendant', li.id);
          var below = li.offsetTop + li.offsetHeight - hits.clientHeight;
          hits.scrollTop = Math.min(Math.max(hits.scrollTop, below), li.offsetTop); } });
      if (i < 0) box.removeAttribute('aria-activedescendant');
    }
    function open(typed) {
      var others = also(), parts = typed.toLowerCase().split(/\\s+/), chosen = now();
      told.hidden = true;
      shown = all().filter(function (one) {
        var text = (one + ' ' + (others[one] || '')).toLowerCase();
        return parts.every(function (part) { return text.indexOf(part) >= 0; }); });
      hits.textContent = '';
      shown.forEach(function (one, i) {
        var li = document.createElement('li'), small = document.createElement('small');
        set(li, {role: 'option', id: name + '-' + i, 'aria-selected': String(one === chosen)});
        li.textContent = one;
        if (others[one]) { small.textContent = ' ' + others[one]; li.appendChild(small); }
        li.addEventListener('mousedown', function (e) { e.preventDefault(); choose(one); });
        hits.appendChild(li); });
      hits.hidden = !shown.length; box.setAttribute('aria-expanded', String(!!shown.length));
      mark(typed ? (shown.length ? 0 : -1) : shown.indexOf(chosen));
    }
    function choose(one) {
      list.selectedIndex = all().indexOf(one); list.dispatchEvent(new Event('change', {bubbles: true}));
      box.value = one; told.hidden = true; close();
    }
    function leave() {
      var typed = box.value.trim(), low = typed.toLowerCase(), others = also();
      close();
      if (typed === now()) return;
      var same = all().filter(function (one) {
        return one.toLowerCase() === low || (others[one] || '').toLowerCase() === low; });
      if (low && same.length) return choose(same[0]);
      box.value = now();
      if (!low) return;
      told.textContent = label.textContent.trim() + ': \\u201c' + typed + '\\u201d given; accepted: a name ' +
        'of the list, found by typing any part of it. It stays ' + now() + '.';
      told.hidden = false;
    }
    box.type = 'text'; box.className = 'tonewood-seek'; box.autocomplete = 'off'; box.spellcheck = false;
    set(box, {role: 'combobox', 'aria-autocomplete': 'list', 'aria-controls': name});
    hits.className = 'tonewood-hits'; hits.id = name;
    set(hits, {role: 'listbox', 'aria-label': 'Matches'});
    told.className = 'tonewood-error tonewood-refused'; told.hidden = true; set(told, {role: 'alert'});
    box.id = list.id || name + '-box'; list.removeAttribute('id'); label.htmlFor = box.id;
    list.classList.add('tonewood-behind'); close();
    list.after(box, hits); cell.appendChild(told); box.value = now();
    box.addEventListener('focus', function () { box.select(); });
    box.addEventListener('mousedown', function () { if (hits.hidden) open(''); else close(); });
    box.addEventListener('input', function () { open(box.value.trim()); });
    box.addEventListener('blur', leave);
    box.addEventListener('keydown', function (e) {
      var way = {ArrowDown: 1, ArrowUp: -1, PageDown: 8, PageUp: -8}[e.key];
      if (way) {
        e.preventDefault();
        if (hits.hidden) open('');
        else mark(Math.min(Math.max(at + way, 0), shown.length - 1));
      } else if (e.key === 'Enter') {
        e.preventDefault();
        if (!hits.hidden && at >= 0) choose(shown[at]); else leave();
      } else if (e.key === 'Escape') { close(); box.value = now(); box.select(); }
    });
    kept.push(function () {
      if (document.activeElement !== box && box.value !== now()) box.value = now();
      box.disabled = list.disabled;
      return document.contains(cell);
    });
  }
  window.tonewoodFind = function (root) { root.querySelectorAll('.tonewood-find').forEach(dress); };
  setInterval(function () { kept = kept.filter(function (one) { return one(); }); }, 250);
})();
"""
