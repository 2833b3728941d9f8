"""The sheets say what the model says, escape what people wrote, draw to the told scale and print with their
text."""

import re
import zlib
from dataclasses import replace

import numpy as np
import pytest
from bs4 import BeautifulSoup

from tonewood.brief.checkpoints import checkpoints
from tonewood.brief.cut_list import Allowances, cut_list
from tonewood.draws import written_inches
from tonewood.lesson.shared.ledger import ledger
from tonewood.lesson.shared.sheets import paper
from tonewood.lesson.shared.sheets.build_sheet import build_sheet, expected, sized, volume
from tonewood.lesson.shared.sheets.button import SheetMaker
from tonewood.lesson.shared.sheets.client_sheet import Words, client_sheet, permits, spoken, woods_of
from tonewood.lesson.shared.sheets.drawing import WIDE, blank_drawing, neck_drawing
from tonewood.lesson.shared.sheets.facts import care, facts
from tonewood.lesson.shared.shop import NECK_12, plan_stripes, truss_rod
from tonewood.neck.design import Design, FretboardPlan, LayerPlan, StringPlan
from tonewood.neck.layup.neck import Back, Bar, Outline
from tonewood.neck.report.evaluation import evaluate
from tonewood.panel import units
from tonewood.panel.browser import chromium
from tonewood.wood.climate import MONTHS, indoor, places
from tonewood.wood.own import forget, own_wood
from tonewood.wood.species import all_species, species

BASS = Design(name="Bass", stripes=plan_stripes("European ash", "black walnut", "European cherry", 5, 0.068),
              outline=Outline(0.042, 0.064, 0.62), back=Back("C", 0.0155, 0.0185, 0.62), town="Lisbon",
              fretboard=FretboardPlan(wood="pau ferro"), channel=replace(NECK_12.channel, end=0.60),
              bars=(Bar(-0.0115, depth=0.008), Bar(0.0115, depth=0.008)), scale_length=0.864, frets=21,
              joint="bolt-on", joint_fret=16, strings=StringPlan(set="bass four", tuning="bass four"),
              nut_spread=0.032, bridge_spread=0.057)
EIGHT = Design(
    name="Eight", stripes=tuple(replace(s, turn="about y" if i > 4 else "as sawn") for i, s in enumerate(
        plan_stripes("wenge", "hard maple", "bubinga", 9, 0.080, ring_angle=1.2, slope=0.02))),
    outline=Outline(0.056, 0.076, 0.5), back=Back("D", 0.015, 0.0175, 0.5), rod="single-acting",
    town="Denver", fretboard=FretboardPlan(wood="African ebony"), channel=NECK_12.channel,
    scale_length=0.686, frets=24, joint="set", joint_fret=20, nut_spread=0.048, bridge_spread=0.0735,
    strings=StringPlan(set="eight", tuning="eight"))
NECKS = pytest.mark.parametrize("design", [NECK_12, BASS, EIGHT], ids=lambda d: d.name)


def read(sheet):
    return BeautifulSoup(sheet.html, "html.parser")


def test_numbers_are_the_models_own():
    found = facts(NECK_12)
    whole = evaluate(found.neck, NECK_12.string_set(), 0.08, 0.08, NECK_12.setup(), 16, NECK_12.body_joint())
    assert np.allclose(found.number("weight").value, 1e3 * whole.mass)
    assert np.allclose(found.number("stiffness").value, whole.stiffness)
    account = ledger(NECK_12, town="Chicago")
    assert np.allclose(found.number("gap").value, 1e3 * account.line("strings on, rod slack").after)
    year = account.years["double-acting"]
    assert np.allclose(found.number("ends").value, 1e3 * year.fret_end[:, account.dry])
    assert MONTHS[int(np.argmin(indoor("Chicago").humidity))] in found.number("dry").what


@NECKS
def test_the_client_sheet_prints_them(design):
    text = read(client_sheet(design)).get_text(" ")
    for number in facts(design).numbers:
        assert number.what in text and spoken(number) in text
    assert str(design.frets) in text and design.town in text


def test_a_quarter_tells_the_room_and_the_gap():
    found = facts(NECK_12)
    room, gap = indoor("Chicago").humidity, found.gap()
    winter = found.quarters()[0]
    assert winter.humidity == (min(room[[11, 0, 1]]), max(room[[11, 0, 1]]))
    moments = [k for k, name in enumerate(found.year.month) if name in ("December", "January", "February")]
    assert winter.gap[0] == pytest.approx(min(np.percentile(gap[:, k], 5) for k in moments))
    assert "35 %" in care(NECK_12, winter)


@NECKS
def test_exactly_its_woods_with_botanical_names_and_permits(design):
    page = read(client_sheet(design))
    rows = [[cell.get_text() for cell in row.find_all(["th", "td"])]
            for row in page.find_all("table")[0].tbody.find_all("tr")]
    woods = {species(stripe.wood) for stripe in design.stripes} | {species(design.fretboard.wood)}
    assert {(row[0], row[1]) for row in rows} == {(wood.name, wood.botanical) for wood in woods}
    for row in rows:
        trade = [c.statement for c in species(row[0]).cautions if c.kind == "trade"]
        assert all(statement in row[3] for statement in trade)
        assert trade or "proves nothing" in row[3]
    told = page.get_text()
    listed = {"CITES Appendix I:", "Pterocarpus", "Cedrela"}          # of other woods
    assert not any(word in told for word in listed)
    assert "local authorities decide" in told and "cites.org" in told


def test_every_protected_wood_says_so():
    for wood in all_species():
        if any("CITES Appendix" in c.statement for c in wood.cautions):
            assert "CITES Appendix" in permits(wood)


def test_what_people_wrote_stays_words():
    bad = "<script>alert(1)</script> & \"quotes\" <b>"
    words = Words(client=bad, workshop=bad, date=bad, why=bad, chosen=((bad, bad),),
                  numbers=((bad, bad, bad),))
    for sheet in (client_sheet(NECK_12.changed(name=bad), words),
                  build_sheet(NECK_12.changed(name=bad), workshop=bad, date=bad)):
        page = read(sheet)
        assert not page.find_all("script") and not page.find_all("b")
        assert bad in page.get_text() and page.title.get_text().startswith(bad)


@NECKS
def test_the_build_sheet_prints_the_cut_list(design):
    for system, allowances in ((units.METRIC, None), (units.INCH, Allowances(kerf=0.0012))):
        page = read(build_sheet(design, allowances, system=system))
        cut, text = cut_list(design, allowances), page.get_text(" ")
        rows = page.find_all("table")[0].tbody.find_all("tr")
        for piece, row in zip(cut.stripes, rows, strict=False):
            cells = [cell.get_text() for cell in row.find_all(["th", "td"])]
            assert cells[:4] == [str(piece.number), species(piece.wood).name,
                                 "up" if piece.face_up else "down", "head" if piece.to_head else "body"]
            assert cells[5:] == [sized(piece.sawn.width, system), sized(piece.planed.width, system)]
        for board in cut.boards:
            assert volume(board.size.volume, system) in text
        rod = truss_rod(design.neck(), design.rod)
        points = checkpoints(cut, rod)
        assert [blank["data-key"] for blank in page.select(".blank")] == [point.kind for point in points]
        assert all(expected(point, system) in text for point in points)
        assert len(re.findall(r"Glue-up \d", text)) == len(cut.clamping)
        assert text.count("slot of bar") == len(design.bars)


def test_inches_on_the_sheet_are_the_fraction_and_its_rounding():
    assert sized(0.0213, units.INCH) == "27/32 in (+0.005)" and written_inches(0.0213)[0] == "27/32 in"
    assert sized(0.0001, units.INCH) == "0.004 in" and sized(0.0254, units.INCH) == "1 in"
    assert volume(144 * 0.0254**3, units.INCH) == "1.00 bd ft"


def extents(svg):
    """(width, height) in mm of every path of the drawing, its points in points of paper."""
    for d in re.findall(r' d="([^"]+)"', svg):
        at = np.array(re.findall(r"(-?[\d.]+) (-?[\d.]+)", d), float)
        if len(at) > 20:
            yield np.ptp(at, axis=0) * 25.4 / 72


@NECKS
def test_the_drawing_is_to_the_told_scale(design):
    drawn, neck = neck_drawing(design), design.neck()
    wide, high = (float(v) * 25.4 / 72 for v in re.search(r'width="([\d.]+)pt" height="([\d.]+)pt"',
                                                         drawn.svg).groups())
    assert (wide, high) == (pytest.approx(WIDE, abs=0.01), pytest.approx(drawn.high, abs=0.01))
    sizes = list(extents(drawn.svg))
    front = (1e3 * neck.end / drawn.scale, 1e3 * float(neck.outline.width(neck.end)) / drawn.scale)
    section = (1e3 * float(neck.outline.width(neck.fret(12))),
               1e3 * (float(neck.back.depth(neck.fret(12))) + neck.fretboard.thickness))
    for view in (front, section):
        assert any(np.allclose(size, view, atol=0.02) for size in sizes), view
    assert f"1:{drawn.scale}, sections 1:1" in drawn.svg and f"1:{drawn.scale}:" in drawn.alt


def test_marks_in_the_blank_are_those_of_the_cut_list():
    svg, alt, wide = blank_drawing(cut_list(EIGHT))
    assert "5 up, head mark at the head; 6 down, head mark at the body" in alt
    assert wide == pytest.approx(1e3 * EIGHT.neck().layup.width + 24.0)


@NECKS
def test_nothing_is_smaller_than_eight_points(design):
    sizes = [float(v) for v in re.findall(r"font:?(?:-size:)? ?([\d.]+)p[tx]", neck_drawing(design).svg)]
    assert sizes and min(sizes) >= 8.0
    style = read(client_sheet(design)).style.get_text()
    assert min(float(v) for v in re.findall(r"([\d.]+)pt", style)) >= 8.0


def test_a_town_without_temperatures_and_a_neck_without_rod_are_told():
    from tonewood.wood.climate import places as every
    bare = next(town for town in every(indoor=False) if town not in places())
    sheet = read(client_sheet(NECK_12.changed(town=bare))).get_text(" ")
    assert "not worked out" in sheet and "driest month" not in sheet
    loose = facts(NECK_12.changed(rod="none"))
    assert loose.setting is None and np.allclose(loose.gap()[:, 0], loose.number("gap").value, atol=0.02)
    assert "rod turns" not in build_sheet(NECK_12.changed(rod="none")).html


def test_a_sheet_is_saved_by_its_ending(tmp_path):
    sheet = client_sheet(NECK_12, size="letter")
    assert sheet.save(tmp_path / "a.html")[0].read_text(encoding="utf-8") == sheet.html
    assert "size:215.9mm 279.4mm" in sheet.html and "http" not in sheet.html
    for name, words in (("a.docx", "ending of the file"), ("none/a.html", "none")):
        with pytest.raises(ValueError, match=words):
            sheet.save(tmp_path / name)
    with pytest.raises(ValueError, match="paper"):
        paper.Sheet(title="x", pages=("",), paper="foolscap")


def unicode_in(pdf):
    """Every character that the PDF's fonts map their glyphs to."""
    found = set()
    for stream in re.findall(rb"stream\r?\n(.*?)endstream", pdf, re.S):
        try:
            text = zlib.decompress(stream)
        except zlib.error:
            continue
        if b"begincmap" not in text:
            continue
        for first, last, to in re.findall(rb"<([0-9A-Fa-f]+)> <([0-9A-Fa-f]+)> <([0-9A-Fa-f]{4})>\n", text):
            found |= {chr(int(to, 16) + k) for k in range(int(last, 16) - int(first, 16) + 1)}
        for block in re.findall(rb"beginbfchar\n(.*?)endbfchar", text, re.S):
            found |= {chr(int(to, 16)) for to in re.findall(rb"<[0-9A-Fa-f]+> <([0-9A-Fa-f]{4})>", block)}
    return found


def test_the_pdf_carries_its_text_its_fonts_and_its_tags(tmp_path):
    sheet = client_sheet(NECK_12, Words(why="Žofie wants it light"))
    if not chromium():
        with pytest.raises(ValueError, match="no Chromium"):
            sheet.pdf()
        return
    pdf = sheet.save(tmp_path / "a.pdf")[0].read_bytes()
    assert pdf[:5] == b"%PDF-" and pdf.rstrip().endswith(b"%%EOF")
    for mark in (b"/StructTreeRoot", b"/MarkInfo", b"/Lang", b"/Alt", b"/FontFile2", b"/ToUnicode"):
        assert mark in pdf, mark
    assert b"/Type3" not in pdf
    letters = {c for c in read(sheet).main.get_text() if not c.isspace()}
    assert letters <= unicode_in(pdf)
    assert re.search(rb"/MediaBox \[0 0 59[45](\.\d+)? 84[12]", pdf)
    assert len(re.findall(rb"/Type /Page\b", pdf)) == 2


def test_every_wood_of_a_design_has_its_place():
    where = {wood.key: words for wood, words in woods_of(EIGHT).items()}
    assert where == {"wenge": "stripes 1, 3, 7, 9", "hard_maple": "stripes 2, 4, 6, 8", "bubinga": "stripe 5",
                     "african_ebony": "fretboard"}


def test_the_button_writes_the_sheet_that_is_chosen(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    asked = []
    made = SheetMaker(lambda: asked.append(1) or BASS, lambda: Words(workshop="Quillmere"))
    made.form.value, made.kind.value, made.units.value = "html", "build sheet", units.INCH
    made.button.click()
    assert [path.name for path in made.written] == ["Bass_build_sheet.html"] and asked == [1]
    html = (tmp_path / "Bass_build_sheet.html").read_text(encoding="utf-8")
    assert html == build_sheet(BASS, system=units.INCH, workshop="Quillmere").html
    assert "download='Bass_build_sheet.html'" in made.reply.value
    made.name.value = "no/where"
    made.make()
    assert "Nothing was written" in made.reply.value and not made.button.disabled


def test_an_own_wood_is_not_called_by_another_ones_name():
    plum = own_wood("Plum of the garden", like="black cherry", density=720.0)
    try:
        stripes = tuple(replace(stripe, wood=plum.key) for stripe in NECK_12.stripes)
        rows = read(client_sheet(NECK_12.changed(stripes=stripes))).find_all("table")[0].get_text(" ")
    finally:
        forget(plum)
    assert "Plum of the garden" in rows and "Prunus serotina" not in rows and "must name the species" in rows


def test_a_rod_that_would_not_do_is_told():
    reserve = np.asarray(facts(EIGHT).setting.reserve)
    told = re.search(r"In (\d+) of 100 such necks the rod's planned strength would not do",
                     read(client_sheet(EIGHT)).get_text())
    assert (reserve < 0).any() and int(told[1]) == round(100 * np.mean(reserve < 0))
    assert "would not do" not in read(client_sheet(NECK_12)).get_text()


def test_layers_none_and_leaning_lines_on_paper():
    """A neck without a fretboard says how its rod gets in; layers are listed with what to saw; veneers are
    bought."""
    bare = NECK_12.with_fretboard(FretboardPlan(wood=None))
    layered = NECK_12.changed(leans=(0.1, 0.0, 0.0, 0.0, 0.0, -0.1), fretboard=replace(
        NECK_12.fretboard, under=(LayerPlan(wood="hard maple", thickness=0.0006),)))
    told = [" ".join(read(build_sheet(design)).get_text(" ").split()) for design in (bare, layered)]
    assert "No fretboard: the frets sit in the neck" in told[0] and "cut from the back" in told[0]
    assert "layer 1 from the neck hard maple" in told[1] and "0.6 mm thick, as bought" in told[1]
    assert "Glue lines lean or taper" in told[1] and "cut from the back" not in told[1]
    assert "fretboard, layer 2" in woods_of(layered)[species("Indian rosewood")]
    assert "fretboard" not in "".join(woods_of(bare).values())
    assert len({neck_drawing(design).svg for design in (bare, NECK_12, layered)}) == 3
