"""A design in a file: what is written reads back as the same design, and whatever is damaged is refused by
name."""

import json
import os
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tonewood.neck.design import ROD_ACTIONS, Design, FretboardPlan, StringPlan, StripePlan
from tonewood.neck.design_file import VERSION, from_text, load, save, to_text
from tonewood.neck.layup.half_turns import TURNS
from tonewood.neck.layup.shapes import Back, Bar, Channel, Outline
from tonewood.neck.load.joint import JOINTS
from tonewood.strings.pitch import TUNINGS

WOODS = ("hard_maple", "wenge", "black_walnut", "indian_rosewood")
DESIGN = Design(name="Nüße & Söhne, \"No. 12\"", outline=Outline(0.043, 0.056), back=Back("D"),
    channel=Channel(rod_mass=0.2),
    stripes=tuple(StripePlan(wood=wood, width=0.02, ring_angle=0.3, run_out=0.01) for wood in WOODS[:3]),
    fretboard=FretboardPlan(wood="Indian rosewood", slot_fill=1 / 3),
    bars=(Bar(-0.009, depth=0.006), Bar(0.009)))


def numbers(low, high):
    return st.floats(low, high, allow_subnormal=False)


@st.composite
def designs(draw):
    angles = {"ring_angle": numbers(-3.1, 3.1), "run_out": numbers(-0.1, 0.1), "slope": numbers(-0.1, 0.1)}
    stripe = st.builds(StripePlan, wood=st.sampled_from(WOODS), width=numbers(0.06, 0.1),
                       turn=st.sampled_from(sorted(TURNS)), **angles)
    board = st.builds(FretboardPlan, wood=st.sampled_from(WOODS), thickness=numbers(0.004, 0.009),
                      slot_depth=numbers(0.0, 0.003), slot_fill=st.none() | numbers(0.0, 1.0), **angles)
    frets = draw(st.integers(12, 27))
    tuning = draw(st.sampled_from(sorted(TUNINGS)))
    return draw(st.builds(
        Design, name=st.text(min_size=1).filter(str.strip), stripes=st.lists(stripe, min_size=1, max_size=4),
        outline=st.builds(Outline, numbers(0.04, 0.05), numbers(0.05, 0.055)), fretboard=board,
        back=st.builds(Back, st.sampled_from("CDV"), numbers(0.014, 0.016), numbers(0.016, 0.019)),
        channel=st.none()
        | st.builds(Channel, numbers(0.004, 0.006), numbers(0.006, 0.009), rod_mass=numbers(0.0, 0.5)),
        bars=st.just(()) | st.just((Bar(0.009, depth=0.004, modulus=1.4e11),)),
        scale_length=numbers(0.6, 0.7), frets=st.just(frets), joint=st.sampled_from(sorted(JOINTS)),
        joint_fret=st.none() | st.integers(1, frets),
        rod=st.sampled_from(ROD_ACTIONS), shop_moisture=numbers(0.05, 0.14),
        strings=st.just(StringPlan(set=tuning.split(",")[0], tuning=tuning))))


@settings(deadline=None, max_examples=60)
@given(designs())
def test_every_design_reads_back_as_itself(design):
    again = from_text(to_text(design))
    assert again == design and again.neck() == design.neck() and to_text(again) == to_text(design)


def test_numbers_of_numpy_are_written_as_numbers():
    odd = replace(DESIGN, shop_moisture=np.float64(0.08), frets=np.int64(22), action_bass=np.float32(0.002))
    assert from_text(to_text(odd)) == odd and type(from_text(to_text(replace(DESIGN,
                                                                             frets=22.0))).frets) is int


def leaves(data, path=()):
    """Every place in a JSON value that holds neither an object nor a list."""
    children = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in children:
        yield from leaves(value, (*path, key))
    if not children:
        yield path


WHOLE = json.loads(to_text(DESIGN))
FIELDS = [path for path in leaves(WHOLE) if path[0] not in ("schema", "version", "signs")]


def damaged(path, change):
    """The text of DESIGN with the object at path[:-1] put through change(object, key)."""
    data = json.loads(to_text(DESIGN))
    at = data
    for key in path[:-1]:
        at = at[key]
    change(at, path[-1])
    return json.dumps(data)


@pytest.mark.parametrize("path", FIELDS, ids=lambda path: ".".join(map(str, path)))
def test_each_damaged_field_is_named(path):
    def spoil(at, key):
        at[key] = 3 if isinstance(at[key], str) else "wide"

    def drop(at, key):
        del at[key]

    def misspell(at, key):
        at[key + "x"] = at.pop(key)

    def no_number(at, key):
        at[key] = float("nan")

    for change in (spoil, drop, misspell, no_number):
        with pytest.raises(ValueError, match=str(path[-1])) as refused:
            from_text(damaged(path, change), "neck.json")
        assert str(refused.value).startswith("neck.json")
        for key in path[:-1]:
            assert (f"[{key + 1}]" if isinstance(key, int) else key) in str(refused.value)


@pytest.mark.parametrize("text, words", [
    ("", "not a design file"), ("[" * 200_000, "not a design file"),
    ("{", "not a design file"), ("[]", "schema: 'list' given"),
    ('{"schema": "shopping"}', "schema"), (json.dumps({**WHOLE, "version": VERSION + 1}), "A newer edition"),
    (json.dumps({**WHOLE, "version": 0}), "version: 0"),
    (json.dumps({**WHOLE, "version": True}), "version: True"),
    (json.dumps({**WHOLE, "stripes": {}}), "stripes: {} given"),
    (json.dumps({**WHOLE, "back": None}), "back: None given"),
    (json.dumps({**WHOLE, "stripes": []}), "at least 1 stripe"),
    (json.dumps({**WHOLE, "scale_length_m": 648}), "did you mean 0.648 m")])
def test_what_is_no_design_is_refused_with_the_reason(text, words):
    with pytest.raises(ValueError, match="neck.json") as refused:
        from_text(text, "neck.json")
    assert words in str(refused.value)


def test_a_file_keeps_the_version_before_and_leaves_no_draft(tmp_path):
    path = tmp_path / "no_12.json"
    assert save(DESIGN, path) == path and load(path) == DESIGN and os.listdir(tmp_path) == ["no_12.json"]
    later = replace(DESIGN, name="later")
    save(later, path)
    assert load(path) == later and load(tmp_path / "no_12.json.before") == DESIGN
    save(replace(DESIGN, name="latest"), path)
    assert load(tmp_path / "no_12.json.before") == later
    assert sorted(os.listdir(tmp_path)) == ["no_12.json", "no_12.json.before"]


def test_a_folder_or_nothing_in_its_place_is_named(tmp_path):
    for call in (lambda: save(DESIGN, tmp_path), lambda: load(tmp_path), lambda: load(tmp_path / "none.json"),
                 lambda: save(DESIGN, tmp_path / "nowhere" / "no_12.json")):
        with pytest.raises(ValueError, match=str(tmp_path)):
            call()
    (tmp_path / "picture.json").write_bytes(b"\xff\xd8\xff")
    with pytest.raises(ValueError, match="picture.json, line 1: cannot be read"):
        load(tmp_path / "picture.json")
