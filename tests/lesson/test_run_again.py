"""The cell of a lesson's figure run again keeps nothing of the figure before."""

import gc
import weakref
from importlib import import_module

import ipywidgets
import pytest

FIGURES = {"start_here": "first_slider", "whole_neck": "bench", "one_board": "one_board",
           "grain": "which_way", "laying_up": "layup", "string_pull": "string_pull",
           "client_year": "seasons", "ring_and_decay": "ring", "first_moment": "attack",
           "measure_a_board": "measured_board", "weight_and_balance": "weight_and_balance",
           "brief_to_neck": "from_brief_to_neck", "client_talk": "your_neck"}


@pytest.mark.parametrize("lesson", FIGURES)
def test_a_figure_s_cell_run_again_keeps_no_memory(shell, lesson):
    make, register = getattr(import_module(f"tonewood.lesson.{lesson}"), FIGURES[lesson]), []
    history = []                                     # as a notebook keeps what its cells returned
    for count in range(2):
        history.append(shell.run("a", count, make))
        register.append(len(ipywidgets.widgets.widget._instances))
        if not count:
            live = history[0]
            held = [weakref.ref(thing) for thing in (live.fig, live.widget, live.image,
                                                     *live.controls.values())]
            del live
    gc.collect()
    assert register[0] == register[1]
    assert [thing() for thing in held if thing() is not None] == []
