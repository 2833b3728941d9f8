"""Lesson 08 as a learner meets it: players and blind test in JupyterLab, by keyboard alone."""

import json
import urllib.request

import pytest

pytestmark = pytest.mark.parametrize("lesson", ["08_the_attack.ipynb"], indirect=True)
SOUNDS = """() => [...document.querySelectorAll('.tonewood-sound')].map(f => { const a = f.querySelector('audio');
  return {title: f.querySelector('figcaption').firstChild.textContent.trim(), src: a.src, paused: a.paused, auto: a.autoplay, seconds: a.duration, error: a.error && a.error.message}; })"""
FOCUS = (
    "() => { const e = document.activeElement; return e.tagName + ' ' + (e.getAttribute('aria-label') ||"
    " e.textContent).trim(); }"
)
LIMIT = 200


def ready(lab):
    lab.until(
        lambda: len([s for s in lab.page.evaluate(SOUNDS) if s["seconds"]]) >= 5,
        "the five players did not load",
    )
    return lab


def tab_to(lab, words, most=LIMIT):
    """Press Tab until what has the focus says `words`; the stops on the way."""
    stops = []
    for _ in range(most):
        lab.page.keyboard.press("Tab")
        stops.append(lab.page.evaluate(FOCUS))
        if stops[-1].endswith(words):
            return stops
    raise AssertionError(f"no way to {words!r} by Tab: {stops}")


def trial(lab):
    """The words of the running blind test: trial number, or the result."""
    return (
        lab.page.locator(".tonewood-sentence .tonewood-says")
        .filter(has_text="trials answered")
        .or_(lab.page.locator(".tonewood-sentence .tonewood-says").filter(has_text="Which one is X"))
        .first.inner_text()
    )


def blind_sounds(lab):
    return {s["title"]: s["src"] for s in lab.page.evaluate(SOUNDS) if s["title"] in "ABX"}


def take_test(lab, listener):
    """Answer every trial with Tab and Enter; the result in words."""
    for number in range(1, 13):
        lab.until(lambda: trial(lab).startswith(f"Trial {number} of 12."), f"trial {number} did not come")
        wanted = f"X is {listener(blind_sounds(lab))}"
        for key in ("Shift+Tab", "Tab", "Tab", "Tab"):
            if lab.page.evaluate(FOCUS).endswith(wanted):
                break
            lab.page.keyboard.press(key)
        assert lab.page.evaluate(FOCUS).endswith(wanted)
        lab.page.keyboard.press("Enter")
    lab.until(lambda: "trials answered" in trial(lab), "no result")
    return trial(lab)


def record(server, name="my_record.json"):
    with urllib.request.urlopen(f"{server}/api/contents/{name}?content=1") as answer:
        content = json.load(answer)["content"]
    return content if isinstance(content, dict) else json.loads(content)


def test_nothing_plays_by_itself_and_players_play_by_keyboard(lesson):
    lab = ready(lesson)
    sounds = lab.page.evaluate(SOUNDS)
    assert [s["title"] for s in sounds][2:] == ["A", "B", "X"]
    assert all(
        s["paused"] and not s["auto"] and s["error"] is None and abs(s["seconds"] - 2) < 0.05 for s in sounds
    ), sounds
    lab.page.locator(".tonewood-sound audio").first.focus()
    lab.page.keyboard.press("Space")
    lab.until(
        lambda: lab.page.evaluate("() => document.querySelector('.tonewood-sound audio').currentTime > 0.2"),
        "the sound did not start by keyboard",
    )
    assert lab.errors == []


def test_sounds_of_the_sliders_are_taken_over_by_keyboard(lesson):
    lab = ready(lesson)
    before = lab.page.evaluate(SOUNDS)[0]["src"]
    lab.until(lambda: lab.picture(), "the figure behind the prediction did not appear")
    picture = lab.picture()
    handle = lab.page.locator(".tonewood-live").get_by_role("slider", name="Pick, from the bridge mm")
    handle.focus()
    handle.press("ArrowLeft")
    lab.until(lambda: lab.picture() != picture, "the pick moved but the picture did not change")
    lab.page.get_by_role("button", name="Take over what the sliders show").press("Enter")
    lab.until(
        lambda: [s["title"] for s in lab.page.evaluate(SOUNDS)[:2]] == ["sliders now, A3", "start values, A3"],
        "the players did not follow the sliders",
    )
    sounds = lab.page.evaluate(SOUNDS)
    assert len({before, sounds[0]["src"], sounds[1]["src"]}) == 3
    assert lab.page.locator(".tonewood-error:not([hidden])").count() == 0 and lab.errors == []


def test_blind_test_by_keyboard_knowing_and_guessing(lesson, server):
    lab = ready(lesson)
    lab.page.get_by_label("Keep results in").focus()
    stops = tab_to(lab, "X is A")
    for letter in "ABX":
        assert f"AUDIO Sound: {letter}" in stops  # all three sounds lie on the way
    seen = lab.page.evaluate("() => getComputedStyle(document.activeElement).outline")
    assert "3px" in seen, seen  # where one is can be seen
    result = take_test(lab, lambda sounds: "A" if sounds["X"] == sounds["A"] else "B")
    assert (
        "12 of 12 right" in result
        and "very likely heard" in result
        and "Kept as test 1" in result
        and "not a recording" in result
    )
    tests = record(server)["tests"]
    assert len(tests) == 1 and tests[0]["truth"] == tests[0]["answers"]
    again = lab.page.get_by_role("button", name="New test")
    lab.until(again.is_enabled, "no new test is offered")
    lab.page.get_by_label("Keep results in").focus()
    tab_to(lab, "New test")
    lab.page.keyboard.press("Enter")
    lab.until(lambda: trial(lab).startswith("Trial 1 of 12."), "no new test began")
    guess = lab.page.locator(".tonewood-question", has_text="How many of your answers will be right?")      # 6, as predicted
    lab.page.get_by_label("Compare blind").select_option(label="two necks, a run of notes")
    lab.until(lambda: lab.page.evaluate(SOUNDS)[-1]["seconds"] > 2.5, "the run of notes did not come")
    lab.page.get_by_label("Keep results in").focus()
    tab_to(lab, "X is A")
    result = take_test(lab, lambda sounds: "A")  # hears nothing, always says A
    tests = record(server)["tests"]
    right = sum(t == "A" for t in tests[1]["truth"])
    assert len(tests) == 2 and f"{right} of 12 right" in result and "Kept as test 2" in result
    told = f"{'Right' if abs(right - 6) <= 1 else 'Not so'}: you said “6”, it is “{right}”."
    assert told in result and told in guess.inner_text()
    lab.until(
        lambda: (
            "All tests in your record (2)" in lab.page.locator(".tonewood-panel summary").all_inner_texts()
        ),
        "the record is not shown",
    )
    assert lab.page.locator(".tonewood-error:not([hidden])").count() == 0 and lab.errors == []
