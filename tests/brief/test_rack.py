"""The rack: prices and stock from the cut list, and a file that is refused with line and column."""

import pytest

from tonewood.brief.cut_list import cut_list
from tonewood.brief.rack import Rack, Shelf, read_rack, rough_volumes
from tonewood.brief.space import layup_of
from tonewood.lesson.shared.shop import NECK_12, REINFORCEMENT

LAYUP = layup_of(NECK_12)


BARS = REINFORCEMENT["two shallow carbon bars (3 × 6 mm)"]


@pytest.mark.parametrize("design", [NECK_12, NECK_12.changed(joint="bolt-on"), NECK_12.changed(bars=BARS)])
def test_volumes_are_those_of_the_cut_list(design):
    wanted = {}
    for board in cut_list(design).boards:
        wanted[board.wood] = wanted.get(board.wood, 0.0) + board.size.volume
    assert rough_volumes(layup_of(design), design) == pytest.approx(wanted, rel=1e-12)


def test_price_is_volume_times_price_and_missing_wood_is_told():
    volumes = rough_volumes(LAYUP, NECK_12)
    maple = volumes["hard_maple"]
    price, lack = Rack(tuple(Shelf(wood, 1000.0) for wood in volumes)).price_and_lack(LAYUP, NECK_12)
    assert price == pytest.approx(1000 * sum(volumes.values())) and lack == 0
    short = Rack(tuple(Shelf(w, 1.0, 0.25 * maple if w == "hard_maple" else None) for w in volumes))
    assert short.price_and_lack(LAYUP, NECK_12)[1] == pytest.approx(0.75 * maple)
    none = Rack(tuple(Shelf(w, 1.0) for w in volumes if w != "wenge"))
    assert none.price_and_lack(LAYUP, NECK_12)[1] == pytest.approx(volumes["wenge"])


def test_a_rack_file(tmp_path):
    file = tmp_path / "rack.csv"
    file.write_text("wood,price_per_m3,volume_m3\nHard Maple,4000,0.02\nwenge,9000,\n", encoding="utf-8")
    rack = read_rack(file)
    assert rack.by_wood["hard_maple"].volume == 0.02 and rack.by_wood["wenge"].volume is None
    for text, words in (("wood,price_per_m3,volume_m3\nplasticwood,1,\n", ["line 2", "'wood'"]),
                        ("wood,price_per_m3,volume_m3\nwenge,cheap,\n", ["line 2", "price_per_m3"]),
                        ("wood,price_per_m3,volume_m3\nwenge,-1,\n", ["line 2", "price_per_m3"])):
        file.write_text(text, encoding="utf-8")
        with pytest.raises(ValueError) as refusal:
            read_rack(file)
        assert all(word in str(refusal.value) for word in ("rack.csv", *words))
    with pytest.raises(ValueError, match="twice"):
        Rack((Shelf("wenge"), Shelf("Wenge")))
    with pytest.raises(ValueError, match="litres"):
        Shelf("wenge", 1.0, 70.0)
