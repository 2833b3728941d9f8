"""Lesson 04: laying up. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.laying_up.by_hand import (accent_by_hand, misread, one_against_seven, scatter_by_hand,
                                               strip_test_table, turns_table, within_table)
from tonewood.lesson.laying_up.figure import layup
from tonewood.lesson.laying_up.questions import (answer_foretold, answer_middle, answer_root, guess_accent,
                                                 guess_scatter, guess_turn)
from tonewood.lesson.laying_up.verdicts import (carbon_stops_movement, glue_lines_rob, less_adjusting,
                                                many_pieces_do_not_warp, more_stripes_stiffer,
                                                seven_or_nine_are_best, thin_stripe_stiffens)
from tonewood.lesson.shared.class_readings import strips_pooled
from tonewood.lesson.shared.neck_readings import neck_readings
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.panel.page import caution, say
