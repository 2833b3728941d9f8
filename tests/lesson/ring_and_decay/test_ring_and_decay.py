"""Ring and decay: the map swept by machine, its words against its numbers, verdicts against what they print,
every question right and wrong."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tonewood.lesson.ring_and_decay import by_hand, model, questions, verdicts
from tonewood.lesson.ring_and_decay.decay_map import INK, SHADES, STEPS, in_the_map, shade
from tonewood.lesson.ring_and_decay.figure import controls, ring, sentence
from tonewood.lesson.ring_and_decay.model import (
    CLAMP,
    SECOND,
    STIFFER,
    D,
    defaults,
    found,
    made,
    ring_map,
    worst_fret,
)
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.neck.design import StringPlan
from tonewood.neck.layup.neck import Outline
from tonewood.sound.dead_notes import mode_names
from tonewood.sound.recording import decay_read
from tonewood.wood.facts import citation
from tonewood.wood.species import species

CONTROLS = ("main", "stripes", "fretboard", "depth", "clamp", "age", "tapped", "string", "fret", "level")
NAMES = ("low E", "A", "D", "G", "B", "high E")


@pytest.fixture(scope="module")
def live():
    return ring()


def values_to_try(control):
    if hasattr(control, "options"):
        values = [value for _, value in control.options]
        return values if len(values) <= 6 else values[::6] + values[-1:]
    return [float(control.low + round((v - control.low) / control.step) * control.step)
            for v in np.linspace(control.low, control.high, 3)]


def numbers(text):
    return [float(n) for n in re.findall(r"(?<![\w.])[-+]?\d+(?:\.\d+)?", text)]


# --- the figure ---

@pytest.mark.parametrize("name", CONTROLS)
def test_control_swept_from_end_to_end(live, name):
    live.reset()
    control, staged, start, pictures = live.controls[name], live.stagings, (live.sentence, live.png), set()
    for value in values_to_try(control):
        live.set(**{name: value})
        assert live.error is None and live.values[name] == value
        now = found(**live.values)
        for field in ("t60", "alone", "loss", "loss_by_cause", "strength"):
            assert np.all(np.isfinite(getattr(now.map, field))), (name, value, field)
            assert np.all(np.isfinite(getattr(now.note, field))), (name, value, field)
        assert np.all(now.map.t60 > 0) and np.all(now.map.t60 < 200)
        assert now.note.t60.shape == (model.DRAWS, 1, 1)
        np.testing.assert_allclose(now.map.share_by_cause.sum(axis=0), 1)
        if value != control.default:
            assert live.sentence != start[0], (name, value)
            pictures.add(live.png)
    assert len(pictures - {start[1]}) >= (1 if name == "level" else 2)
    assert live.stagings == staged, "moving a control redrew the backdrop"
    live.reset()
    assert (live.sentence, live.png) == start and live.values == defaults()


def test_has_the_controls_of_the_job_and_starts_at_the_dead_note(live):
    live.reset()
    assert tuple(live.controls) == CONTROLS == tuple(controls()) and live.values == defaults()
    assert ring_map().dead[defaults()["string"], int(defaults()["fret"])]


def test_picture_shows_the_numbers_of_the_model(live):
    live.reset()
    art, now = live.art, found()
    (shown,) = art.maps
    assert shown.numbers.words == [in_the_map(t) for t in now.map.t60.ravel()]
    assert len(shown.frames.get_segments()) == now.map.dead.sum() == len(shown.dead.get_xdata())
    assert len(shown.ringing.get_xdata()) + len(shown.ringing_light.get_xdata()) == now.map.ringing.sum()
    assert len(shown.range.get_segments()) == 3 * now.map.dead.sum()
    np.testing.assert_allclose(shown.cells.get_facecolor()[:, :3],
                               np.asarray(SHADES)[shade(now.map.t60.ravel())][:, :3])
    shares = [box.vertices[:, 0].max() for box in art.bars.get_paths()]
    np.testing.assert_allclose(shares, 100 * now.map.share_by_cause[::-1, D, 8])
    assert art.pitches.words[1].startswith(f"{now.map.mode_frequency[SECOND]:.0f} Hz")
    assert mode_names(now.heard.modes)[SECOND] == "bending 2"
    assert art.pitches.words[1].endswith("◂")


def test_colours_grow_lighter_and_numbers_are_readable():
    rgb = np.asarray(SHADES)[:, :3]
    linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4) @ [0.2126, 0.7152, 0.0722]
    assert np.all(np.diff(linear) > 0.005) and len(SHADES) == len(STEPS) + 1
    ink = np.where(INK[:, 0] > 0.5, 1.0, 0.0)
    contrast = (np.maximum(linear, ink) + 0.05) / (np.minimum(linear, ink) + 0.05)
    assert np.all(contrast >= 4.5)                                   # WCAG 2.2, 1.4.3
    assert [int(shade(t)) for t in (0.5, 1, 3.9, 4, 31, 99)] == [0, 1, 2, 3, 5, 6]
    assert [in_the_map(t) for t in (0.62, 9.94, 9.96, 59.6)] == ["0.6", "9.9", "10", "60"]


def test_sentence_agrees_with_the_numbers(live):
    for setting in ({}, {"fret": 0, "string": 0}, {"clamp": 300, "main": "wenge", "string": 5, "fret": 22},
                    {"depth": 25, "tapped": 30}):
        live.reset()
        live.set(**setting)
        now, s, f = found(**live.values), live.values["string"], int(live.values["fret"])
        words = live.sentence
        place = f"{NAMES[s]} string, {'open' if f == 0 else f'fret {f}'}"
        assert words.startswith(f"{now.map.notes[s, f]}, {place}. Boards exactly average, as on the map")
        assert f"T60 of the fundamental {now.map.t60[s, f]:.1f} s, of the whole level" in words
        assert f"mm from the bridge, {now.whole:.1f} s." in words
        average = re.search(r"s\. (On the average neck|The average neck lies outside; on it) the frets "
                            rf"beside ring {now.map.beside[s, f]:.1f} s;", words)[1]
        mark = re.search(r"on the map: (dead|ringing|neither dead nor ringing), T60", words)[1]
        assert (mark == "dead") == bool(now.map.dead[s, f])
        assert (mark == "ringing") == bool(now.map.ringing[s, f])
        chance, low, high = re.search(r"vary: dead on (\d+) of 100 such necks; on 90 the "
                                      r"fundamental's T60 lies between ([\d.]+) and ([\d.]+) s\.",
                                      words).groups()
        assert [low, high] == [f"{v:.1f}" for v in np.percentile(now.note.t60, [5, 95])]
        inside = float(low) <= float(f"{now.map.t60[s, f]:.1f}") <= float(high)
        assert inside == (average == "On the average neck")
        assert chance == f"{100 * np.mean(now.note.dead):.0f}"
        shares = [float(v) for v in re.findall(r"(\d+) % \(", words)]
        assert len(shares) == 4 and abs(sum(shares) - 100) <= 2
        name, k = now.mode
        assert f"the neck's {name}, {now.map.mode_frequency[k]:.0f} Hz" in words
        told = re.search(r"may lie: (.*)\. Loss factor", words)[1]
        assert told == "none" if not now.map.dead.any() else told.count("string, fret") == now.map.dead.sum()


def test_where_the_average_neck_lies_outside_its_band_the_sentence_says_so_and_grows_no_longer():
    now = found()
    at_start = sentence(now)
    assert now.map.t60[D, 8] < now.seconds[0] and "The average neck lies outside; on it the frets" in at_start
    t60 = now.map.t60.copy()
    t60[D, 8] = now.seconds[1]
    within = sentence(replace(now, map=replace(now.map, t60=t60)))
    assert "outside" not in within and "On the average neck the frets beside" in within
    assert len(at_start) <= 870        # as long as it may be to end on the screen's last line in JupyterLab


def test_words_for_a_note_right_on_its_mode_and_for_no_dead_notes():
    now = found()
    k = int(now.map.mode[D, 8])
    frequency = now.map.frequency.copy()
    frequency[D, 8] = now.map.mode_frequency[k]
    calm = replace(now.map, frequency=frequency, alone=now.map.t60 * 1.5, beside=now.map.t60)
    quiet = replace(now, map=calm, shown=calm)
    words = sentence(quiet)
    assert "lies right on the neck's bending 2" in words and "may lie: none." in words
    assert "neither dead nor ringing" in words


def test_ghost_keeps_the_earlier_dead_notes(live):
    live.reset()
    before = np.argwhere(ring_map().dead)
    live.hold()
    live.set(depth=22.5)
    kept = [tuple(np.rint((line.min(axis=0) + line.max(axis=0)) / 2)[::-1])
            for line in live.art.maps[0].earlier.get_segments()]
    assert sorted(kept) == sorted(map(tuple, before.tolist()))
    assert len(live.art.before.get_segments()) == 4
    assert not np.array_equal(ring_map(depth=22.5).dead, ring_map().dead)
    live.release()
    assert live.art.maps[0].earlier.get_segments() == [] and live.art.before.get_segments() == []


def test_a_tap_replaces_the_estimate_and_narrows_its_band():
    ((low, _, high), status), ((l2, v2, h2), own) = found().heard.loss, found(tapped=7.0).heard.loss
    assert v2 == pytest.approx(7.0) and own == "your own tap" and "cannot rank" in status
    assert h2 / l2 < 0.7 * high / low
    assert found(main="wenge").heard.loss[1] == model.MEASURED["estimated"]
    etas = [float(b.eta_L) for b in made(tapped=12.0).instrument.neck.pieces]
    plain = [float(b.eta_L) for b in NECK_12.neck().pieces]
    maple = [plan.wood == "hard_maple" for plan in NECK_12.stripes] + [False]
    assert etas == [0.012 if main else own for main, own in zip(maple, plain, strict=True)]
    spread = [np.ptp(np.percentile(found(tapped=t, stripes=1.0).heard.drawn.loss_factor[:, 1], [5, 95]))
              for t in (0.0, 7.0)]
    assert spread[1] < 0.85 * spread[0]


def test_what_moves_dead_notes_does_so_in_the_model():
    base = worst_fret(ring_map())
    for moved in (ring_map(clamp=CLAMP), ring_map(stiffer=STIFFER)):
        assert moved.dead[D, worst_fret(moved)], "moved, not cured"
    assert worst_fret(ring_map(clamp=CLAMP)) < base < worst_fret(ring_map(stiffer=STIFFER))
    assert worst_fret(ring_map(depth=22.0)) > base and worst_fret(ring_map(age=1.0)) == base
    # Ideal bar: frequency goes with the root of stiffness; head and neck get stiffer, the body does not.
    ratio = ring_map(stiffer=1.2).mode_frequency[SECOND] / ring_map().mode_frequency[SECOND]
    assert 1.06 < ratio < np.sqrt(1.2) + 0.005
    stiff, plain = (made(stiffer=factor).instrument.neck.pieces[0] for factor in (1.2, 1.0))
    assert stiff.E_L == pytest.approx(1.2 * plain.E_L) and stiff.rho == plain.rho


def test_answers_printed_beside_the_moves():
    base, now = ring_map(), found()
    # move 1
    assert now.mode[0] == "bending 2" and base.share_by_cause[2, D, 8] > 0.5
    # move 2
    assert base.ringing[D, [6, 9]].all() and list(base.dead[D, 6:10]) == [False, False, True, False]
    assert not base.ringing[D, 7] and base.t60[D, 7] > 0.6 * base.alone[D, 7], "a little short"
    twist = [(s, f) for s, f in np.argwhere(base.t60 < 0.5 * base.beside)
             if mode_names(now.heard.modes)[base.mode[s, f]].startswith("twist")]
    # move 3: weak where twist has it, clamp or not
    assert sorted(map(tuple, twist)) == [(0, 8), (1, 3)]
    for c in (100.0, 200.0):
        now_clamped = ring_map(clamp=c)
        assert all(now_clamped.t60[s, f] < 0.5 * now_clamped.beside[s, f] for s, f in twist)
    assert not ring_map(clamp=100.0).dead[D, :13].any() and ring_map(clamp=200.0).dead[D, 6]
    sunk = [12 * np.log2(ring_map(clamp=c).mode_frequency[SECOND] / base.mode_frequency[SECOND])
            for c in (100.0, 200.0)]
    assert sunk == pytest.approx([-1.5, -2.3], abs=0.1)
    # move 4
    half, more = ring_map(depth=21.0), ring_map(depth=22.0)
    assert not half.dead[D, :13].any() and more.dead[D, 9] and np.any(more.dead & ~base.dead)
    kept = ring_map(age=1.0).t60 / base.t60
    # move 5
    assert kept[D, 11] < 0.5 and kept[D, 8] > 0.75
    low, high = now.span[:, D, 8]
    # move 6
    for wood in verdicts.WOODS:
        assert low - 0.5 <= worst_fret(ring_map(main=species(wood).key)) <= high + 0.5
    board = [ring_map(fretboard=species(w).key).mode_frequency[SECOND]
             for w in ("African ebony", "Indian rosewood", "hard maple")]
    main = [ring_map(main=species(w).key).mode_frequency[SECOND]
            for w in ("hard maple", "wenge", "African padauk")]
    # move 7
    assert np.ptp(board) > 0.6 * np.ptp(main)
    # move 8
    tapped, table = (np.ptp(np.log(f.seconds[[0, 2]])) for f in (found(tapped=7.0), now))
    assert tapped > 0.95 * table


def test_refusals():
    with pytest.raises(ValueError, match="number of stripes"):
        made(stripes=60)
    with pytest.raises(ValueError, match="species"):
        made(main="unobtainium")
    with pytest.raises(ValueError, match="string age"):
        found(age=3)


# --- an opened design ---

EIGHT = NECK_12.changed(
    stripes=changed(NECK_12.changed(stripes=[replace(s, width=1.3 * s.width) for s in NECK_12.stripes]),
                    stripes=13).stripes, outline=Outline(0.055, 0.072, 0.515), scale_length=0.686, frets=24,
    nut_spread=0.047, bridge_spread=0.073, strings=StringPlan(set="eight", tuning="eight"), joint="bolt-on")
BASS = NECK_12.changed(outline=Outline(0.041, 0.058, 0.600), scale_length=0.864, frets=20, joint_fret=16,
                       nut_spread=0.031, bridge_spread=0.052,
                       strings=StringPlan(set="bass four", tuning="bass four"))


def test_an_opened_design_is_mapped_with_its_own_strings_and_frets():
    live = ring()
    start = live.sentence
    live.take(EIGHT, defaults(EIGHT))
    now = found(EIGHT)
    assert now.map.t60.shape == (8, 25) and len(live.art.maps[0].numbers.words) == 200
    assert live.sentence.startswith(f"{now.map.notes[4, 8]}, D string, fret 8. ") and now.at == (4, 8)
    live.hold()
    live.set(clamp=50.0)
    assert len(live.art.maps[0].earlier.get_segments()) == now.map.dead.sum()
    live.take(BASS, defaults(BASS))
    assert len(live.art.maps[0].numbers.words) == 84 and live.art.maps[0].earlier.get_segments() == []
    assert found(BASS, string=0, fret=22.0).at == (0, 20) and found(BASS, string=5).at == (3, 8)
    told = " ".join(model.cannot(EIGHT))
    assert all(w in told for w in ("8 strings and 24 frets", "bolt-on", "number of stripes (13)"))
    assert not model.cannot(NECK_12)
    assert model.keep(EIGHT, {**defaults(EIGHT), "depth": 20.0}, "Mine") == changed(EIGHT, depth=0.020,
                                                                                    name="Mine")
    live.reset()
    live.take(NECK_12, defaults())
    assert live.sentence == start


def test_what_cannot_be_chosen_is_said():
    odd = changed(NECK_12, main="African ebony", depth=0.0275)
    assert defaults(odd)["main"] == "african_ebony" and defaults(odd)["depth"] == 25
    assert "depth at the nut (27.5 mm)" in " ".join(model.cannot(odd))
    assert model.string_names(ring_map(EIGHT)) == ["F#", "low B", "low E", "A", "D", "G", "high B", "high E"]


# --- verdicts ---

def test_stiff_neck_moves_dead_notes():
    v = verdicts.stiff_neck_cures()
    before, after = (int(n) for n in re.search(r"weakest at fret (\d+).*and fret (\d+) is the weakest",
                                               v.found).groups())
    assert after > before and v.verdict.startswith("no, it moves them. The mode rises")
    counts = [int(n) for n in re.search(r"up to 40 %: ([\d, ]+)\.", v.found)[1].split(", ")]
    assert len(counts) == len(verdicts.FACTORS) and min(counts) >= 1
    assert np.any(np.diff(counts) > 0) and np.any(np.diff(counts) < 0)            # "without a trend"


def test_stiff_neck_gives_little_sustain_and_takes_some():
    v = verdicts.stiff_neck_sustains()
    found = v.found.replace("−", "-")
    change, longer, shorter, worst = map(int, re.search(
        r"changes by ([+-]\d+) %; (\d+) notes .*?, (\d+) .*? one falls to (\d+) %", found).groups())
    assert abs(change) <= 3 and longer > 0 and shorter > 0 and worst < 50
    low, high, some = map(int, re.search(
        r"median changes by ([+-]\d+) to ([+-]\d+) %, .* falls to (\d+) % or less", found).groups())
    assert -3 <= low <= high <= 3 and some < 50 and v.verdict.startswith("no, the typical note rings as long")


def test_clamp_moves_dead_notes_down():
    v = verdicts.clamp_moves()
    hertz = [int(n) for n in re.findall(r"g: (\d+) Hz", v.found)]
    frets = [int(n) for n in re.findall(r"weakest at fret (\d+)", v.found)]
    assert hertz == sorted(hertz, reverse=True) and len(set(hertz)) == 4
    assert frets == sorted(frets, reverse=True) and frets[-1] < frets[0]
    assert "twisting mode moves by 0 Hz" in v.found and v.verdict.startswith("yes.")


def test_neck_through_is_not_overclaimed():
    v = verdicts.neck_through()
    gain, loss = re.search(r"rises by (\d+) %; with twice as much it changes by ([+−]\d+) %",
                           v.found).groups()
    loss = loss.replace("−", "-")
    assert 0 < int(gain) < 10 and int(loss) <= 0
    none, now, twice = (float(n)
                        for n in re.search(r"([\d.]+) s with none, ([\d.]+) s, ([\d.]+) s with twice",
                                           v.found).groups())
    assert none > now > twice
    assert v.sure == "low" and v.verdict.startswith("not shown") and "n = 1" in v.why
    assert "abstract" in v.found and "one instrument" in v.verdict


def test_species_bands_overlap():
    v = verdicts.species_voice()
    low, high, apart = (float(n)
                        for n in re.search(r"from (\d+) Hz .*? to (\d+) Hz .*?, ([\d.]+) frets apart",
                                           v.found).groups())
    a, b, within = (float(n) for n in re.search(r"lie between (\d+) and (\d+) Hz, ([\d.]+) frets",
                                                v.found).groups())
    assert apart == pytest.approx(12 * np.log2(high / low), abs=0.1)
    assert within == pytest.approx(12 * np.log2(b / a), abs=0.1)
    # "the boards of one wood shift them as much"
    assert within >= apart
    pairs, overlap = (int(n) for n in re.search(r"Of (\d+) pairs of these woods (\d+) have",
                                                v.found).groups())
    assert pairs == 21 and overlap >= 0.8 * pairs
    assert v.verdict.startswith("not established, and not disproved")


def test_body_weight_is_left_open_where_the_model_has_no_bridge():
    v = verdicts.heavy_body()
    medians = [float(n) for n in re.findall(r"kg: ([\d.]+) s", v.found)]
    bridge = [float(n) for n in re.findall(r"bridge ([\d.]+) %", v.found)]
    frets = [int(n) for n in re.findall(r"weakest at fret (\d+)", v.found)]
    assert len(medians) == 3 and max(medians) / min(medians) < 1.05 and max(bridge) < 5
    # less stiffness moves the dead note further than all of the weights do
    assert len(frets) == 4 and abs(frets[3] - frets[1]) > np.ptp(frets[:3])
    assert v.verdict.startswith("open") and v.sure == "low" and "bridge" in v.why and "stiff bar" in v.why


def test_twist_is_held_against_a_neck_that_does_not_twist():
    v = verdicts.twist_mode()
    pairs = re.findall(r"([\d.]+) s with twist, ([\d.]+) s without", v.found)
    assert pairs and all(float(b) > 1.5 * float(a) for a, b in pairs)
    told = v.found.split("draws:")[1]
    counts = {name: int(n) for name, n in re.findall(r"(bending \d|twist \d) (\d+)", told)}
    assert sum(counts.values()) == model.DRAWS and v.sure == "low" and "inertia" in v.why
    # "bending makes the dead notes": none here is made by twist; "can make the worst": in some draws it does
    names, base = mode_names(made().modes), ring_map()
    assert all(names[base.mode[s, f]].startswith("bending") for s, f in np.argwhere(base.dead))
    assert 0 < sum(n for name, n in counts.items() if name.startswith("twist")) < 50
    low, high = map(int, re.search(r"(\d+) to (\d+) Hz", v.found).groups())
    assert high > low


def test_glue_lines_hold_next_to_nothing():
    v = verdicts.glue_lines()
    energy = float(re.search(r"to ([\d.]+) % of the energy", v.found)[1])
    loss = float(re.search(r"to ([\d.]+) % of their loss", v.found)[1])
    wood = float(re.search(r"wood makes (\d+) %", v.found)[1])
    assert energy < 0.5 and loss < 2 and wood > 20 * loss and v.verdict.startswith("no.")
    assert v.sure == "medium"


def test_two_maps_differ_in_stiffness_only():
    picture = verdicts.stiffer_neck_maps()
    a, b = worst_fret(ring_map()), worst_fret(ring_map(stiffer=STIFFER))
    assert a != b and f"fret {a} before" in picture.sentence and f"fret {b} after" in picture.sentence
    assert picture.controls == {}
    assert picture.art[0][0].numbers.words != picture.art[1][0].numbers.words
    assert len(picture.art[1][0].earlier.get_segments()) == ring_map().dead.sum()
    wide = picture.art[1][0].numbers.words
    picture._lay_out(stacked=True)                                  # low frets above, high frets below
    halves = [half.numbers.words for half in picture.art[1]]
    assert len(picture.art) == 2 and sorted(sum(halves, [])) == sorted(wide)
    assert len(halves[0]) == 6 * 12 and halves[0][:12] == wide[:12]
    assert picture._repr_mimebundle_()[1]["image/png"]["alt"].startswith("Two maps")


def test_every_source_named_is_listed():
    for key in verdicts.SOURCES:
        assert len(citation(key)) > 30


# --- worked numbers, tables ---

def test_hand_and_library_agree():
    hand = by_hand.dead_note_by_hand()
    assert hand.by_hand == pytest.approx(hand.by_library, rel=1e-4)
    assert hand.string + hand.ends == pytest.approx(hand.loss)
    # the text: "the simple sum is too gloomy here"
    assert hand.together > 1.3 * hand.by_library
    said = {name: value for name, value, *_ in hand.lines}
    assert len(said) == 10 and 12 / hand.together == said["fall in the first 200 ms, 12 ÷ T60 (dB)"]
    shown = [name for name, *_, label in hand.lines if label == "what the map shows"]
    assert len(shown) == 1 and shown[0].startswith("T60 of the slower")
    # the pair: a slow and a fast partner on either side of the mean; their sum of rates is string plus mode
    assert hand.slow[1] > hand.mean > hand.fast[1] > hand.by_library and hand.slow[1] == hand.together
    assert hand.mean == pytest.approx(2 / (1 / hand.slow[1] + 1 / hand.fast[1]))
    assert 0.5 < abs(hand.slow[0] - hand.fast[0]) < 10
    assert hand.drop == pytest.approx(12 / hand.together) and ring_map().mixed[D, worst_fret(ring_map())]
    far = by_hand.dead_note_by_hand(11)
    assert far.together == pytest.approx(far.by_library, rel=0.02)


@pytest.mark.parametrize("fret", [0, 3, 7, 8, 9, 12])
def test_the_bench_job_finds_what_the_map_shows(fret):
    """The model's note, from the full eigenproblem, read as the job says: filtered at its pitch, a line
    through the fall. Stated tolerance: 2 %; 15 % where string and neck share the note and beat."""
    now = found(fret=float(fret))
    samples, rate = model.model_note(now)
    hiss = np.random.default_rng(1).normal(0, 1e-4 * np.abs(samples).max(), len(samples))
    pitch = float(now.map.frequency[D, fret])
    alone = decay_read(samples + hiss, rate, pitch=pitch).t60
    tolerance = 0.15 if now.map.mixed[D, fret] else 0.02
    assert alone == pytest.approx(now.map.t60[D, fret], rel=tolerance)
    assert decay_read(samples + hiss, rate).t60 == pytest.approx(now.whole, rel=0.05)
    assert now.whole == pytest.approx(found(fret=float(fret), level=model.WHOLE).shown.t60[D, fret])
    if now.map.dead[D, fret]:
        assert now.whole > 3 * now.map.t60[D, fret], "a level meter does not find this note"


def test_the_row_and_the_reading_say_what_the_map_says(tmp_path):
    from scipy.io import wavfile
    now, shown = found(), found(level=model.WHOLE).shown
    rows = repr(by_hand.bench_row()).splitlines()[:13]
    for fret, row in enumerate(rows):
        half, whole_fall = (float(v) for v in re.findall(r"s ([\d.]+)", row)[:2])
        assert whole_fall == round(float(now.map.t60[D, fret]), 1) and abs(half - whole_fall / 2) <= 0.1
        of_all = float(re.search(r"whole level: T60, s ([\d.]+)", row)[1])
        assert of_all == round(float(shown.t60[D, fret]), 1)
        assert ("dead" in row) == bool(now.map.dead[D, fret])
    live = ring()
    live.set(clamp=50.0)
    assert "dead" in repr(by_hand.bench_row(live)).splitlines()[7]
    read = repr(by_hand.your_note(live=live)).splitlines()
    assert "fret 7" not in read[0] and f"T60 in the map, s {ring_map(clamp=50.0).t60[D, 7]:.1f}" in read[0]
    samples, rate = model.model_note(now)
    file = tmp_path / "note.wav"
    wavfile.write(file, int(rate), np.int16(samples / np.abs(samples).max() * 20000))
    assert repr(by_hand.your_note(str(file))).splitlines()[:2] == repr(by_hand.your_note()).splitlines()[:2]
    for wrong in ({"string": 7}, {"fret": 23}, {"file": "none.wav"}):
        with pytest.raises(ValueError):
            by_hand.your_note(**wrong)


def test_the_map_can_show_the_whole_level(live):
    live.reset()
    live.set(level=model.WHOLE)
    now = found(level=model.WHOLE)
    assert live.art.maps[0].numbers.words == [in_the_map(t) for t in now.shown.t60.ravel()]
    assert len(live.art.maps[0].frames.get_segments()) == now.shown.dead.sum() < now.map.dead.sum()
    assert "whole level" in live.art.title.words[0] and "(whole level)" in live.sentence
    assert not now.shown.dead[D, 8] and now.map.dead[D, 8]
    live.reset()
    assert "fundamental" in live.art.title.words[0]


def test_tap_and_tables():
    assert by_hand.your_tap(412, 0.75) == pytest.approx(1000 * np.log(1000) / (np.pi * 412 * 0.75))
    for wrong, slip in (((0.412, 0.75), "412 Hz"), ((412, 750), "0.75 s")):
        with pytest.raises(ValueError, match=slip):
            by_hand.your_tap(*wrong)
    with pytest.raises(ValueError, match="T60"):
        by_hand.your_tap(412, 0)
    lines = repr(by_hand.what_a_tap_buys()).splitlines()
    table, own = (float(re.search(r"high over low end ([\d.]+)", line)[1]) for line in lines[:2])
    assert table > 1.5 * own and lines[1].startswith("your own tap")
    known = repr(by_hand.damping_known("hard maple", "wenge"))
    assert "hard maple: loss factor" in known and "read as 1/Q" in known and "from memory" in known
    apart, pairs = int(re.search(r"tables, (\d+) have", known)[1]), int(re.search(r"Of the (\d+) pairs",
                                                                                  known)[1])
    # "these numbers cannot rank woods"
    assert pairs > 100 and apart < 0.05 * pairs


# --- predictions and questions ---

@pytest.mark.parametrize("make, right", [(questions.guess_stiffer, "moves to a higher fret"),
                                         (questions.guess_cause, "into the neck, at the fret"),
                                         (questions.guess_clamp, "to a lower fret")])
def test_predictions_say_what_was_computed(make, right):
    guess = make()
    assert right in guess.labels
    guess.commit()
    assert not guess.committed and "Mark one answer" in guess.reply
    guess.answer = right
    guess.commit()
    found_numbers = numbers(guess.reply.split("Computed", 1)[1])
    assert guess.committed and len(found_numbers) >= 3
    if make is questions.guess_stiffer:
        # the weakest fret after, and before
        assert found_numbers[3] > found_numbers[0]
    elif make is questions.guess_clamp:
        # fret, seconds, weight, fret, seconds, mode before and after
        assert found_numbers[3] < found_numbers[0] and found_numbers[6] < found_numbers[5]
    else:
        assert found_numbers[1] > 50 > found_numbers[5]


@pytest.mark.parametrize("make", [questions.answer_lower, questions.answer_strings])
def test_choices_have_one_right_answer(make):
    for label in make().answers:
        question = make()
        question.answer = label
        assert question.check() is (label == question.right)
        assert question.reply.startswith("Right." if label == question.right else "Not yet.")
        assert "Computed" in question.reply
    assert make().check() is None


def test_right_answers_are_the_computed_ones():
    assert questions.answer_lower().right == "a 50 g clamp on the head"
    assert questions.answer_strings().right.startswith("well-played strings")


def test_number_question():
    question = questions.answer_seconds()
    assert question.right == pytest.approx(6.908 / (np.pi * 196 * 0.005), rel=1e-4)
    for answer, verdict, word in (("2.24", True, "Right"), ("7.05", False, "π"), ("1.12", False, "30 dB"),
                                  ("0.00224", False, "thousandths"), ("3", False, "too high")):
        question.answer = answer
        assert question.check() is verdict and word in question.reply
    question.answer = "long"
    assert question.check() is None


def test_a_tap_goes_into_boxes_and_from_there_into_the_figure(live):
    own = by_hand.own_tap(live)
    assert f"{by_hand.your_tap(412, 0.75):.1f}" in own.result.plain
    own.controls["frequency"]._box.value, own.controls["seconds"]._box.value = "300", "0,5"
    assert f"{by_hand.your_tap(300, 1.0):.1f}" in own.result.plain
    button, = (w for box in own.widget.children for w in getattr(box, "children", ()) if hasattr(w, "click"))
    button.click()
    assert live.values["tapped"] == pytest.approx(by_hand.your_tap(300, 1.0), abs=0.25)
    live.set(tapped=0.0)


def test_a_recording_in_the_lessons_folder_is_chosen_in_a_box(live, tmp_path, monkeypatch):
    from scipy.io import wavfile
    samples, rate = model.model_note(found(string=3, fret=2))
    loud = 20000 * samples / np.abs(samples).max()
    wavfile.write(tmp_path / "mine.WAV", int(rate), loud.astype(np.int16))
    (tmp_path / "bad.wav").write_bytes(b"no sound")
    monkeypatch.chdir(tmp_path)
    own = by_hand.own_note(live)
    assert own.result.plain == repr(by_hand.your_note(live=live))
    own.controls["file"].value = "mine.WAV"
    assert "mine.WAV" in own.result.plain
    own.controls["file"].value = "bad.wav"
    assert "bad.wav" in own._result.value and "mine.WAV" in own.result.plain
