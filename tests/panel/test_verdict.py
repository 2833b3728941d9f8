"""A verdict says the same as text and as page."""

import pytest

from tonewood.panel.verdict import Verdict


def test_text_and_page_say_the_same_and_escape():
    v = Verdict("<b>claim</b>", "1 < 2", "no", "low")
    assert "<b>claim" in repr(v) and "&lt;b&gt;claim" in v._repr_html_()
    with pytest.raises(ValueError, match="sure"):
        Verdict("a", "b", "c", "very")
