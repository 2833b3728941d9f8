"""Everything a learner sees: sliders, live figures, questions, sentences. The only room that draws."""

from tonewood.panel.waiting import say_what_waits

say_what_waits()
