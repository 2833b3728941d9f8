"""Everything a learner sees: sliders, live figures, questions, sentences. The only room that draws."""

from tonewood.panel.waiting import collect_seldom, say_what_waits

collect_seldom()
say_what_waits()
