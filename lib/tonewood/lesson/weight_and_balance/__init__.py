"""Lesson 10: weight and balance of the whole instrument. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.lesson.weight_and_balance.by_hand import balance_by_hand, own_outline
from tonewood.lesson.weight_and_balance.figure import weight_and_balance
from tonewood.lesson.weight_and_balance.questions import (
    answer_least,
    answer_limit,
    answer_tuners,
    guess_remedy,
    guess_share,
)
from tonewood.lesson.weight_and_balance.verdicts import chambers_make_neck_heavy, lighter_neck_cures_dive
from tonewood.panel.page import caution, say_all
