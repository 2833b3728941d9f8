"""The take-home page says month by month what the model says, plays what the model plays, and compares
honestly."""

import base64
import io
import json
import re
import wave

import numpy as np
import pytest
from bs4 import BeautifulSoup

from tonewood.brief.compare import side_by_side
from tonewood.draws import band, written
from tonewood.lesson.shared.sheets.client_sheet import Words
from tonewood.lesson.shared.sheets.facts import facts
from tonewood.lesson.shared.sheets.take_home import ROOMS, compared, take_home, take_home_button
from tonewood.lesson.shared.shop import NECK_12, changed
from tonewood.panel.pocket_page import LARGEST
from tonewood.wood.climate import indoor, places

BAD = "</script><script>alert(1)</script> & <b>"


@pytest.fixture(scope="module")
def made():
    told = []
    words = Words(client=BAD, why=BAD, chosen=(("Stripes", BAD),), numbers=((BAD, "1", BAD),))
    html = take_home(NECK_12, words, progress=lambda done, of: told.append((done, of)))
    return html, BeautifulSoup(html, "html.parser"), told


def test_every_month_is_the_models_own(made):
    data = json.loads(made[1].select_one(".viewer script").string)
    rooms, months = data["dials"]
    assert rooms == list(ROOMS) and months[0] == "October" and len(months) == 13
    for k, held in enumerate(ROOMS.values()):
        found = facts(NECK_12, held=held)
        room = indoor("Chicago", held=held).humidity
        for t, (place, sentence, _) in enumerate(data["frames"][13 * k:13 * k + 13]):
            low, middle, high = band(found.gap()[:, t])
            assert f"{written(middle)} mm ({written(low)} to {written(high)})" in sentence
            assert f"air {100 * room[(9 + t) % 12]:.0f} %" in sentence and place >= 0
    assert len(set(data["pictures"])) == 26


def test_a_humidified_room_moves_the_gap_less():
    usual, kept = (np.ptp(facts(NECK_12, held=held).gap(), axis=-1) for held in ROOMS.values())
    assert np.median(kept) < np.median(usual)


def test_it_is_one_small_file_that_asks_for_nothing(made):
    html, page, told = made
    assert len(html.encode()) < LARGEST
    assert not re.search(r"(src|href)=['\"]?(https?:|//)", html) and not page.find_all("link")
    assert told[-1][0] == told[-1][1] == len(told)


def test_every_text_reads_without_script(made):
    page = made[1]
    data = json.loads(page.select_one(".viewer script").string)
    rows = [row.get_text() for row in page.select("details tbody tr")]
    assert all(frame[1] in row for frame, row in zip(data["frames"], rows, strict=True))
    text = page.get_text()
    for words in ("Care by season", "Cautions", "Woods and permits", "Dalbergia latifolia", "Listen"):
        assert words in text


def test_what_people_wrote_stays_words(made):
    page = made[1]
    assert page.get_text().count(BAD) >= 4 and not page.find_all("b")
    assert [script for script in page.find_all("script") if "alert(1)" in (script.string or "")
            and script.get("type") != "application/json"] == []


def test_its_sound_is_a_sound(made):
    sound, = made[1].find_all("audio")
    with wave.open(io.BytesIO(base64.b64decode(sound["src"].split(",")[1]))) as file:
        samples = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        assert file.getframerate() == 22050 and 2.5 < len(samples) / 22050 < 3.2
    assert 1000 < np.abs(samples).max() < 0.9 * 2**15
    assert not sound.has_attr("autoplay")


def test_a_comparison_says_what_tells_and_what_does_not():
    two = {"No. 12": NECK_12, "limba": changed(NECK_12, name="Limba", main="limba", stripes=1)}
    page = BeautifulSoup(compared(two, 60), "html.parser")
    found = side_by_side(two, draws=60)["No. 12", "limba"]
    text = page.get_text()
    told = {d.quantity for d in found if d.tells}
    assert "neck weight" in told and "Weight of the neck: more in No. 12 than in limba" in text
    alike = text.split("could not tell these two apart by")[1].split(".")[0]
    assert "swing of the gap over the year" in alike
    assert len(page.select("tbody tr")) == len(found)
    same = BeautifulSoup(compared({"a": NECK_12, "b": NECK_12}, 60), "html.parser").get_text()
    assert "more in a than" not in same and "more in b than" not in same


def test_a_town_without_temperatures_has_no_year_but_all_else():
    from tonewood.wood.climate import places as every
    bare = next(town for town in every(indoor=False) if town not in places())
    page = BeautifulSoup(take_home(NECK_12.changed(town=bare)), "html.parser")
    assert not page.select(".viewer") and "not worked out" in page.get_text() and page.find_all("audio")


def test_four_necks_are_too_many_and_the_button_says_so(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    button = take_home_button({str(k): NECK_12 for k in range(4)})
    button.make()
    assert "necks of the page" in button.reply.value and not list(tmp_path.iterdir())
