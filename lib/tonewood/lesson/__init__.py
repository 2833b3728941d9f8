"""Everything a learner sees: sliders, live figures, questions, sentences. The only room that draws."""

import gc
import os

from tonewood.panel.waiting import say_what_waits

# Read when numpy and scipy are loaded: their products are small here, and several threads get in each other's
# way wherever others want the cores too (a lesson ran in 23 s instead of 37 on a busy machine of two).
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")

# A picture makes tens of thousands of small things; looking for rings among them after every 700 took a tenth
# of a lesson's time.
gc.set_threshold(20_000, 10, 20)

say_what_waits()
