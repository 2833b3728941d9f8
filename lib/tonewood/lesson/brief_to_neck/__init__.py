"""Lesson 11: from a player's brief to a neck. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.brief_to_neck.briefs import doubts_told, the_brief
from tonewood.lesson.brief_to_neck.by_hand import chance_by_hand, draws_matter
from tonewood.lesson.brief_to_neck.figure import from_brief_to_neck
from tonewood.lesson.brief_to_neck.questions import (
    answer_error,
    answer_give_way,
    answer_none,
    guess_dearest,
    guess_together,
)
from tonewood.lesson.brief_to_neck.verdicts import dear_is_better, one_right_recipe
from tonewood.lesson.brief_to_neck.searching import search_box
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.panel.page import caution, say_all
