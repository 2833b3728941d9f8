"""Lesson 09: measure a board. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.measure_a_board.by_hand import tap_by_hand, which_board_to_measure
from tonewood.lesson.measure_a_board.figure import measured_board
from tonewood.lesson.measure_a_board.keep import own_wood_form
from tonewood.lesson.measure_a_board.questions import (
    answer_density, answer_exclude, answer_stiffness, answer_use, guess_neck, guess_tap)
from tonewood.lesson.measure_a_board.rack import on_the_slip, the_label, what_the_taps_say
from tonewood.lesson.measure_a_board.recorded import tap_recorded
from tonewood.lesson.measure_a_board.thirty import thirty_boards
from tonewood.lesson.measure_a_board.verdicts import tap_instead_of_bend
from tonewood.lesson.shared.log_book import log_book
from tonewood.lesson.shared.moisture_by_hand import own_moisture, own_safe_bend
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.lesson.shared.tap_reader import error_picture
from tonewood.panel.page import caution, say_all
