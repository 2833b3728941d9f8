"""Lesson 08: the attack. Here stands what its notebook uses."""

# ruff: noqa: F401, I001
from tonewood.lesson.first_moment.by_hand import glide_by_hand
from tonewood.lesson.first_moment.figure import attack
from tonewood.lesson.first_moment.questions import (
    answer_dull_note, answer_glide, answer_nine, guess_bigger, guess_fall, guess_give, guess_score)
from tonewood.lesson.first_moment.sounds import blind_test, listen, trials_table
from tonewood.lesson.first_moment.verdicts import (
    SOURCES, by_route, give_compresses, size_table, wood_matters_less, wood_sets_attack)
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources
from tonewood.panel.page import caution, say, say_all
