"""Lesson 01: the neck on the bench. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.lesson.whole_neck.by_hand import relief_by_hand
from tonewood.lesson.whole_neck.figure import bench
from tonewood.lesson.whole_neck.questions import (
    answer_origin, answer_stiffness, answer_weight, guess_quarter, guess_season, guess_stripes)
from tonewood.lesson.whole_neck.verdicts import (
    more_layers_predictable, more_layers_stiffer, quarter_sawn_stiffer)
from tonewood.panel.page import say_all
