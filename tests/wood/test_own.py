"""Own woods and measured boards: what was given stands, what was not is filled and marked, and nonsense is
refused."""

import json

import numpy as np
import pytest

from tonewood.neck.design import StripePlan, example_design
from tonewood.neck.design_file import from_text, to_text
from tonewood.wood import species as register
from tonewood.wood.board import Board
from tonewood.wood.elastic import off_axis, orientation
from tonewood.wood.own import OwnWood, keep, own_wood
from tonewood.wood.species import all_species, own_species, species
from tonewood.wood.spread import draw_boards, scatter_of_modulus


@pytest.fixture(autouse=True)
def empty_register(monkeypatch):
    monkeypatch.setattr(register, "_OWN", {})


NINE = {"E_L": 11.5e9, "E_R": 1.5e9, "E_T": 0.8e9, "G_LR": 1.1e9, "G_LT": 0.9e9, "G_RT": 0.25e9,
        "nu_LR": 0.36, "nu_LT": 0.48, "nu_RT": 0.65}


def test_all_nine_constants_come_out_as_they_went_in():
    wood = own_wood("Orchard plum", density=760.0, **NINE)
    assert {n: getattr(wood.elastic, n) for n in NINE} == pytest.approx(NINE, rel=1e-12)
    assert {wood.status(n) for n in ("density", "modulus", "E_R_ratio", "nu_RT")} == {"measured"}
    turned = off_axis(wood.elastic, orientation(np.pi / 2))
    assert [turned.E_z, turned.E_y] == pytest.approx([0.8e9, 1.5e9])       # T stands up, R lies across


def test_gaps_are_filled_by_the_rules_and_marked():
    wood = own_wood("Orchard plum", density=760.0)
    oak = own_wood("Shed oak", like="white oak", E_R=1.2e9)
    assert wood.status("modulus") in ("estimated", "from memory") and wood.status("density") == "measured"
    assert wood.status("E_R_ratio") == "estimated"
    assert oak.status("density") != "published" and oak.density == species("white oak").density
    assert float(oak.elastic.E_R) == pytest.approx(1.2e9)
    assert float(oak.elastic.E_T) == pytest.approx(float(species("white oak").elastic.E_T))
    assert oak.fact("density").note.startswith("as white oak")


def test_known_by_key_and_name_everywhere_but_among_the_tables():
    wood = own_wood("Orchard plum", density=760.0)
    assert species("orchard  PLUM") is wood is species(wood.key) and own_species() == (wood,)
    assert wood not in all_species(made=True)
    later = own_wood("Orchard plum", density=770.0)
    assert species("Orchard plum") is later and species(wood.key) is wood and own_species() == (later,)
    assert keep(later.own) is later


@pytest.mark.parametrize("given, said", [
    ({"like": "hard maple", "E_L": 1.1e9, "E_T": 12e9}, "Are E_L and E_T exchanged"),
    ({"density": 700.0, "E_L": 12e9, "E_R": 0.5e9, "E_T": 1e9}, "Are E_R and E_T exchanged"),
    ({"density": 700.0, "E_L": 12e9, "G_LR": 9e9}, "Is it a Young's modulus"),
    ({"density": 700.0, "nu_LR": 1.4, "nu_LT": 1.4, "nu_RT": 1.4}, "positive definite"),
    ({"density": 0.7}, "Did you mean 700 kg/m³"), ({"density": 700.0, "E_L": 12.1}, "Did you mean 12.1 GPa"),
    ({"density": 700.0, "G_LT": 0.9}, "Did you mean 0.9 GPa"),
    ({"density": 700.0, "movement_radial": 16}, "Give 0.16"), ({"density": 700.0, "loss": 8}, "Give 0.008"),
    ({"density": 700.0, "loss": 0.0}, "above 0"),
    ({"E_L": 12e9}, "Weigh a piece"), ({"dens": 700.0}, "Did you mean 'density'"),
    ({"density": [700.0, 710.0]}, "one number"), ({"density": 700.0, "ring_angle": 45}, "in degrees"),
    ({"one_board": True, "density": 700.0}, "no wood named"), ({"like": "mapel"}, "Did you mean")])
def test_nonsense_is_refused_with_the_likely_slip(given, said):
    with pytest.raises(ValueError, match=said):
        own_wood("My own", **given)
    assert own_species() == ()


@pytest.mark.parametrize("name", ["", "  ", "…", "x" * 61, "Hard Maple", "wenge"])
def test_a_name_must_be_ones_own(name):
    with pytest.raises(ValueError, match="name of the wood"):
        OwnWood(name=name, density=700.0)


BOARD = OwnWood(name="Mill maple 3", like="hard maple", one_board=True, density=690.0, E_L=12.1e9, loss=0.008,
                modulus_error=0.03, density_error=0.01, correlation=0.0, ring_angle=1.4, run_out=0.02)


def test_a_measured_board_scatters_as_its_readings_do():
    """Its stripes too, unless they were ripped from it (tests of wood.spread)."""
    wood = keep(BOARD)
    one, two, other = draw_boards([Board(wood), Board(wood, 1.5), Board(species("hard maple"))], 4000, 3,
                                  supply="bought anywhere", kinship="same tree", ripped=False)
    at_8 = Board(wood).E_L
    assert np.std(one.E_L) / np.mean(one.E_L) == pytest.approx(0.03, rel=0.05)
    assert np.mean(one.E_L) == pytest.approx(at_8, rel=0.003)
    assert np.std(one.rho) / np.mean(one.rho) == pytest.approx(0.01, rel=0.05)
    assert abs(np.corrcoef(one.E_L, one.rho)[0, 1]) < 0.05
    assert np.array_equal(one.E_L, two.E_L) and abs(np.corrcoef(one.E_L, other.E_L)[0, 1]) < 0.05
    assert np.std(other.E_L) / np.mean(other.E_L) > 0.19
    assert scatter_of_modulus(wood, "bought anywhere") == 0.03
    assert wood.loss.value == 0.008 and wood.loss.band == pytest.approx(1.1)
    assert wood.cautions == species("hard maple").cautions


def test_a_design_takes_its_own_woods_along():
    plum = own_wood("Orchard plum", density=760.0)
    board = keep(OwnWood(name="Plum plank 1", like=plum.key, one_board=True, E_L=12e9, modulus_error=0.03))
    design = example_design()
    design = design.changed(stripes=(StripePlan(wood=board.key, width=0.02), *design.stripes[1:]))
    text = to_text(design)
    register._OWN.clear()
    again = from_text(text)
    assert again == design and to_text(again) == text
    assert [own.name for own in again.own_woods()] == ["Orchard plum", "Plum plank 1"]
    assert again.neck().pieces[0].E_L == pytest.approx(Board(board).E_L)
    damaged = json.loads(text)
    damaged["own_woods"][0]["density_kg_per_m3"] = 0.76
    with pytest.raises(ValueError, match=r"own_woods\[1\].*Did you mean 760 kg/m³"):
        from_text(json.dumps(damaged), "kept.json")


def test_a_file_of_version_1_is_still_read():
    data = json.loads(to_text(example_design()))
    del data["own_woods"]
    assert from_text(json.dumps({**data, "version": 1})) == example_design()
    with pytest.raises(ValueError, match="own_woods missing"):
        from_text(json.dumps(data))


def test_an_own_board_lends_a_stripe_its_grain_unless_told_otherwise():
    wood = keep(BOARD)
    assert StripePlan(wood=wood.key, width=0.02).ring_angle == 1.4
    assert StripePlan(wood=wood.key, width=0.02, ring_angle=0.0, run_out=0.0).ring_angle == 0.0
    assert StripePlan(wood="hard maple", width=0.02).ring_angle == 0.0
