"""Lesson 07: ring and decay. Here stands what its notebook uses."""

# ruff: noqa: F401, I001
from tonewood.lesson.ring_and_decay.by_hand import (
    bench_row, damping_known, dead_note_by_hand, own_note, own_tap, what_a_tap_buys)
from tonewood.lesson.ring_and_decay.figure import ring
from tonewood.lesson.ring_and_decay.questions import (
    answer_lower, answer_seconds, answer_strings, guess_cause, guess_clamp, guess_stiffer)
from tonewood.lesson.ring_and_decay.recorded import notes_recorded, tap_recorded
from tonewood.lesson.ring_and_decay.verdicts import (
    SOURCES, clamp_moves, glue_lines, heavy_body, neck_through, species_voice, stiff_neck_cures,
    stiff_neck_sustains, stiffer_neck_maps, twist_mode)
from tonewood.lesson.shared.neck_readings import neck_readings
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.lesson.shared.tap_reader import how_well_it_reads
from tonewood.panel.page import caution, say_all
