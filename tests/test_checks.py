"""Refusals say what was wrong, what is accepted, and the likely slip."""

import numpy as np
import pytest

from tonewood import checks


@pytest.mark.parametrize("call, words", [
    (lambda: checks.fraction("humidity", 45), ["humidity", "45", "0 to 1", "did you mean 0.45"]),
    (lambda: checks.fraction("humidity", 5, high=0.5), ["humidity", "5", "0 to 0.5", "did you mean 0.05"]),
    (lambda: checks.fraction("relative humidity", 145), ["145", "0 to 1"]),
    (lambda: checks.length("thickness", 45, high=0.06),
     ["45 m", "above 0 to 0.06 m", "metres", "0.045 m (45 mm)"]),
    (lambda: checks.length("thickness", 0.0), ["0 m given", "above 0 m"]),
    (lambda: checks.whole("strings", 6.5, 1, 12), ["strings", "6.5", "a whole number from 1 to 12"]),
    (lambda: checks.whole("seed", 0.5, 0), ["seed", "0.5", "a whole number of at least 0"]),
    (lambda: checks.temperature("room temperature", 70, 5, 35), ["70 °c", "fahrenheit? 70 f is 21 c"]),
    (lambda: checks.density("density", 0.7), ["0.7 kg/m³", "did you mean 700 kg/m³"]),
    (lambda: checks.modulus("modulus along the grain", 12), ["12 pa", "did you mean 12 gpa", "1.2e+10 pa"]),
    (lambda: checks.angle("ring angle", 45), ["ring angle", "45", "degrees", "0.7854"]),
    (lambda: checks.moisture("moisture content", 8), ["moisture content", "8", "did you mean 0.08"]),
    (lambda: checks.moisture("moisture content", 0.4), ["0.4", "above fibre saturation"]),
    (lambda: checks.number("thickness", 0, 0, unit="m", open_low=True), ["thickness", "0 m", "above 0 m"]),
    (lambda: checks.number("thickness", -0.02, 0, unit="m", open_low=True), ["−0.02 m", "above 0 m"]),
    (lambda: checks.number("thickness", float("nan"), 0, 1, "m"), ["nan", "from 0 to 1 m"]),
    (lambda: checks.number("thickness", float("inf"), 0, unit="m"), ["inf", "at least 0 m"]),
    (lambda: checks.number("thickness", "thick", unit="m"), ["'thick'", "a number"]),
    (lambda: checks.number("thickness", [], unit="m"), ["empty"]),
    (lambda: checks.number("moduli", [1.0, 2.0, -3.0], 0, unit="GPa"), ["−3 GPa", "element 3 of 3"]),
    (lambda: checks.number("width", "0.06", unit="m"), ["width", "'0.06'", "text", "quotes", "0.06"]),
    (lambda: checks.number("width", "0,06", unit="m"), ["'0,06'", "text", "quotes, 0.06"]),
    (lambda: checks.number("width", [0.1, "0.2"], unit="m"), ["'0.2'", "element 2 of 2", "text"]),
    (lambda: checks.number("width", np.array(["0.1", "0.2"])), ["width", "number"]),
    (lambda: checks.number("width", [0.1, None]), ["nothing (none)", "element 2 of 2"]),
    (lambda: checks.number("width", [0.1, [0.2, 0.3]]), ["width", "number"]),
    (lambda: checks.number("width", None, unit="m"), ["width", "nothing (none)", "a number in m"]),
    (lambda: checks.number("width", True), ["width", "true", "a number"]),
    (lambda: checks.number("width", 1j), ["width", "1j", "a number"]),
    (lambda: checks.whole("stripes", "6", 1, 99), ["stripes", "'6'", "text", "quotes, 6"]),
    (lambda: checks.whole("frets", [1, 2], 1, 99), ["frets", "2 numbers", "one whole number"]),
    (lambda: checks.whole_numbers("harmonic", [1, 2.5], 1), ["harmonic", "2.5", "element 2 of 2", "whole"]),
    (lambda: checks.mass("mass", 283.5), ["mass", "283.5 kg", "grams", "0.2835 kg"]),
    (lambda: checks.frequency("pitch", 0.412), ["pitch", "0.412 hz", "kilohertz", "412 hz"]),
    (lambda: checks.seconds("t60", 1750), ["t60", "1750 s", "milliseconds", "1.75 s"]),
    (lambda: checks.stiffness("shear modulus", 5), ["shear modulus", "5 pa", "5 gpa"]),
    (lambda: checks.stiffness("shear modulus", 5000), ["5000 pa", "5000 mpa", "5e+09 pa"]),
    (lambda: checks.draw_count(modulus=np.ones(5), density=np.ones(4)), ["modulus has 5", "density has 4"]),
    (lambda: checks.choice("finish", "laquer", ["lacquer", "oil"]), ["'laquer'", "did you mean 'lacquer'"]),
])
def test_refusal_names_what_and_how(call, words):
    with pytest.raises(ValueError) as refusal:
        call()
    said = str(refusal.value).lower()
    for word in words:
        assert word.lower() in said, f"{word!r} not in {said!r}"


def test_what_is_accepted_comes_back():
    assert checks.fraction("h", 0.45) == 0.45 and checks.fraction("h", 0.2, high=0.5, open_high=True) == 0.2
    assert checks.moisture("m", 0.08) == 0.08 and checks.angle("a", -np.pi / 2) == -np.pi / 2
    np.testing.assert_array_equal(checks.number("n", [1, 2]), [1.0, 2.0])
    assert checks.draw_count(a=1.0, b=None) is None
    assert checks.draw_count(a=1.0, b=np.ones(3), c=np.ones((3, 7))) == 3
