"""From controls back to a design: only what was moved counts."""

import pytest

from tonewood.lesson.shared.reads import kept_by, lumped_joint, moved
from tonewood.lesson.shared.shop import NECK_12, changed


def test_only_controls_off_their_start_change_a_design():
    assert moved({"depth": 20.5, "stripes": 7.0}, {"stripes": 5.0, "depth": 20.5}) == {"stripes": 5.0}
    with pytest.raises(ValueError, match="control"):
        moved({"depth": 20.5}, {"dept": 20.0})


def test_a_design_is_kept_as_it_was_built_under_its_new_name():
    assert kept_by(changed)(NECK_12, {"depth": 0.022}, "Mine") == changed(NECK_12, depth=0.022, name="Mine")


def test_only_another_joint_than_the_shops_is_told():
    other, = lumped_joint(NECK_12.changed(joint="bolt-on"))
    assert "bolt-on" in other and lumped_joint(NECK_12) == []
