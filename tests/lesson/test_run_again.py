"""A lesson's cell run again keeps nothing of the figure, the boxes or the players it made before."""

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

BOXES = ("brief_to_neck.the_brief", "brief_to_neck.search_box", "client_talk.two_necks",
         "client_year.class_readings", "first_moment.blind_test", "first_moment.listen",
         "laying_up.strips_pooled", "measure_a_board.log_book", "measure_a_board.own_wood_form",
         "ring_and_decay.neck_readings", "shared.tap_reader.tap_reader", "start_here.what_the_trade_says")


@pytest.mark.parametrize("box", BOXES)
def test_boxes_run_again_keep_no_widget(shell, box, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    room, _, name = box.rpartition(".")
    make = getattr(import_module(f"tonewood.lesson.{room}"), name)
    register = ipywidgets.widgets.widget._instances
    first = shell.run("a", 1, make)
    count = len(register)
    shell.run("a", 2, make)
    assert first.widget is None and len(register) == count


def test_a_search_under_way_ends_when_its_cell_runs_again(shell):
    search_box = import_module("tonewood.lesson.brief_to_neck").search_box
    first = shell.run("a", 1, search_box)
    first.start()
    thread = first._thread
    shell.run("a", 2, search_box)
    assert not thread.is_alive() and first.widget is None


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
