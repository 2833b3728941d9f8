"""Lesson 02: one board. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.one_board.by_hand import bend_by_hand, printed_values, where_the_error_comes_from
from tonewood.lesson.one_board.figure import one_board
from tonewood.lesson.one_board.questions import (
    answer_error, answer_narrow, answer_outside, guess_bend, guess_books, guess_weigh)
from tonewood.lesson.one_board.verdicts import (
    heavier_is_stiffer, table_is_enough, wood_tells_stiffness)
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.panel.page import caution, say_all
