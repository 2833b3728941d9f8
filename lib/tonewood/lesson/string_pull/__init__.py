"""Lesson 05: string pull and the truss rod. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.shared.neck_readings import neck_readings
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.lesson.shared.ledger_figure import relief_ledger
from tonewood.lesson.string_pull.by_hand import CAUTIONS, own_frets, own_stiffness, pull_by_hand
from tonewood.lesson.string_pull.faults import rod_faults
from tonewood.lesson.string_pull.figure import string_pull
from tonewood.lesson.string_pull.questions import (answer_fault, answer_relief, answer_tuning, guess_gauge,
                                                   guess_head, guess_twist)
from tonewood.lesson.string_pull.verdicts import (bar_places, head_angle_matters, heavier_strings,
                                                  pull_stresses_glue, rod_untwists,
                                                  stiff_neck_tightens, stripes_or_fretboard, tight_tangs)
from tonewood.panel.page import caution, say, say_all
