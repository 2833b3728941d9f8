"""The live figure without a browser: what it draws, says, keeps and refuses."""

import asyncio
import base64
import io
import threading
import time
import weakref
from concurrent.futures import ThreadPoolExecutor

import ipywidgets
import matplotlib
import numpy as np
import pytest
from matplotlib.collections import PolyCollection
from matplotlib.colors import to_rgb
from matplotlib.patches import Rectangle
from PIL import Image
from threadpoolctl import threadpool_info, threadpool_limits

from tonewood.panel import style, theme
from tonewood.panel.asked import Page
from tonewood.panel.controls import slider, switch
from tonewood.panel.live_figure import LiveFigure
from tonewood.panel.painting import artists_in
from tonewood.panel.questions import predict

X = np.linspace(0, 1, 50)


def setup(fig):
    axes = fig.subplots()
    axes.set(xlim=(0, 1), ylim=(0, 10), title="A line")
    line, = axes.plot(X, X, **style.NOW)
    ghost, = axes.plot(X, X, visible=False, **style.HELD)
    band = axes.fill_between(X, X, X, **style.BAND)
    return {"line": line, "more": [ghost, {"band": band}]}


def change(art, slope, on, held=None):
    if slope == 7:
        raise ValueError("slope <seven> is refused")
    art["line"].set_ydata(slope * X)
    ghost = art["more"][0]
    ghost.set_visible(held is not None)
    if held is not None:
        ghost.set_ydata(held["slope"] * X)
    return f"Slope {slope:.1f} & on is {on}."


@pytest.fixture
def live():
    return LiveFigure(setup, change, {"slope": slider("Slope", 2, 0, 10, 0.5), "on": switch("On")},
                      inches=(4, 2), alt="A line")


def pixels(png):
    return np.asarray(Image.open(io.BytesIO(png)).convert("RGB")).astype(int)


def test_moving_a_control_changes_data_picture_and_sentence(live):
    before = live.png
    live.controls["slope"].value = 5
    assert live.art["line"].get_ydata()[-1] == 5
    assert live.png != before and live.image.value == live.png
    assert live.sentence == "Slope 5.0 & on is False."
    assert "Slope 5.0 &amp; on is False." in live.caption.value


def test_the_handle_of_the_slider_drives_it_too(live):
    live.controls["slope"].widget.children[0].children[0].value = 4.5
    assert live.values["slope"] == 4.5 and live.art["line"].get_ydata()[-1] == 4.5
    live.controls["slope"].widget.children[0].children[1].value = "3.25"
    assert live.art["line"].get_ydata()[-1] == 3.25


def test_same_value_same_bytes_and_the_backdrop_is_drawn_once(live):
    first = live.png
    for slope in range(1, 7):
        live.controls["slope"].value = slope
    for slope in (8, 9, 10, 2):
        live.controls["slope"].value = slope
    assert live.png == first
    assert live.stagings == 1


def test_a_changed_title_restages(live):
    live.fig.axes[0].set_title("Another title")
    live.refresh()
    assert live.stagings == 2
    live.refresh()
    assert live.stagings == 2


def test_picture_decodes_to_the_canvas_and_is_what_a_full_draw_gives(live):
    live.controls["slope"].value = 6
    width, height = live.canvas.get_width_height()
    shown = pixels(live.png)
    assert shown.shape == (height, width, 3) == (200, 400, 3)
    with matplotlib.rc_context(style.FIGURE):
        for artist in artists_in(live.art):
            artist.set_animated(False)
        live.canvas.draw()
    full = np.asarray(live.canvas.buffer_rgba())[..., :3].astype(int)
    assert (abs(full - shown).max(axis=2) > 40).mean() < 0.01      # artists lie above the spines, else equal
    assert (abs(full - pixels(live._encode(None, 9))).max()) == 0


def test_a_fine_page_at_rest_gets_twice_the_pixels_and_the_next_step_is_as_before(live):
    plain, staged = live.png, live.stagings
    sharp = pixels(live.sharp())
    assert sharp.shape == (400, 800, 3)
    # the same picture: each pixel is the mean of four
    halved = sharp.reshape(200, 2, 400, 2, 3).mean(axis=(1, 3))
    assert abs(halved - pixels(plain)).mean() < 6
    live.controls["slope"].value = 6
    live.controls["slope"].value = 2
    assert live.png == plain and live.stagings == staged


def test_only_a_page_that_says_so_is_sent_the_fine_picture(live):
    async def still(density):
        live.image.value = live.png
        live._told_of_page({"new": density})
        await asyncio.sleep(0.6)
        return pixels(live.image.value).shape
    with ThreadPoolExecutor(1) as apart:          # a browser test may have left a loop running in this thread
        sizes = [apart.submit(asyncio.run, still(density)).result() for density in ("1", "2", "nonsense")]
    assert sizes == [(200, 400, 3), (400, 800, 3), (200, 400, 3)]


def test_a_dark_page_gets_dark_pictures_at_once_and_the_notebook_keeps_light_ones():
    asked = []

    def woody(fig):
        axes = fig.add_axes((0, 0, 1, 1))
        axes.axis("off")
        axes.add_patch(Rectangle((0.5, 0), 0.5, 1, facecolor="#a9683f", edgecolor="none"))
        dots = axes.add_collection(PolyCollection([[(0, 0), (0.2, 0), (0.2, 1)]], facecolors=[style.BLUE]))
        return [dots, *axes.plot([0.3, 0.3], [0, 1], "o-", color="black", lw=8, ms=20)]

    live = LiveFigure(woody, lambda art, n: asked.append(n), {"n": slider("N", 1, 0, 2, 1)}, inches=(2, 1),
                      alt="A board")
    light, before = live.png, len(asked)
    live._told_of_page({"new": "1 dark"})
    seen = pixels(live.image.value)
    at = {"paper": (10, 5), "wood": (50, 150), "line": (50, 60), "shape": (80, 30), "dot": (95, 60)}
    wanted = {"paper": theme.PAPER, "wood": "#a9683f", "line": theme.INK, "dot": theme.INK,
              "shape": theme.DARK[style.BLUE]}
    for name, place in at.items():
        assert abs(seen[place] - 255 * np.array(to_rgb(wanted[name]))).max() < 6, name
    assert len(asked) == before                                      # painted anew, not worked out anew
    assert abs(pixels(live.stored()) - pixels(light)).max() < 40 and live.canvas.dark
    live._told_of_page({"new": "1 light"})
    assert live.image.value == live.png == light


def test_moving_artists_are_drawn_in_order_of_depth():
    def two(fig):
        axes = fig.subplots()
        axes.set_axis_off()
        low = axes.axhspan(0, 1, color="red", zorder=1)
        high = axes.axhspan(0, 1, color="blue", zorder=2)
        return [high, low]
    shown = pixels(LiveFigure(two, lambda art: None, {}, inches=(1, 1), alt="Blue over red").png)
    middle = shown[50, 50]
    assert middle[2] > 200 and middle[0] < 50


def test_an_error_is_shown_escaped_raised_and_cleared(live):
    good = live.png
    with pytest.raises(ValueError, match="refused"):
        live.controls["slope"].value = 7
    assert 'role=\'alert\'' in live.alert.value and "slope &lt;seven&gt; is refused" in live.alert.value
    assert live.png == good and isinstance(live.error, ValueError)
    live.controls["slope"].value = 3
    assert live.alert.value == "" and live.error is None


def test_set_moves_several_controls_with_one_redraw(live):
    calls = []
    plain = live._change
    live._change = lambda *args, **kwargs: calls.append(kwargs) or plain(*args, **kwargs)
    live.set(slope=4, on=True)
    assert len(calls) == 1 and calls[0]["slope"] == 4 and calls[0]["on"] is True


def test_set_refuses_and_leaves_everything(live):
    live.set(slope=3)
    with pytest.raises(ValueError, match="Did you mean 'slope'"):
        live.set(sloop=3)
    with pytest.raises(ValueError, match="Slope: 99 given; accepted: from 0 to 10"):
        live.set(on=True, slope=99)
    assert live.values == {"slope": 3, "on": False}
    assert live.sentence == "Slope 3.0 & on is False."


def test_set_leaves_everything_when_the_drawing_refuses_and_the_figure_moves_on(live):
    live.set(slope=3)
    before = live.values, live.png, live.sentence
    with pytest.raises(ValueError, match="slope <seven> is refused"):
        live.set(slope=7, on=True)
    assert (live.values, live.png, live.sentence) == before
    assert live.error is None and live.alert.value == ""
    live.controls["on"].value = True
    assert live.sentence == "Slope 3.0 & on is True."


def test_the_figure_asks_its_controls_whether_they_change_anything():
    size = slider("Size", 2, 0, 10, 0.5).unless(lambda values: "" if values["on"] else "Tick On first.")
    live = LiveFigure(setup, lambda art, slope, on: change(art, slope, on),
                      {"slope": size, "on": switch("On")}, inches=(4, 2), alt="A line")
    assert size.resting == "Tick On first." and size._track.disabled
    live.controls["on"].value = True
    assert size.resting == "" and not size._track.disabled
    live.set(on=False)
    assert size._track.disabled and "Tick On first." in size._reason.value


def register():
    """All widgets now open, as ipywidgets keeps them."""
    return ipywidgets.widgets.widget._instances


def figure():
    return LiveFigure(setup, change, {"slope": slider("Slope", 2, 0, 10, 0.5), "on": switch("On")},
                      inches=(4, 2), alt="A line")


def test_a_cell_run_again_lets_its_earlier_figures_go(shell):
    def two():
        return figure(), figure()

    open_before = len(register())
    history = []                                     # as a notebook keeps what its cells returned
    for count in range(3):
        history.append(shell.run("a", count, two))
        held = [weakref.ref(thing) for live in history[-1]
                for thing in (live.fig, live.widget, live.controls["slope"])]
        if count == 0:
            first, widgets = held, len(register()) - open_before
    assert all(thing() is None for thing in first)
    assert len(register()) - open_before == widgets                     # no widget more than after one run
    assert [live.closed for run in history for live in run] == [True] * 4 + [False] * 2
    assert history[0][0].words() == "A line. Slope 2.0 & on is False."       # its last words
    for late in (history[0][0].refresh, lambda: history[0][0].set(slope=5), history[0][0].hold):
        with pytest.raises(ValueError, match="closed when its cell ran again"):
            late()
    history[2][0].set(slope=5)
    assert history[2][0].sentence == "Slope 5.0 & on is False."


def test_other_cells_and_callbacks_close_nothing(shell):
    one = shell.run("a", 1, figure)
    two = shell.run("b", 2, figure)
    figure()                                                     # by a button, say
    assert not one.closed and not two.closed


def test_a_prediction_made_late_opens_only_the_figure_of_the_last_run(shell):
    def asks():
        return predict("Up or down?", ["up", "down"], on=page)

    page = Page()
    prediction = shell.run("a", 1, asks)
    first = shell.run("b", 1, lambda: prediction.then(figure()))
    second = shell.run("b", 2, lambda: prediction.then(figure()))
    prediction, older = shell.run("a", 2, asks), prediction           # the gate waits for the one now there
    assert older.widget is None and page.words() == "0 of 1 done on this page"
    open_before = len(register())
    shell.run("b", 3, lambda: None)
    third = shell.run("b", 4, lambda: prediction.then(figure()))
    assert len(register()) == open_before
    prediction.answer = "up"
    prediction.commit()
    assert first.figure is second.figure is None and not first.opened and not second.opened
    assert third.opened and third.widget.children == (third.figure.widget,)


def test_ghost_is_kept_and_let_go(live):
    live.ghost.value = True
    assert live.held == {"slope": 2.0, "on": False}
    live.set(slope=8)
    ghost = live.art["more"][0]
    assert ghost.get_visible() and ghost.get_ydata()[-1] == 2 and live.art["line"].get_ydata()[-1] == 8
    live.release()
    assert live.held is None and not live.ghost.value and not ghost.get_visible()


def test_reset_returns_to_the_start_picture(live):
    start = live.png
    live.set(slope=9, on=True)
    live.hold()
    live.set(slope=1)
    live.reset()
    assert live.values == {"slope": 2, "on": False} and live.held is None
    assert live.png == start


def test_no_ghost_where_change_takes_none():
    plain = LiveFigure(setup, lambda art, slope: None, {"slope": slider("Slope", 2, 0, 10, 1)}, inches=(2, 1),
                       alt="x")
    assert not hasattr(plain, "ghost")
    with pytest.raises(ValueError, match="draws no ghost"):
        plain.hold()
    plain.reset()


def test_a_plain_widget_will_do():
    handle = ipywidgets.FloatSlider(value=1, min=0, max=10)
    plain = LiveFigure(setup, lambda art, slope: art["line"].set_ydata(slope * X), {"slope": handle},
                       inches=(2, 1), alt="x")
    handle.value = 6
    assert plain.art["line"].get_ydata()[-1] == 6 and plain.sentence == ""


def test_bundle_reads_everywhere(live):
    data, metadata = live._repr_mimebundle_()
    assert "application/vnd.jupyter.widget-view+json" in data
    assert data["text/plain"] == "[figure: A line. Slope 2.0 & on is False.]"
    assert isinstance(data["image/png"], str)
    assert pixels(base64.b64decode(data["image/png"])).shape == (200, 400, 3)
    assert metadata["image/png"]["alt"] == "A line. Slope 2.0 & on is False."


def test_refuses_what_cannot_live():
    with pytest.raises(ValueError, match="alt: nothing given"):
        LiveFigure(setup, change, {}, alt=" ")
    with pytest.raises(ValueError, match="returned no matplotlib artist"):
        LiveFigure(lambda fig: None, lambda art: None, {}, alt="x")
    with pytest.raises(ValueError, match="place"):
        LiveFigure(setup, change, {}, alt="x", place="behind")


def test_an_error_of_the_first_drawing_is_raised_at_once():
    with pytest.raises(ValueError, match="refused"):
        LiveFigure(setup, change, {"slope": slider("Slope", 7, 0, 10, 1), "on": switch("On")}, inches=(2, 1),
                   alt="x")


@pytest.mark.parametrize("place", ["above", "beside"])
def test_controls_are_laid_out_with_the_picture(place):
    control = slider("Slope", 2, 0, 10, 1)
    made = LiveFigure(setup, lambda art, slope: None, {"slope": control}, inches=(2, 1), alt="x", place=place)

    def inside(widget):
        yield widget
        for child in getattr(widget, "children", ()):
            yield from inside(child)
    order = [w for w in inside(made.widget) if w in (control.widget, made.image)]
    assert order == [control.widget, made.image]
    assert ("tonewood-beside" in made.widget.children[-1]._dom_classes) is (place == "beside")


def test_what_the_lesson_is_not_about_is_folded(live):
    made = LiveFigure(setup, change, {"slope": slider("Slope", 2, 0, 10, 0.5), "on": switch("On")},
                      inches=(4, 2), alt="A line", first=["on"])
    panel = made.widget.children[-1].children[0]
    button, folded = (panel.children[2:4])
    assert button.description == "More ▸" and folded.layout.display == "none"
    assert made.controls["slope"].widget in folded.children[1].children
    assert made.controls["on"].widget in panel.children[1].children
    button.click()
    assert button.description == "More ▾" and not folded.layout.display
    with pytest.raises(ValueError, match="control"):
        LiveFigure(setup, change, {"slope": slider("Slope", 2, 0, 10, 0.5), "on": switch("On")},
                   inches=(4, 2), alt="A line", first=["sloop"])


def test_a_narrow_page_cuts_the_part_that_is_chosen():
    parts = {"Left": (0, 0, 0.5, 1), "Right": (0.5, 0, 1, 1)}
    made = LiveFigure(setup, change, {"slope": slider("Slope", 2, 0, 10, 0.5), "on": switch("On")},
                      inches=(4, 2), alt="A line", parts=parts)
    choice, cut, told = made.widget.children[-1].children[1].children[0].children
    assert told is made.change_said                     # in sight while the picture is
    assert choice.options == ("Left", "Right") and "tonewood-cut-0-0-50-100" in cut._dom_classes
    choice.value = "Right"
    assert "tonewood-cut-50-0-100-100" in cut._dom_classes
    assert "tonewood-cut-0-0-50-100" not in cut._dom_classes
    # the right half of a picture twice as wide as high: a square, the whole twice as wide and moved by one
    rules = style.cuts(parts, 2.0)
    assert ".tonewood-cut-50-0-100-100 {overflow:hidden !important; aspect-ratio:1.0000;" in rules
    assert "width:200.00%; max-width:none; left:-100.00%; top:0.00%" in rules


def test_two_threads_never_draw_at_once(live):
    inside, clashes = [], []
    plain = live._change

    def slow(art, **values):
        clashes.extend(inside)
        inside.append(1)
        time.sleep(0.02)
        inside.pop()
        return plain(art, **values)
    live._change = slow
    threads = [threading.Thread(target=lambda: live.refresh()) for _ in range(4)]
    for t in threads:
        t.start()
    for t in threads:
        t.join()
    assert clashes == []


def test_axes_handed_over_by_mistake_stay_in_the_backdrop():
    def with_axes(fig):
        art = setup(fig)
        return {**art, "axes": art["line"].axes}
    assert not any(isinstance(a, matplotlib.axes.Axes) for a
                   in artists_in(with_axes(matplotlib.figure.Figure())))
    made = LiveFigure(with_axes, change, {"slope": slider("Slope", 2, 0, 10, 0.5), "on": switch("On")},
                      inches=(4, 2), alt="A line")
    assert not made.art["axes"].get_animated()


def test_no_control_may_take_the_name_of_the_ghost():
    with pytest.raises(ValueError, match="held"):
        LiveFigure(setup, lambda art, held: None, {"held": slider("Held", 2, 0, 10, 0.5)}, inches=(4, 2),
                   alt="A line")


def about(art, slope, subject, held=None):
    if subject * slope > 50:
        raise ValueError("too steep")
    art["line"].set_ydata(subject * slope * X)
    return f"{subject:g} times {slope:g}."


@pytest.fixture
def subject_live():
    controls = {"slope": slider("Slope", 2, 0, 10, 0.5),
                "plain": ipywidgets.FloatSlider(value=1, min=0, max=10)}
    return LiveFigure(setup, lambda art, slope, plain, subject, held=None: about(art, slope, subject, held),
                      controls,
                      inches=(4, 2), alt="A line", subject=3)


def test_another_subject_brings_its_start_values_in_one_redraw(subject_live):
    live, calls = subject_live, []
    plain = live._change
    live._change = lambda *args, **kwargs: calls.append(kwargs) or plain(*args, **kwargs)
    live.hold()
    calls.clear()
    live.take(5, {"slope": 4, "plain": 2})
    assert len(calls) == 1 and live.sentence == "5 times 4." and live.subject == 5
    assert live.held == {"slope": 2, "plain": 1, "subject": 3} and calls[0]["held"] == live.held
    live.set(slope=9)
    live.reset()
    assert live.values == {"slope": 4, "plain": 2} and live.subject == 5 and live.held is None


@pytest.mark.parametrize("subject, start, words", [(9, {"slope": 8}, "too steep"),
                                                   (4, {"plain": 3, "slope": 99}, "Slope: 99 given"),
                                                   (4, {"sloop": 1}, "Did you mean 'slope'")])
def test_a_subject_that_fails_changes_nothing(subject_live, subject, start, words):
    live = subject_live
    live.set(slope=5)
    before = live.png, live.values, live.subject, live.sentence, live.controls["slope"].default
    with pytest.raises(ValueError, match=words):
        live.take(subject, start)
    assert before == (live.png, live.values, live.subject, live.sentence, live.controls["slope"].default)
    assert live.error is None and live.alert.value == ""
    live.controls["slope"].value = 6
    assert live.sentence == "3 times 6."


def test_no_subject_where_change_takes_none(live):
    with pytest.raises(ValueError, match="a parameter named subject"):
        live.take(5, {})


def test_linear_algebra_has_one_thread_while_a_figure_computes_and_what_it_had_after():
    def threads():
        return [library["num_threads"] for library in threadpool_info() if library["user_api"] == "blas"]

    seen = []
    with threadpool_limits(2, user_api="blas"):
        before = threads()
        LiveFigure(setup, lambda art: seen.extend(threads()), {}, inches=(2, 1), alt="x")
        assert set(seen) == {1} and threads() == before
