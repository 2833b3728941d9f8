"""Lesson 00: how to read a band and a mark. What its notebook uses stands here."""

# ruff: noqa: F401, I001
from tonewood.lesson.shared.claims import what_the_trade_says
from tonewood.lesson.shared.measured import measured_figure, others_measured
from tonewood.lesson.shared.glossary import glossary
from tonewood.lesson.shared.standing import sources, standing
from tonewood.lesson.start_here.by_hand import count_standing
from tonewood.lesson.start_here.figure import first_slider
from tonewood.lesson.start_here.questions import guess_band, read_a_band, which_number
from tonewood.panel.page import caution
