"""Predictions and questions of the first lesson; outcomes and right answers are computed when they are asked for."""

import numpy as np

from tonewood.lesson.whole_neck.figure import _defaults, build, evaluated
from tonewood.panel.questions import ask, ask_number, predict
from tonewood.neck.report.evaluation import even_stiffness


def _stiffness(**changes):
    return float(even_stiffness(build(**{**_defaults(), **changes})))


def _width_of_band(field, **changes):
    low, high = np.percentile(getattr(evaluated(**{**_defaults(), **changes})[1], field), [5, 95])
    return float(high - low)


def guess_quarter():
    """Prediction: what turning the rings does to stiffness."""
    def outcome(_):
        change = 100 * (_stiffness(ring_angle=0.0) / _stiffness(ring_angle=90.0) - 1)
        return f"Computed: from quarter-sawn to flat-sawn, straight grain, the stiffness changes by {abs(change):.1f} %. Turn the ring angle below and see."
    return predict("All stripes turned from quarter-sawn to flat-sawn, grain straight: the neck gets …",
                   ["clearly softer", "clearly stiffer", "no different in stiffness"], outcome)


def guess_stripes():
    """Prediction: what more stripes of one wood do."""
    def outcome(_):
        same = dict(main="hard maple", accent="hard maple", centre="hard maple")
        change = 100 * (_stiffness(stripes=9, **same) / _stiffness(stripes=1, **same) - 1)
        one, nine = (100 * _width_of_band("relief_change", stripes=n, **same) / _width_of_band("relief_change", stripes=1, **same) for n in (1, 9))
        return (f"Computed, all hard maple: stiffness changes by {abs(change):.1f} %; the spread of the seasonal relief change shrinks to {nine:.0f} % of that of one piece, "
                "the rest being the fretboard's.")
    return predict("One piece of hard maple against nine stripes of hard maple from nine trees: the nine-stripe neck is …",
                   ["stiffer", "softer", "as stiff, but more alike from neck to neck"], outcome)


def guess_season():
    """Prediction: which way relief goes in a dry winter."""
    def outcome(_):
        change = evaluated(**_defaults())[1].relief_change
        return f"Computed for the start design, 45 % to 30 % humidity: relief rises in {100 * np.mean(change > 0):.0f} of 100 such necks and falls in the others."
    return predict("The client's home is dry in winter. From the names of the woods alone, relief will …",
                   ["rise", "fall", "nobody can tell from the names"], outcome)


def answer_stiffness():
    """Question: which change stiffens most."""
    labels = {"a wenge accent instead of maple, 2 mm each side": "Two thin stripes count by their small share of the width.",
              "turning the rings to quarter-sawn": "Along the grain the ring angle makes no difference.",
              "two deep carbon bars": "They are about nine times as stiff as maple (modulus from memory), so even near the axis they count."}

    def right():
        base = dict(stripes=7, accent="hard maple", centre="hard maple")
        gains = [_stiffness(**{**base, "accent": "wenge"}), _stiffness(**base),
                 _stiffness(**base, reinforcement="two deep carbon bars (3 × 10 mm)")]
        return list(labels)[int(np.argmax(gains))]
    return ask("Hard maple neck, seven stripes. Which one change stiffens it most?", labels, right,
               "Try each one alone on the bench above and read the stiffness bar.", "Each piece counts by its modulus times its share of ∫z² about the stiffness axis.")


def answer_origin():
    """Question: where averaging comes from."""
    labels = {"seven stripes sawn from one board": "They share the board's fate: nearly as scattered as one piece.",
              "seven stripes from seven trees": "Independent boards average out, by about one over the square root of their number.",
              "one piece": "A single board keeps its whole scatter."}

    def right():
        same = dict(main="hard maple", accent="hard maple", centre="hard maple")
        spreads = [_width_of_band("stiffness", origin="same board", **same), _width_of_band("stiffness", **same), _width_of_band("stiffness", stripes=1, **same)]
        return list(labels)[int(np.argmin(spreads))]
    return ask("All hard maple. Which neck's stiffness can you foretell best without measuring any board?", labels, right,
               "Change where the stripes come from and watch the width of the stiffness bar.",
               "Only independent boards average. Better still: measure each board.")


def answer_weight():
    """Question: grams saved by a lighter main wood."""
    def mass(**changes):
        return 1e3 * float(np.median(evaluated(**{**_defaults(), **changes})[1].mass))

    def right():
        return mass() - mass(main="mahogany")
    return ask_number("How many grams does the start design lose, nut to last fret, when its main wood goes from hard maple to mahogany?", right, "g", 12,
                      "Set both on the bench and subtract the middle values, or: difference in density × the main stripes' share of about 400 cm3.",
                      "The wood of the neck is about 400 cm3, seven tenths of it main wood; times the difference in density.",
                      slips=[(lambda: 2 * right() + 60, "Twice too much: did you count the whole blank before shaping?")])
