"""Players and blind test in the page, driven without a browser."""

import base64
import io
import json
import re
import wave
from html.parser import HTMLParser

import numpy as np
import pytest
from numpy.testing import assert_allclose

from tonewood.lesson.shared.listening import BlindListening, Players, player
from tonewood.sound.record import load_tests
from tonewood.sound.render import LABEL, Mix, render

RATE = 8000
TONE = np.sin(2 * np.pi * 200 * np.arange(4000) / RATE) * np.exp(-np.arange(4000) / 2000)
BRIGHT = TONE + 0.3 * np.sin(2 * np.pi * 600 * np.arange(4000) / RATE) * np.exp(-np.arange(4000) / 1000)


def two(first="maple", second="walnut", **how):
    return render({first: Mix(TONE, RATE), second: Mix(BRIGHT, RATE)}, **how)


class Tags(HTMLParser):
    """All start tags with attributes, and the text."""

    def __init__(self, text):
        super().__init__()
        self.tags, self.text = [], ""
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        self.tags.append((tag, dict(attributes)))

    def handle_data(self, data):
        self.text += data


def audio(widget):
    """(attributes, sound bytes) of the one audio element in an HTML widget."""
    found = [a for tag, a in Tags(widget.value).tags if tag == "audio"]
    assert len(found) == 1
    kind, data = found[0]["src"].split(",")
    assert kind == "data:audio/wav;base64"
    return found[0], base64.b64decode(data)


def texts(widget):
    """Words of all HTML widgets inside a box."""
    inner = "".join(texts(child) for child in getattr(widget, "children", ()))
    return inner + (Tags(widget.value).text if isinstance(getattr(widget, "value", None), str) else "")


def test_player_has_controls_a_name_and_no_autoplay():
    sounds = two()
    attributes, data = audio(type("W", (), {"value": player(sounds.wav("maple"), "maple", "0.5 s")}))
    assert "controls" in attributes and attributes["aria-label"] == "Sound: maple"
    assert not {"autoplay", "loop", "muted", "hidden"} & set(attributes)
    with wave.open(io.BytesIO(data)) as file:
        assert file.getframerate() == RATE and file.getnframes() == 4000
        assert_allclose(np.frombuffer(file.readframes(4000), "<i2") / 32767, sounds.samples[0], atol=1e-4)


def test_names_from_people_are_escaped():
    evil = "<img src=x onerror=alert(1)> \"'&"
    shown = Players(two(evil, "b"), "Which <b>neck</b>?")
    for widget in shown._row.children:
        assert [tag for tag, _ in Tags(widget.value).tags] == ["figure", "figcaption", "small", "audio"]
    assert evil in Tags(shown._row.children[0].value).text
    assert not any(tag in ("b", "img") and "onerror" in attributes and attributes["onerror"] == "alert(1)"
                   for part in shown.widget.children if hasattr(part, "value") for tag, attributes
                   in Tags(part.value).tags)
    heard = BlindListening(two(evil, "b"), evil, "b", 5, 1)
    for _ in range(5):
        heard.answer("A")
    assert evil in Tags(heard.progress.value).text and [t for t,
                                                        _ in Tags(heard.progress.value).tags] == ["p"]


def test_players_share_one_gain_and_say_what_they_are():
    shown = Players(two(), "Two necks, one pluck")
    words = texts(shown.widget)
    assert LABEL in words
    assert "same gain" in words
    assert "Turn the volume down" in words
    assert "Two necks, one pluck." in words
    peaks = [np.abs(np.frombuffer(audio(w)[1][44:], "<i2")).max() for w in shown._row.children]
    samples = [np.abs(s).max() for s in shown.rendering.samples]
    assert peaks[0] / peaks[1] == pytest.approx(samples[0] / samples[1], rel=1e-3)
    assert "Levels matched" in texts(Players(two(match_levels=True), "x").widget)


def test_players_can_be_given_other_sounds():
    shown = Players(two(), "Necks")
    before = shown._row.children[0].value
    shown.show(render({"walnut": Mix(BRIGHT, RATE)}))
    assert len(shown._row.children) == 1 and shown._row.children[0].value != before
    shown.show(two(), "Necks again <b>")
    assert len(shown._row.children) == 2 and shown._row.children[0].value == before
    assert shown.words().startswith("Necks again <b>. maple")
    assert "Necks again <b>." in texts(shown.widget)
    assert "&lt;b&gt;" in shown._about.value


def test_saved_output_is_words_and_of_a_blind_test_nothing_that_gives_it_away():
    for thing in (Players(two(), "Necks"), BlindListening(two(), "maple", "walnut", 6, 3)):
        data, _ = thing._repr_mimebundle_()
        if isinstance(thing, BlindListening):
            assert set(data) == {"application/vnd.jupyter.widget-view+json", "text/plain"}
            assert len(json.dumps(data)) < 1000 and "base64" not in json.dumps(data)
        assert "maple" in data["text/plain"] and LABEL in data["text/plain"]
    again = Players(render({"maple": Mix(TONE * (1 + 1e-13), RATE), "walnut": Mix(BRIGHT, RATE)}),
                    "Necks")._repr_mimebundle_()[0]
    assert again["text/plain"] == Players(two(), "Necks")._repr_mimebundle_()[0]["text/plain"]
    assert "maple (0.5 s), walnut (0.5 s)" in again["text/plain"]


def listener_who_knows(heard):
    """Compares the bytes the page would play, as an ear would compare sounds."""
    a, b, x = (audio(heard.places[letter])[1] for letter in "ABX")
    assert a != b and x in (a, b)
    return "A" if x == a else "B"


def test_listener_who_hears_scores_all_by_clicks():
    heard = BlindListening(two(), "maple", "walnut", trials=12, seed=4)
    assert "Trial 1 of 12." in heard.sentence
    while not heard.test.done:
        heard.buttons[listener_who_knows(heard)].click()
    assert heard.result.right == 12 and heard.result.heard
    assert "12 of 12 right" in heard.sentence and "very likely heard" in heard.sentence
    assert f"A was {heard.test.sound('A')}" in heard.sentence and LABEL in heard.sentence


def test_listener_who_guesses_scores_about_half():
    generator, heard, right = np.random.default_rng(3), BlindListening(two(), "maple", "walnut", 20, 10), 0
    for _ in range(25):
        while not heard.test.done:
            heard.buttons["AB"[generator.integers(2)]].click()
        right += heard.result.right
        heard.again.click()
    assert abs(right / 500 - 0.5) < 0.07                                 # three standard errors


def test_page_gives_nothing_away():
    heard = BlindListening(two(), "maple", "walnut", 20, 8)
    seen = set()
    for _ in range(20):
        for letter in "ABX":
            text = heard.places[letter].value.replace(base64.b64encode(heard._wav["maple"]).decode(),
                                                      "").replace(
                base64.b64encode(heard._wav["walnut"]).decode(), "")
            assert "maple" not in text and "walnut" not in text
        # the page reloads X even when it is the same sound again
        assert heard.places["X"].value not in seen
        seen.add(heard.places["X"].value)
        assert "right" not in heard.sentence                             # no score before the end
        heard.answer("A")
    # only the width of the trial number varies
    assert len({len(v) for v in seen}) <= 2


def test_progress_is_announced_and_buttons_follow_the_test():
    heard = BlindListening(two(), "maple", "walnut", 5, 2)
    attributes = Tags(heard.progress.value).tags[0][1]
    assert attributes["role"] == "status" and attributes["aria-live"] == "polite"
    # the class whose lasting element the style sheet makes a live region
    assert "tonewood-sentence" in heard.progress._dom_classes
    assert [b.description for b in heard.buttons.values()] == ["X is A", "X is B"]
    assert not heard.buttons["A"].disabled and heard.again.disabled
    for count in range(2, 6):
        heard.buttons["B"].click()
        assert f"Trial {count} of 5." in heard.sentence
    heard.buttons["B"].click()
    assert heard.buttons["A"].disabled and heard.buttons["B"].disabled and not heard.again.disabled
    with pytest.raises(ValueError, match="all 5 trials are answered"):
        heard.answer("A")
    heard.again.click()
    assert "Trial 1 of 5." in heard.sentence and heard.result is None and heard.test.seed == 3


def test_order_is_secret_without_a_seed():
    assert BlindListening(two(), "maple",
                          "walnut").test.seed != BlindListening(two(), "maple", "walnut").test.seed


def finish(heard):
    while not heard.test.done:
        heard.answer("A")


def test_finished_tests_are_kept_on_request(tmp_path):
    path = tmp_path / "listening.json"
    heard = BlindListening(two(), "maple", "walnut", 5, 2, path)
    finish(heard)
    assert heard.saved and load_tests(path) == [heard.test] and "Kept as test 1" in heard.sentence
    heard.start()
    finish(heard)
    assert len(load_tests(path)) == 2 and "Kept as test 2" in heard.sentence


def test_all_tests_of_the_record_are_shown_not_only_the_lucky_ones(tmp_path):
    evil = "<img src=x onerror=alert(1)>"
    heard = BlindListening(two(evil, "walnut"), evil, "walnut", 5, 2, tmp_path / "listening.json")
    assert heard.kept.value == ""
    for count in (1, 2, 3):
        finish(heard)
        tags = Tags(heard.kept.value)
        assert f"All tests in your record ({count})" in tags.text
        assert evil in tags.text
        assert "img" not in [tag for tag, _ in tags.tags]
        assert [tag for tag, _ in tags.tags].count("tr") == count + 1
        assert f"{heard.result.right} of 5" in tags.text
        assert f"{100 * heard.result.probability:.1f} %" in tags.text
        heard.start()
        assert heard.kept.value == ""
    unkept = BlindListening(two(), "maple", "walnut", 5, 2)
    finish(unkept)
    assert unkept.kept.value == ""


def test_a_record_that_cannot_be_written_is_told_and_the_result_stands(tmp_path):
    path = tmp_path / "listening.json"
    path.write_text("<shopping list>")
    heard = BlindListening(two(), "maple", "walnut", 5, 2, path)
    finish(heard)
    assert not heard.saved and heard.result.trials == 5 and "of 5 right" in heard.sentence
    tag, attributes = Tags(heard.alert.value).tags[0]
    assert attributes["role"] == "alert" and "Not kept: listening.json" in Tags(heard.alert.value).text
    assert path.read_text() == "<shopping list>"


def test_refusals():
    uneven = render({"maple": Mix(TONE, RATE), "walnut": Mix(BRIGHT[:3500], RATE)})
    with pytest.raises(ValueError, match="maple is 0.500 s long, walnut is 0.438 s long"):
        BlindListening(uneven, "maple", "walnut")
    with pytest.raises(ValueError, match="Did you mean 'walnut'"):
        BlindListening(two(), "maple", "wallnut")
    with pytest.raises(ValueError, match="from 5 to 100"):
        BlindListening(two(), "maple", "walnut", trials=3)
    with pytest.raises(ValueError, match="about: nothing given"):
        Players(two(), " ")


def test_level_sentence_reaches_the_blind_test():
    assert re.search("Levels matched", texts(BlindListening(two(match_levels=True), "maple", "walnut", 5,
                                                            1).widget))
    assert re.search("same gain", texts(BlindListening(two(), "maple", "walnut", 5, 1).widget))


def test_a_notebook_keeps_the_same_samples_to_play_where_nothing_runs():
    import soundfile

    sounds = two()
    kept = Players(sounds, "Two tones")._repr_mimebundle_()[0]["text/html"]
    tags = [a for tag, a in Tags(kept).tags if tag == "audio"]
    assert [a["aria-label"] for a in tags] == ["Sound: maple", "Sound: walnut"]
    for name, a in zip(sounds.names, tags, strict=True):
        kind, data = a["src"].split(",")
        assert kind == "data:audio/flac;base64" and "controls" in a and "autoplay" not in a
        samples, rate = soundfile.read(io.BytesIO(base64.b64decode(data)), dtype="int16")
        with wave.open(io.BytesIO(sounds.wav(name))) as wav:
            assert rate == wav.getframerate() == RATE
            assert samples.tobytes() == wav.readframes(len(samples)) and len(samples) == wav.getnframes()
    assert "Turn the volume down" in Tags(kept).text and LABEL in Tags(kept).text
