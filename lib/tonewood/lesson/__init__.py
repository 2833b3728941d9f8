"""Everything a learner sees: sliders, live figures, questions, sentences. The only room that draws."""

import os

from tonewood.panel.waiting import say_what_waits

# Read when numpy and scipy are loaded: their products are small here, and several threads get in each other's
# way wherever others want the cores too (a lesson ran in 23 s instead of 37 on a busy machine of two).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

say_what_waits()
