"""What a lesson prints between its figures: numbers with unit and label, cautions, people's words made safe."""

from html import escape

from tonewood import checks
from tonewood.panel import units


class Shown:
    """Something to show that has both mark-up and plain words, so that it reads in every viewer."""

    def __init__(self, html, plain):
        self.html, self.plain = html, plain

    def _repr_mimebundle_(self, include=None, exclude=None):
        return {"text/html": self.html, "text/plain": self.plain}

    def __repr__(self):
        return self.plain


def say(name, value, unit="", decimals=2, band=None, label="", system=units.METRIC):
    """Print one number of a lesson: say("relief", 0.213, "mm") prints "relief: 0.21 mm".

    decimals: few enough that rounding noise of computers cannot change the last digit; band: (low, high) within which 90 of 100 such
    boards fall; label: where the number comes from ("published: …", "measured", "estimated by …", "common practice, no source").
    Raises ValueError for anything that is not a finite number, or a band that does not hold low <= high.
    """
    line = f"{name}: {units.text(checks.number(name, value), unit, decimals, system)}"
    if band is not None:
        low, high = (checks.number(f"{name}: band", edge) for edge in band)
        if low > high:
            raise ValueError(f"{name}: band from {low:g} to {high:g} given; accepted: (low, high)")
        line += f"; 90 of 100: {units.text(low, unit, decimals, system)} to {units.text(high, unit, decimals, system)}"
    print(line + (f" [{label}]" if label else ""))


def say_all(rows):
    """Print the lines of a worked calculation. rows: (name, value, unit, decimals, label), each as for `say`."""
    for name, value, unit, decimals, label in rows:
        say(name, value, unit, decimals, label=label)


def caution(*sentences, title="Caution"):
    """A box with the usual cautions, one sentence each, to stand before the work that can hurt. Text is escaped."""
    if not sentences:
        raise ValueError("caution: no sentence given; accepted: at least one")
    items = "".join(f"<li>{escape(str(s))}</li>" for s in sentences)
    html = ("<div role='note' class='tonewood-caution' style='border:2px solid #D55E00;border-left-width:8px;padding:6px 10px;margin:6px 0;max-width:70em'>"
            f"<strong>{escape(title)}</strong><ul style='margin:4px 0'>{items}</ul></div>")
    return Shown(html, f"{title.upper()}\n" + "\n".join(f"- {s}" for s in sentences))


def note(words, longest=2000):
    """A person's own words (a board's nickname, a client's wish) as a quotation that cannot act as mark-up. Longer text is cut, and says so."""
    words = str(words)
    if len(words) > longest:
        words = words[:longest] + f" … ({len(words) - longest} more characters not shown)"
    return Shown(f"<blockquote style='white-space:pre-wrap'>{escape(words)}</blockquote>", words)
