"""Everything a learner sees: sliders, live figures, questions, sentences. The only room that draws."""
