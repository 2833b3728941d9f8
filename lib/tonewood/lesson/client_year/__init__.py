"""Lesson 06: a year in the client's town. Here stands what its notebook uses."""

# ruff: noqa: F401, I001
from tonewood.lesson.client_year.by_hand import (
    chain_shown, dry_room_by_hand, glued_strip, what_to_tell, whole_section_drying, workshop_table)
from tonewood.lesson.client_year.figure import seasons
from tonewood.lesson.client_year.questions import (
    answer_fret_end, answer_knowledge, answer_lever, guess_finish, guess_pieces, guess_winter)
from tonewood.lesson.client_year.verdicts import (
    carbon_stops_seasons, dry_winter_more_relief, finish_stops_movement, fret_sprout,
    quarter_sawn_width, trade_rule_moisture)
from tonewood.lesson.shared.ledger_figure import relief_ledger
from tonewood.lesson.shared.class_readings import class_readings
from tonewood.lesson.shared.neck_readings import neck_readings
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import cautions_for, sources, standing
from tonewood.panel.page import caution, note, say
