"""Lesson 03: which way the grain runs. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.grain.by_hand import cup_by_hand, run_out_by_hand
from tonewood.lesson.grain.figure import which_way
from tonewood.lesson.grain.questions import (
    answer_angle, answer_dive, answer_width, guess_rift, guess_run_out, guess_turn)
from tonewood.lesson.grain.strip import strip_readings
from tonewood.lesson.grain.verdicts import (
    quarter_sawn_board_stiffer, quarter_sawn_moves_half, rift_in_between, run_out_cost, shortcut_good_enough)
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.panel.page import caution, say_all
