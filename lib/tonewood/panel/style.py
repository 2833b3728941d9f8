"""One look for every lesson: colours, line styles, fonts, and the style sheet of panels.

The line colours were chosen from the set of Okabe and Ito (Color Universal Design, 2008), keeping those that
also stand out against white by at least 3 to 1. Meaning never rests on colour alone: each role has its own
line style.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from html import escape

import matplotlib

from tonewood.draws import readable
from tonewood.panel import chosen, keys, search, theme
from tonewood.remember import remember

SMALL = 10.7
"""Size of all words in a figure, points: 14.9 pixels of a picture that is 1000 wide. It stands 898 wide on a
laptop's page of 1280 (13.3 pixels, 10 points) and part by part, at 740 or more, on one of 800 (11)."""
# matplotlib settings in force while a figure is set up or drawn, by `look` (never changed globally)
FIGURE = {
    "font.family": ["sans-serif"], "font.sans-serif": ["DejaVu Sans"], "font.size": SMALL,
    "axes.titlesize": SMALL, "axes.titleweight": "bold", "axes.titlelocation": "left",
    "axes.labelsize": SMALL, "xtick.labelsize": SMALL, "ytick.labelsize": SMALL, "legend.fontsize": SMALL,
    "legend.frameon": False, "axes.spines.top": False, "axes.spines.right": False, "axes.grid": True,
    "grid.color": "#e4e4e4", "grid.linewidth": 0.8, "axes.axisbelow": True, "lines.linewidth": 2.2,
    "hatch.linewidth": 0.6, "figure.facecolor": "white", "axes.facecolor": "white", "path.simplify": True,
    "axes.unicode_minus": True,
}


@contextmanager
def look() -> Iterator[None]:
    """Inside `with look():` FIGURE is in force. Where it is already nothing is set: that would copy all of
    matplotlib's settings, 2 ms."""
    if all(matplotlib.rcParams[name] == value for name, value in FIGURE.items()):
        yield
    else:
        with matplotlib.rc_context(FIGURE):
            yield


BLACK, GREY, BLUE = "#000000", "#6b6b6b", "#0072B2"
VERMILLION, GREEN, PURPLE = "#D55E00", "#009E73", "#B0568C"
LIMIT_WORDS = "#A84300"           # vermillion, dark enough for words
_NAMED = {"blue": BLUE, "red": VERMILLION, "green": GREEN}


def page_colour(name: str) -> str:
    """The value in a style sheet of "blue", "red" or "green", light where a page has no sheet of ours."""
    return f"var(--tonewood-{name}, {_NAMED[name]})"


def variables(dark: bool, on: str = ":root") -> str:
    """The rule that sets these colours for a light page or a dark one."""
    set_to = "".join(f"--tonewood-{name}:{theme.DARK[colour] if dark else colour};"
                     for name, colour in _NAMED.items())
    return f"{on} {{{set_to}}}"


COLOURS = (f"{variables(False)} {variables(True, 'body[data-jp-theme-light=false]')} "
           "body[data-jp-theme-light=false] {color-scheme:dark}")
"""Rules that set the colours of edges and marks for a light page and a dark one."""
NOW = {"color": BLUE, "linestyle": "-", "linewidth": 2.4}                 # the design on the sliders
BAND = {"color": BLUE, "alpha": 0.18, "linewidth": 0.0}                   # where 90 of 100 such boards fall
HELD = {"color": GREY, "linestyle": (0, (4, 2)), "linewidth": 1.6}        # the design kept as a ghost
LIMIT = {"color": VERMILLION, "linestyle": "-.", "linewidth": 1.6}        # a limit somebody set
REFERENCE = {"color": BLACK, "linestyle": ":", "linewidth": 1.4}          # something fixed to compare with


def together(words: str) -> str:
    """The words with every number kept on one line with the % behind it."""
    return words.replace(" %", "\u00a0%")


def says(words: str, right: bool | None = None, more: str = "") -> str:
    """Mark-up of a paragraph that says these words, escaped; right: an answer's verdict, which gets a mark
    and an edge of its own (solid or dashed, not by colour alone); more: words that are in sight only while
    their question is open."""
    look, mark = {None: ("", ""), True: (" tonewood-right", "✓"), False: (" tonewood-wrong", "✗")}[right]
    mark = f"<span aria-hidden='true'>{mark}</span> " if mark else ""
    told, more = (escape(together(chosen.said(each))) for each in (words, more))
    more = f" <span class='tonewood-more'>{more}</span>" if more else ""
    return f"<p class='tonewood-says{look}'>{mark}{told}{more}</p>"


def alarm(words: str) -> str:
    """Mark-up of a refusal, escaped, its numbers as people write them, that screen readers announce at
    once."""
    return f"<div class='tonewood-error' role='alert'>{escape(readable(words))}</div>"


# widths (px) of the room a figure has: from the first on controls stand beside it, up to the second it is
# shown part by part; heights (px) that Lab takes above a notebook, and the sentence below a picture
WIDE_PAGE, NARROW_PAGE = 960, 760
ABOVE, BELOW = 121, 130
_INK = "var(--jp-content-font-color1,#000)"
_TEXT = f"color:{_INK}"
_WIDE_LABEL = ", ".join(f".tonewood-{cell} .widget-{kind} > .widget-label" for cell, kind in (
    ("slider", "hslider"), ("pick", "dropdown"), ("entry", "dropdown"), ("entry", "text")))
_FIELD = ":is(.tonewood-pick, .tonewood-entry) :is(.widget-dropdown, .widget-text)"
_ASKED = ".jp-Notebook .jp-Cell:has(.jp-OutputArea-output > .tonewood-question:not(.tonewood-guess))"
_OPEN, _SHUT = ".tonewood-guess.tonewood-open", ".tonewood-guess:not(.tonewood-open)"
SHEET = f"""{COLOURS}
.jp-InputPlaceholder .jp-PlaceholderText {{display:none}}
.tonewood-control {{border-left:3px solid var(--jp-border-color2,#ccc); padding:0 0 2px 8px;
  box-sizing:border-box; align-items:flex-end}}
.tonewood-control .widget-label {{height:auto; line-height:1.3; white-space:normal; overflow:visible;
  text-align:left; text-overflow:clip; padding:3px 0 4px 0; margin:0}}
{_WIDE_LABEL} {{width:100% !important; flex:0 0 100%}}
.tonewood-slider .widget-hslider {{height:auto; align-items:center}}
.tonewood-slider .slider-container {{min-width:90px; margin-left:8px; margin-right:8px}}
:is(.tonewood-live, .tonewood-panel, .tonewood-question) :is(select, input, button, summary,
  .noUi-handle):focus-visible {{outline:3px solid {page_colour('blue')} !important; outline-offset:2px}}
:is(.tonewood-live, .tonewood-panel, .tonewood-question) button:focus-visible
  {{outline-offset:-3px !important}}
:is(.tonewood-number > .widget-label, .tonewood-spoken) {{position:absolute; width:1px !important; height:1px;
  overflow:hidden; clip-path:inset(50%); white-space:nowrap}}
.tonewood-number input {{text-align:right}}
.tonewood-unit .widget-html-content {{line-height:28px}}
.tonewood-pick select {{text-overflow:ellipsis}}
{_FIELD} {{height:auto; min-width:0}} {_FIELD} > :is(select, input) {{min-width:0; max-width:100%}}
{_FIELD} > select {{min-height:28px}}
.tonewood-note:empty, .tonewood-alert:empty {{display:none}}
:is(.tonewood-note, .tonewood-alert, .tonewood-sentence) .widget-html-content {{line-height:1.45;
  white-space:normal; height:auto}}
.tonewood-error {{border-left:4px solid {page_colour('red')}; padding:4px 8px; margin:4px 0; {_TEXT}}}
.tonewood-says {{font-size:var(--jp-content-font-size1,14px); {_TEXT}; margin:4px 0 6px 0; max-width:70em;
  line-height:1.45;
  overflow-wrap:anywhere}}
.tonewood-means {{font-size:var(--jp-ui-font-size1,13px); {_TEXT}}}
.tonewood-progress {{font-size:var(--jp-ui-font-size1,13px); {_TEXT}; margin:2px 0}}
.tonewood-means summary {{cursor:pointer}}
.tonewood-means dt {{font-weight:600}} .tonewood-means dd {{margin:0 0 4px 1.2em}}
.tonewood-fold {{background:none; border:0; border-bottom:1px dotted {_INK}; {_TEXT}; padding:0 2px;
  margin:2px 8px 6px 8px; height:26px; line-height:26px; align-self:flex-start}}
.tonewood-live {{container-type:inline-size}}
.tonewood-stage, .tonewood-seen {{display:flex; flex-direction:column; width:100%}}
.tonewood-picture {{background:var(--jp-layout-color0,#fff)}}
.tonewood-cut {{display:block; position:relative}}
.tonewood-cut img.widget-image {{display:block; width:auto; height:auto; max-width:100%; margin:0}}
.tonewood-parts, .tonewood-density {{display:none !important}}
.tonewood-parts button {{height:auto; min-height:32px; padding:2px 10px}}
/* a picture can only stay in sight if nothing around it scrolls by itself */
.tonewood-live, .tonewood-live .widget-box, :is(.widget-box, .jp-OutputArea-output, .jp-OutputArea-child,
  .jp-OutputArea, .jp-Cell-outputArea, .jp-Cell-outputWrapper):has(.tonewood-live) {{overflow:visible}}
.jp-Notebook .jp-OutputArea-child:has(.tonewood-live) > .jp-OutputPrompt {{display:none}}
.jp-Notebook .jp-OutputArea:has(.tonewood-live) .jp-OutputArea-promptOverlay {{display:none}}
@container (min-width:{WIDE_PAGE}px) {{
  .tonewood-beside {{flex-direction:row; align-items:flex-start}}
  .tonewood-beside > .tonewood-panel {{flex:0 0 250px; width:250px !important; margin-right:16px}}
  .tonewood-beside .tonewood-control {{flex:1 1 100% !important}}
  .tonewood-beside > .tonewood-seen {{flex:1 1 0; min-width:0; position:sticky; top:0}}
  .tonewood-beside img.widget-image {{max-height:max(400px, calc(100vh - {ABOVE + BELOW}px))}}
  .tonewood-beside .tonewood-says {{font-size:13px; line-height:1.35; max-width:none; margin:2px 0}}}}
@container (max-width:{WIDE_PAGE - 0.02}px) {{
  .tonewood-seen {{display:contents}} .tonewood-seen > * {{order:2}}
  .tonewood-picture {{position:sticky; bottom:0; z-index:2; order:1}}
  .tonewood-picture > .tonewood-spoken {{position:static; width:auto !important; height:auto; clip-path:none;
    min-height:40px; border-top:1px solid var(--jp-border-color2,#ccc)}}
  .tonewood-picture > .tonewood-spoken :is(.tonewood-says, .widget-html-content:empty)
    {{font-size:13px; line-height:1.35; margin:2px 0; white-space:normal}}
  .tonewood-picture > .tonewood-spoken .widget-html-content:empty::before
    {{content:"Move a control: what it changes is told here."; {_TEXT}}}}}
@container (max-width:{theme.TELEPHONE}px) {{
  .tonewood-picture > .tonewood-spoken {{min-height:58px}}}}
@container (max-width:{NARROW_PAGE}px) {{
  .tonewood-parts {{display:block !important}}}}
@media (max-width:600px) {{.jp-OutputArea-output pre {{word-break:normal; overflow-wrap:anywhere}}
  .jp-RenderedHTMLCommon table :is(th, td) {{white-space:normal !important; hyphens:auto;
    min-width:0 !important; padding:3px 4px; font-size:11px}}
  .jp-Notebook .jp-RenderedHTMLCommon {{line-height:1.45; padding-top:0; padding-bottom:0}}
  .jp-Notebook .jp-RenderedHTMLCommon h1 {{font-size:1.6em}} .tonewood-guess {{margin:0}}
  .jp-Notebook .jp-RenderedHTMLCommon h2 {{font-size:1.3em}}
  .jp-Notebook .jp-Cell :is(.jp-InputPrompt, .jp-OutputPrompt) {{flex:0 0 0; min-width:0; width:0; padding:0;
    overflow:hidden}}
  .jp-Notebook .jp-Cell {{padding-left:2px; padding-right:2px}} .jp-Notebook .jp-Collapser {{flex:0 0 4px;
    width:4px}}}}
.tonewood-radio {{flex-flow:row wrap}}
.tonewood-radio > .widget-label {{height:auto; text-align:left; flex:0 0 100%}}
.tonewood-radio .widget-radio-box {{max-width:100%}}
.tonewood-radio .widget-radio-box label {{height:auto; line-height:1.4; white-space:normal; margin-bottom:4px;
  position:relative; padding-left:24px}}
.tonewood-radio .widget-radio-box label input {{position:absolute; left:0; top:0; height:1.4em; float:none;
  margin:0}}
.tonewood-right {{border:2px solid {page_colour('green')}; padding:4px 8px}}
.tonewood-wrong {{border:2px dashed {page_colour('red')}; padding:4px 8px}}
body[data-jp-theme-light=false] .widget-dropdown > select {{background-image:none; appearance:auto}}
body[data-jp-theme-light=false] .tonewood-still {{filter:invert(0.93) hue-rotate(180deg)}}
{search.LOOK.replace("EDGE", page_colour("blue"))}
.tonewood-question {{border-left:4px solid {page_colour('blue')}; padding-left:10px}}
.tonewood-question .tonewood-radio > .widget-label {{position:absolute; width:1px !important; height:1px;
  overflow:hidden; clip-path:inset(50%); white-space:nowrap}}
.jp-Notebook .jp-RenderedHTMLCommon :is(h1, h2, h3) {{margin:.4em 0 .3em}}
.jp-Notebook .jp-Cell {{padding-top:2px; padding-bottom:2px}}
.jp-Notebook .jp-InputPlaceholder {{height:12px; min-height:12px; overflow:hidden}}
.jp-Notebook .jp-InputPlaceholder svg {{height:12px; vertical-align:top}}
.tonewood-question > .widget-html:not(.tonewood-sentence):has(> .widget-html-content:empty) {{display:none}}
.tonewood-question > .tonewood-sentence > .widget-html-content:empty {{line-height:0}}
.tonewood-question .tonewood-says {{line-height:1.35; margin:2px 0 4px 0}}
.jp-Notebook [role=note] ul {{margin:4px 0}}
.jp-Notebook .jp-RenderedMarkdown p {{margin:0 0 .5em 0}}
/* predictions: one open at a time, so that the figure comes sooner; what is answered keeps one line */
.tonewood-guess {{max-width:72em; margin:2px 0; padding:2px 0 2px 10px;
  border-left-color:var(--jp-border-color1,#bbb)}}
{_OPEN} {{border-left-color:{page_colour('blue')}}}
.tonewood-guess > .widget-button.tonewood-head {{background:none; border:0; box-shadow:none; {_TEXT};
  height:auto; min-height:30px; line-height:1.35; padding:4px 6px 4px 2px; margin:0; min-width:0;
  text-align:left; font-size:var(--jp-content-font-size1,14px)}}
{_OPEN} > .widget-button.tonewood-head {{white-space:normal; font-weight:600}}
.tonewood-answered > .widget-button.tonewood-head {{font-weight:400; padding-bottom:0}}
{_SHUT} > :not(.tonewood-head, .tonewood-sentence), {_SHUT}:not(.tonewood-answered) > .tonewood-sentence,
  {_SHUT} .tonewood-more, .tonewood-answered > .tonewood-entry, .tonewood-answered > .tonewood-progress-line,
  .tonewood-answered > .widget-button:not(.tonewood-head) {{display:none !important}}
.tonewood-answered :is(.tonewood-right, .tonewood-wrong) {{border:0; padding:0 2px; margin:0 0 2px}}
.jp-Notebook .jp-Cell:has(.tonewood-guess) {{padding-top:0; padding-bottom:0}}
.jp-Notebook .jp-Cell:has(.tonewood-guess) .jp-InputPlaceholder {{height:6px; min-height:6px}}
.jp-Cell .jp-OutputArea-output:has(> .tonewood-guess) {{padding-top:0; padding-bottom:0}}
.tonewood-answered .tonewood-right > span:first-child {{color:{page_colour('green')}; font-weight:700}}
.tonewood-answered .tonewood-wrong > span:first-child {{color:{page_colour('red')}; font-weight:700}}
@media screen and (min-width:700px) {{
  .tonewood-guess .tonewood-radio .widget-radio-box {{display:flex; flex-flow:row wrap; column-gap:28px}}
  .tonewood-guess > .widget-button.tonewood-head {{white-space:normal}}}}
/* questions that follow each other stand in a row where there is room */
@media screen and (min-width:700px) {{
  {_ASKED} {{display:inline-block; width:49.2%; vertical-align:top; box-sizing:border-box}}
  {_ASKED} :is(.jp-InputPrompt, .jp-OutputPrompt, .jp-OutputArea-promptOverlay) {{display:none}}}}
@media screen and (min-width:1100px) {{{_ASKED} {{width:32.8%}}}}
"""



def cut_name(box: Sequence[float]) -> str:
    """The class of one part of a picture, (left, bottom, right, top) in fractions of it."""
    return "tonewood-cut-" + "-".join(f"{100 * edge:.0f}" for edge in box)


def cuts(parts: Mapping[str, Sequence[float]], aspect: float, stacked: bool = False) -> str:
    """Rules that show one part of a picture as wide as a narrow page. parts: {name: (left, bottom, right,
    top)} in fractions; aspect: width of the whole picture over its height; stacked: for the narrow layout."""
    rules = []
    for box in parts.values():
        left, bottom, right, top = box
        wide, high = right - left, top - bottom
        shape = aspect * wide / high
        one = f"{'.tonewood-stacked ' * stacked}.tonewood-cut.{cut_name(box)}"
        rules.append(f"{one} {{overflow:hidden !important; aspect-ratio:{shape:.4f}; "
                     f"max-width:calc({shape:.4f} * 60vh)}} {one} img.widget-image "
                     f"{{position:absolute; width:{100 / wide:.2f}%; max-width:none; "
                     f"left:{-100 * left / wide:.2f}%; top:{100 * (top - 1) / high:.2f}%}}")
    within = " ".join(rules)
    return within if stacked or not rules else f"@container (max-width:{NARROW_PAGE}px) {{{within}}}"


# The widgets library gives slider handles no accessible name, pictures no alternative text, and swaps the
# announced sentence's element on every update (screen readers stay silent then). This sets the attributes on
# the lasting elements, looking again for a few seconds since widgets appear one after the other.
_NAMING = """(function (i) { var n = 0; (function go() {
 var r = i.closest('.tonewood-live, .tonewood-panel, .tonewood-question');
 if (!r) { if (++n < 8) setTimeout(go, 250); return; }
 r.querySelectorAll('.tonewood-slider').forEach(function (c) {
   var l = c.querySelector('.widget-hslider > .widget-label'), h = c.querySelector('.noUi-handle');
   var u = c.querySelector('.tonewood-unit');
   if (l &amp;&amp; h)
     h.setAttribute('aria-label', (l.textContent.trim() + ' ' + (u ? u.textContent.trim() : '')).trim());
   var b = c.querySelector('.tonewood-number input');
   if (b) { b.inputMode = 'decimal'; b.autocomplete = 'off'; }
 });
 r.querySelectorAll('.tonewood-sentence:not(.tonewood-whole) > .widget-html-content').forEach(function (s) {
   s.setAttribute('role', 'status'); s.setAttribute('aria-live', 'polite');
   s.setAttribute('aria-atomic', 'true'); });
 var q = r.querySelector('.tonewood-head') || r.querySelector('.tonewood-says strong');
 q = r.matches('.tonewood-question') &amp;&amp; q ? q.textContent.replace(/^.* of \\d+ · /, '') : '';
 if (q) r.querySelectorAll('.tonewood-button:not(.tonewood-head)').forEach(function (b) {
   b.setAttribute('aria-label', b.textContent.trim() + ': ' + q); });
 var head = r.querySelector('.tonewood-head');
 if (head &amp;&amp; !head.hasAttribute('aria-expanded')) {
   var told = function () { head.setAttribute('aria-expanded', r.classList.contains('tonewood-open')); };
   told(); new MutationObserver(told).observe(r, {attributes: true, attributeFilter: ['class']}); }
 r.querySelectorAll('.tonewood-radio').forEach(function (g) {
   var l = g.querySelector('.widget-label'), b = g.querySelector('.widget-radio-box');
   if (l &amp;&amp; b) { b.setAttribute('role', 'radiogroup');
     b.setAttribute('aria-label', q || l.textContent.trim());
     if (!b.dataset.name) b.dataset.name = 'tonewood' + (window.tonewoodGroups = -~window.tonewoodGroups);
     b.querySelectorAll('input').forEach(function (x) { x.name = b.dataset.name; }); } });
 window.tonewoodPage();
 window.tonewoodFind(r);
 document.querySelectorAll('div[style*=overflow-x]').forEach(function (d) {
   if (d.scrollWidth &gt; d.clientWidth) d.tabIndex = 0; });
 r.querySelectorAll('.tonewood-whole > .widget-html-content').forEach(function (s) {
   if (!s.id) s.id = 'tonewoodWhole' + (window.tonewoodWholes = -~window.tonewoodWholes);
   s.closest('.tonewood-live').querySelectorAll('.tonewood-picture img').forEach(function (p) {
     p.setAttribute('aria-describedby', s.id); }); });
 if (i.dataset.alt) r.querySelectorAll('img.widget-image').forEach(function (p) { p.alt = i.dataset.alt; });
 if (++n &lt; 40) setTimeout(go, 250); })(); })(this)"""


@remember(64)
def sheet(alt: str = "", more: str = "") -> str:
    """Mark-up that carries the style sheet and gives sliders, pictures and sentences their accessible names.

    alt: words that stand for the picture beside it; more: rules of this panel alone. Put it once into an
    `ipywidgets.HTML` inside each panel.
    """
    named = (escape(" ".join(f"{keys.SCRIPT} {theme.SCRIPT} {search.SCRIPT}".split()))
             + " ".join(_NAMING.split()).replace('"', "&quot;"))
    return (f"<style>{SHEET}{more}</style>"
            f"<img alt='' hidden src='data:,' data-alt=\"{escape(alt, quote=True)}\" onerror=\"{named}\">")
