"""Seasons: the figure swept control by control, the words against the numbers, the questions driven right and
wrong, numbers by hand."""

import re

import numpy as np
import pytest

from tonewood.draws import band
from tonewood.lesson.client_year import by_hand, model, questions
from tonewood.lesson.client_year.figure import controls, seasons
from tonewood.lesson.client_year.model import DRAWS, SET, defaults, gone, leaves, mm, seen, spread_at, swing
from tonewood.lesson.client_year.verdicts import of_maple
from tonewood.lesson.client_year.view import SHOWS, counts
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.lesson.string_pull import model as pull_neck
from tonewood.neck.report.calculation_sheet import Entry, rows
from tonewood.neck.seasons.year import year
from tonewood.wood.climate import MONTHS, indoor, place, places

CONTROLS = ("place", "delivered", "shop", "temperature", "added", "humidifier", "cooled", "cooled_to",
            "back", "board", "main", "stripes", "ring_angle", "rod")


@pytest.fixture(scope="module")
def live():
    return seasons()


def values_to_try(control):
    if hasattr(control, "options"):
        every = [value for _, value in control.options]
        return every if len(every) < 20 else every[::4]
    if isinstance(control.value, bool):
        return [True, False]
    span = np.linspace(control.low, control.high, 5)
    return [float(control.low + round((v - control.low) / control.step) * control.step) for v in span]


# ---- the figure
def test_has_the_controls_of_the_job(live):
    assert tuple(live.controls) == CONTROLS and live.values == defaults()
    assert "held" not in live.controls, "the ghost goes by that name"


@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name):
    live.reset()
    control = live.controls[name]
    sentence, png, staged, pictures = live.sentence, live.png, live.stagings, set()
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        found = seen(**live.values)
        for which in (found.neck, found.one):
            for field in ("relief", "foreseen", "fret_end", "width", "stiffness", "board_moisture",
                          "neck_moisture"):
                assert np.all(np.isfinite(getattr(which, field))), (name, value, field)
            assert which.relief.shape == (DRAWS, 13) and np.max(np.abs(which.relief)) < 2e-3
        if value != control.default:
            assert live.sentence != sentence, (name, value)
            pictures.add(live.png)
    assert len(pictures - {png}) >= min(2, len(values_to_try(control)) - 1)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.set(**{name: control.default})
    assert live.sentence == sentence and live.png == png


@pytest.mark.parametrize("name, value, field", [
    ("place", "Singapore", "room"), ("delivered", "July", "relief"), ("shop", 60.0, "fret_end"),
    ("temperature", 24.0, "board_moisture"), ("added", 0.0, "fret_end"), ("cooled", False, "relief"),
    ("cooled_to", 20.0, "relief"),
    ("humidifier", "room never below 40 %", "fret_end"), ("back", "epoxy, two-part", "neck_moisture"),
    ("board", "epoxy, two-part", "board_moisture"),
    ("main", "mahogany", "width"), ("stripes", 1.0, "relief"), ("ring_angle", 0.0, "width"),
    ("rod", "single-acting", "relief"), ("rod", "single-acting", "rod_force")])
def test_control_reaches_the_model(name, value, field):
    before, after = (getattr(gone(**setting), field) for setting in ({}, {name: value}))
    before, after = (v.humidity if field == "room" else v for v in (before, after))
    assert np.max(np.abs(np.median(before, 0) - np.median(after, 0))) > 1e-6


def test_picture_shows_the_numbers(live):
    live.reset()
    live.set(place="Stockholm", stripes=5)
    found = seen(**live.values)
    year_, i, art = found.neck, found.widest, live.art
    low, high = 0.2 + 1e3 * year_.band()[[0, 2]]
    outline = art.shade.get_paths()[0].vertices
    for t in range(13):
        edge = outline[np.isclose(outline[:, 0], t), 1]
        assert edge.min() == pytest.approx(low[t], abs=0.006)
        assert edge.max() == pytest.approx(high[t], abs=0.006)
    assert art.foreseen.get_ydata() == pytest.approx(0.2 + 1e3 * year_.foreseen)
    assert art.room.get_ydata() == pytest.approx(100 * year_.room.humidity)
    assert art.numbers[0].get_text() == mm(year_.foreseen[i]) and art.month.get_text() == year_.month[i]
    boxes = [p.vertices[:, 0] for p in art.parts.get_paths()]
    assert boxes[0].max() - boxes[0].min() == pytest.approx(abs(1e3 * year_.foreseen[i]), abs=1e-9)
    assert boxes[1].min() == pytest.approx(1e3 * np.percentile(year_.chance[:, i], 5), abs=0.006)
    shown = [len(line.get_xdata()) for line in art.kinds]
    assert sum(shown) == 100 and shown[0] + shown[1] == round(100 * year_.share_up[i])
    assert art.months[0].words == [m[:3] for m in year_.month]
    assert art.shop.get_ydata()[0] == live.values["shop"]


def test_sentence_agrees_with_the_numbers(live):
    live.reset()
    for setting in ({}, dict(place="Singapore"), dict(stripes=1.0), dict(place="Lisbon", back="bare"),
                    dict(humidifier="room kept from 40 to 50 %")):
        live.reset()
        live.set(**setting)
        found = seen(**live.values)
        year_, i, words = found.neck, found.widest, live.sentence
        up = round(100 * year_.share_up[i])
        assert f"risen in {up} and fallen in {100 - up} of 100" in words
        assert f"in {year_.month[i]}, its widest month" in words
        assert f"{mm(year_.foreseen[i])} mm can be foreseen" in words
        left, one_left = (100 * leaves(y) for y in (year_, found.one))
        assert f"in {left:.0f} of 100 ({one_left:.0f} of 100 in one piece)" in words
        assert ("Fret ends never stand out" in words) == (np.median(year_.fret_end, 0).max() < 5e-6)
        assert "-" not in re.sub(r"[a-z]-[a-z]", "", words) and "−0.00" not in words and "+0.00" not in words
        low, middle, high = (mm(v, "") for v in band(swing(year_)))
        assert f"width moves by {middle} mm ({low} to {high})" in words


def test_ghost_keeps_the_earlier_year(live):
    live.reset()
    assert len(live.art.ghost.get_xdata()) == 0
    live.hold()
    before = live.art.ghost.get_ydata().copy()
    live.set(place="Singapore", stripes=1.0)
    assert live.art.ghost.get_ydata() == pytest.approx(before, nan_ok=True) and len(before) == 27
    assert np.nanmax(np.abs(live.art.one.get_ydata() - before)) > 0.05
    live.release()
    assert len(live.art.ghost.get_xdata()) == 0


def test_one_piece_beside_itself_is_the_same(live):
    found = seen(stripes=1.0)
    assert found.neck is found.one


def test_an_opened_design_stands_in_the_figure():
    opened = changed(NECK_12, stripes=13, main="mahogany", humidity=0.70, rod="single-acting", town="Lisbon",
                     name="Client's")
    live = seasons()
    live.take(opened, defaults(opened))
    assert live.values == defaults(opened) and live.values["stripes"] == 11 and live.values["shop"] == 65
    assert "13 stripes, built at 70 % humidity, delivered to Lisbon in October" in live.sentence
    assert gone(opened).neck.pieces[0].moisture == opened.shop_moisture
    told = " ".join(model.cannot(opened))
    assert all(word in told for word in ("humidity of 70 %", "stripes: 13"))
    assert gone(opened).rod_force[:, 0].min() > 0 and "single-acting rod pulls" in live.sentence
    assert not model.cannot(NECK_12)
    live.hold()
    live.take(NECK_12, defaults())
    assert live.sentence == seasons().sentence and len(live.art.ghost.get_xdata()) == 27
    for name, value in (("stripes", 5.0), ("ring_angle", 0.0), ("shop", 50.0), ("main", "wenge"),
                        ("place", "Singapore"), ("rod", "double-acting")):
        kept = model.keep(opened, {**defaults(opened), name: value}, "Mine")
        assert kept.name == "Mine" and kept.changed(name=opened.name) != opened


def test_what_cannot_be_shown_is_said():
    uneven = NECK_12.changed(stripes=[NECK_12.stripes[0], *changed(NECK_12, ring_angle=0.0).stripes[1:]])
    outdoors = next(name for name in places(indoor=False) if name not in places())
    board_wood = changed(NECK_12, main="African ebony", town=outdoors)
    assert "different angles" in " ".join(model.cannot(uneven))
    assert defaults(board_wood)["place"] == "Chicago" and defaults(board_wood)["main"] == "african_ebony"
    told = " ".join(model.cannot(board_wood))
    assert "no published temperatures" in told and "main wood" not in told, "every wood can be chosen"


def test_beyond_the_scale_is_said(live):
    live.reset()
    live.set(place="Singapore", cooled=False, stripes=1.0)
    assert live.art.beyond.words == [" ", " "]
    live.set(shop=30.0, stripes=1.0, place="Singapore", temperature=15.0, cooled=False,
             back="epoxy, two-part")
    assert live.art.beyond.words == [" ", "▼ beyond this scale"]


def test_200_necks_stand_for_2000():
    """What the text says of the draws: another 200 would move the edges by about a tenth of the band, the
    share by three or four of 100."""
    few, many = gone(), gone(draws=2000)
    i = many.widest
    low, high = many.band()[[0, 2], i]
    assert few.widest == i
    assert np.abs(few.band()[[0, 2], i] - [low, high]).max() < 0.1 * (high - low)
    assert abs(few.share_up[i] - many.share_up[i]) < 0.05


def test_counts_sort_a_hundred_necks():
    assert counts(np.array([0.2, 0.01, -0.01, -0.2])) == [25, 25, 25, 25]
    assert counts(np.zeros(50)) == [0, 0, 0, 0]
    assert counts(np.full(3, SHOWS + 0.01)) == [100, 0, 0, 0]
    assert sum(counts(np.random.default_rng(1).normal(size=333))) == 100


def test_small_numbers_carry_no_sign():
    assert mm(-4e-6) == "0.00" and mm(4e-6) == "0.00" and mm(-1.2e-4) == "−0.12" and mm(1.2e-4) == "+0.12"
    assert mm(1.2e-4, "") == "0.12"


def test_words_of_the_moves_hold():
    """The answers in italics under the figure."""
    start, towns = seen(), {name: seen(place=name) for name in ("Stockholm", "Manaus")}
    width = {name: spread_at(s.neck, s.widest) for name, s in {"start": start, **towns}.items()}
    assert width["Stockholm"] < width["start"] < width["Manaus"]
    assert np.min(np.abs(towns["Manaus"].neck.room.humidity - 0.45)) > 0.27
    warm = seen(cooled=False)
    july, hot = (100 * s.neck.room.humidity[9] for s in (start, warm))
    assert round(july) == 49 and round(hot) == 73 and start.neck.month[9] == "July"
    assert start.neck.month[start.widest] == "January" and warm.neck.month[warm.widest] == "August"
    many = [100 * leaves(gone(draws=2000, **setting)) for setting in ({}, {"cooled": False})]
    assert many[0] < 2 and 22 < many[1] < 27 and 22 < 100 * leaves(warm.neck) < 28
    one, eleven = (spread_at(gone(stripes=n), start.widest) for n in (1.0, 11.0))
    assert 0.62 < eleven / one < 0.78
    flat = gone(ring_angle=0.0)
    assert np.median(swing(flat)) / np.median(swing(start.neck)) == pytest.approx(1.42, abs=0.06)
    assert flat.relief == pytest.approx(start.neck.relief, abs=2e-6)
    back, both = gone(back="epoxy, two-part"), gone(back="epoxy, two-part", board="epoxy, two-part")
    assert leaves(gone(back="epoxy, two-part", cooled=False)) > 2 * leaves(warm.neck)
    assert np.max(np.abs(back.foreseen)) > 2 * np.max(np.abs(start.neck.foreseen))
    assert leaves(both) < 0.02
    winter = gone(humidifier="room never below 40 %")
    assert spread_at(winter, 3) < 0.5 * spread_at(start.neck, 3)
    assert spread_at(winter, 10) == pytest.approx(spread_at(start.neck, 10), rel=0.03)
    one_side, both_sides = (gone(humidifier=kept, cooled=False) for kept in (
        "room never below 40 %", "room kept from 40 to 50 %"))
    assert leaves(one_side) == leaves(warm.neck) and leaves(both_sides) < 0.01
    assert spread_at(both_sides, warm.widest) < 0.25 * spread_at(warm.neck, warm.widest)
    assert swing(start.neck) == pytest.approx(start.neck.width.max(-1) - start.neck.width.min(-1))
    assert np.min(start.neck.width) < -1e-4
    damp = seen(shop=60.0)
    ends = [np.median(s.neck.fret_end[:, s.driest]) for s in (start, damp)]
    assert 1.7 < ends[1] / ends[0] < 2.0
    summer = seen(delivered="July")
    assert summer.neck.month[summer.widest] == start.neck.month[start.widest]
    for wood in ("mahogany", "wenge", "Sitka spruce"):
        assert spread_at(gone(main=wood), start.widest) == pytest.approx(width["start"], rel=0.12)


def test_a_single_acting_rod_moves_the_ribbon_and_keeps_its_width():
    """What the move on the truss rod says."""
    double, single = (gone(draws=2000, rod=kind, cooled=False) for kind in ("double-acting", "single-acting"))
    for moment, way in ((3, 1), (10, -1)):
        assert way * np.median(single.relief[:, moment] - double.relief[:, moment]) > 1e-5
        assert spread_at(single, moment) == pytest.approx(spread_at(double, moment), rel=0.15)
    pull = np.median(single.rod_force, axis=0)
    assert pull[3] < 0.6 * pull[0] and pull[10] > pull[0] and not double.rod_force.any()


def test_stripes_average_among_themselves_only():
    """Independently derived: fretboard and one piece scatter alike, so seven stripes leave about sqrt((1 +
    sum of width shares squared) / 2); cut from one board they hardly average, and the fretboard's part
    stays."""
    maple = of_maple()
    one, seven, sliced, rest = (spread_at(found, 10) for found in (
        gone(draws=2000, stripes=1.0), gone(maple, 2000), gone(maple, 2000, "same board"),
        gone(maple, 2000, known=("stripes",))))
    share = np.array([s.width for s in maple.stripes])
    assert seven / one == pytest.approx(np.sqrt((1 + np.sum((share / share.sum()) ** 2)) / 2), abs=0.06)
    assert one / np.sqrt(7) < rest < seven < 0.85 * one < sliced <= one


def test_choices_are_known():
    assert set(MONTHS) == {v for _, v in controls()["delivered"].options}
    assert set(places()) == {v for _, v in controls()["place"].options}
    assert [v for _, v in controls()["back"].options] == list(model.FINISHES)
    assert [v for _, v in controls()["humidifier"].options] == list(model.HUMIDIFIERS)
    with pytest.raises(ValueError, match="control"):
        seasons().set(town="Chicago")
    with pytest.raises(ValueError, match="Shop humidity"):
        seasons().set(shop=70.0)
    with pytest.raises(ValueError, match="place"):
        gone(place="Atlantis")


def numbers(text, pattern):
    """Every number the pattern catches, true minus signs understood."""
    return [float(n.replace("−", "-")) for n in re.findall(pattern, text)]


# ---- by hand, strip, chain
def test_by_hand_beside_the_library():
    h = by_hand.dry_room_by_hand()
    assert 100 * h.start == pytest.approx(8.485, abs=0.001)
    assert h.width_by_hand == pytest.approx(0.055894 * 0.353 * (h.end - h.start), rel=1e-4)
    assert abs(h.width_by_hand) * 0.6 < abs(h.width) < abs(h.width_by_hand) and h.width < 0, (
        "the board holds the neck back")
    assert h.fret_end_free == pytest.approx(h.fret_end_by_hand, rel=1e-9) and h.fret_end > h.fret_end_free, (
        "flat-sawn maple takes the board along")
    assert h.half_time_by_hand == pytest.approx(h.half_time, rel=0.06)
    assert h.half_time < h.half_time_on_neck < h.half_time_neck < 30
    with pytest.raises(ValueError, match="relative humidity"):
        by_hand.dry_room_by_hand(30)


def test_strip_foretells_the_neck():
    s = by_hand.glued_strip()
    assert s.low < 0 < s.high and s.high == pytest.approx(s.by_hand, rel=0.05) and s.high > 1.5e-4, (
        "a feeler gauge can read it")
    assert s.per_strip > 0 and s.neck_high == pytest.approx(s.per_strip * s.high, rel=0.15)


def test_workshop_table():
    shown = repr(by_hand.workshop_table())
    assert "Stockholm: most homes are heated to 20 °C, not cooled; driest month (%) 29; dampest" in shown
    assert "judgement" in shown
    assert "wait until it is above 35 %" in shown and "below 65 %" in shown
    assert repr(by_hand.workshop_table(["Chicago"])).count("\n") == 1
    air = indoor("Chicago")
    driest = f"driest month (%) {100 * air.humidity.min():.0f}; dampest"
    assert f"Chicago: most homes are heated to 20 °C, cooled; {driest}" in shown


def test_chain_shown_holds_every_link():
    found, shown = by_hand.whole_chain(draws=300), by_hand.chain_shown(draws=300)
    assert list(found) == ["No. 12, seven stripes", "one piece of hard maple"]
    assert "300 possible necks" in repr(shown)
    for links in found.values():
        for link in links:
            words = by_hand.entry_text(link)
            assert words in repr(shown) and words in shown.html
            assert (f"({link.unit.replace('m3', 'm³')})" in shown.html or not link.unit)
    assert "Chicago" in repr(shown) and shown.html.count("<tr>") == len(rows(found)) + 1 + 5
    assert shown.html.count("colspan='3'") == 5
    assert "Lisbon" in repr(by_hand.chain_shown("Lisbon", draws=50))


def test_text_of_an_entry():
    def told(decimals, value):
        return by_hand.entry_text(Entry("year", "relief", "mm", decimals, value))

    assert told(2, np.array([-0.104, 0.0, 0.2])) == "0.00 (−0.09 to 0.18)"
    assert told(2, 0.186) == "0.19" and told(2, -0.0001) == "0.00"


def test_chain_has_the_rod_of_the_string_pull_lesson():
    """The same neck, strings and wish: the same share of the rod's limit in both lessons."""
    links = {link.name: link for link in by_hand.whole_chain()["No. 12, seven stripes"]}
    pulled = pull_neck.pulled(**pull_neck.defaults())
    share, turns = (np.median(links[name].value) for name in (
        "share of the limit to plan with", "turns from finger tight, at least"))
    assert share == pytest.approx(np.median(pull_neck.held_share(pulled)), abs=1.5)
    assert turns == pytest.approx(np.median(np.abs(pulled.setting.turns)), abs=0.01)


def test_what_to_tell_is_the_year_of_2000_necks():
    found = gone(draws=2000)
    up = round(100 * found.share_up[found.widest])
    assert f"in {up} of 100 such necks" in by_hand.what_to_tell()
    assert by_hand.what_to_tell(place="Lisbon") != by_hand.what_to_tell()


def test_the_body_holds_the_neck():
    neck = NECK_12.neck()
    assert neck.body_start == pytest.approx(float(neck.fret(17))) and len(neck.layup.stripes) == 7
    assert abs(year(neck, "Chicago", points=3, setup_relief=SET).relief[0]) < 1e-12


# ---- questions
@pytest.mark.parametrize("make, says", [
    (questions.guess_winter, "of 100 such necks"), (questions.guess_finish, "of the change of a bare one"),
    (questions.guess_pieces, "% as wide")])
def test_predictions_say_what_is_computed(make, says):
    guess = make()
    guess.commit()
    assert "Mark one answer first" in guess.reply
    guess.answer = guess.labels[0]
    guess.commit()
    assert guess.committed and says in guess.reply and "Computed" in guess.reply


def test_answers_offered_hold_the_computed_one():
    finish, pieces = questions.guess_finish(), questions.guess_pieces()
    for guess in (finish, pieces):
        guess.answer = guess.labels[0]
        guess.commit()
    assert numbers(finish.reply, r"made (\d+) %")[0] > 85, "'nearly as much' is the right one"
    assert 66 < numbers(pieces.reply, r"is (\d+) % as wide")[0] < 84, "'three quarters' is the right one"


@pytest.mark.parametrize("make, right", [(questions.answer_lever, "air conditioner"),
                                         (questions.answer_knowledge, "a strip of the neck wood")])
def test_choices_driven_right_and_wrong(make, right):
    q = make()
    assert right in q.right
    assert q.check() is None
    for label, reason in q.answers.items():
        q.answer = label
        assert q.check() is (label == q.right)
        assert reason in q.reply and (q.hint in q.reply) == (label != q.right)


def test_one_lever_only_is_right():
    left = {label: questions.lever_left(label) for label in questions.LEVERS}
    assert [label for label, share in left.items() if share <= 0.05] == [questions.answer_lever().right]
    assert sorted(left.values())[1] > 0.10


def test_a_town_brings_its_rooms(live):
    """Choosing a town sets heating and cooling to what is usual there; they can be set by themselves after
    that, or in the same step; one redraw each."""
    live.reset()
    assert live.values["cooled"] and "90 of 100 cooled (published)" in live.sentence
    live.controls["place"].value = "London"
    assert live.values["temperature"] == 19 and not live.values["cooled"]
    assert "heated to 19 °C (estimated), 5 of 100 cooled (published)" in live.sentence
    live.set(cooled=True)
    assert live.values["place"] == "London" and live.values["cooled"]
    live.set(temperature=22.0, place="Stockholm")
    assert live.values["temperature"] == 22 and not live.values["cooled"]
    live.set(place="Bogota")
    assert "no figure for cooling on file" in live.sentence
    live.reset()
    assert live.values == defaults()
    for town in ("London", "Chicago"):
        assert gone(place=town) is gone(place=town, **model.usual(town))


def test_towns_are_listed_by_continent_and_found_by_their_letters():
    labels = [label for label, _ in controls()["place"].options]
    assert labels[0] == "Cairo · Egypt · Africa" and labels[-1].endswith("South America")
    assert [label.split(" · ")[2] for label in labels] == sorted(label.split(" · ")[2] for label in labels)


def test_fret_end_number_driven_right_and_wrong():
    q = questions.answer_fret_end()
    assert 0.15 < q.right < 0.35
    for said, verdict, words in ((q.right, True, "is within"), (2 * q.right, False, "both ends together"),
                                 (0.01, False, "too low"), ("a lot", None, "number")):
        q.answer = f"{said:.3f}" if isinstance(said, float) else said
        assert q.check() is verdict and words in q.reply
    slip = [value for value, reason in q.slips if "quarter" in reason][0]
    q.answer = f"{slip:.3f}"
    assert q.check() is False and "flat-sawn" in q.reply


def test_places_shown_without_their_stations():
    assert "(Arlanda)" not in seasons().sentence and place("Stockholm").name == "Stockholm"


def test_whole_section_dries_sooner_and_hardly_moves_the_ribbon():
    """What the lesson says of drying in layers: the board is sooner dry with its edges open, the ribbon
    moves by far less than the factor of three in the pace makes it wide, and the workshop is forgotten by
    January."""
    found = by_hand.whole_section_drying(200)
    assert 0.6 * found.board < found.board_whole < 0.9 * found.board
    assert 0 < found.off < 0.06 * found.width
    assert found.first == pytest.approx(found.settled, abs=2e-4)
