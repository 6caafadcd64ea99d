"""The whole job as a player does it, in a real browser: in, see, understand, decide, hear, save."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from service.usecases.clean import clean
from tests.browser.conftest import (
    FIRST_NOTE,
    Opener,
    bars_away,
    card,
    decline,
    downloaded,
    drop,
    options,
    try_sample,
    wait_until_settled,
)
from tests.soak.laws import held

pytestmark = pytest.mark.browser
PIECE = "reed_crossing"
HOW = "notes => notes.map((note) => note.getAttribute('aria-label'))"


@pytest.mark.main_job
def test_drop_read_decline_pin_undo_chart_and_save(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    given = sample_scores[PIECE].read_bytes()
    page = open_page().page
    drop(page, "lesson.musicxml", given)
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    before = bars_away(page)
    assert len(before) >= 2, "this sample asks for third position twice"
    assert "string crossings instead of" in page.locator(".card .reasons").first.inner_text()
    assert page.locator(".page .stretch").count() >= 2
    # Declined: the card says so, and the decision is listed.
    decline(page, before[0])
    expect(page.locator(".decisions li")).to_have_count(1)
    wait_until_settled(page)
    assert before[0] not in bars_away(page)
    expect(page.locator(".card.declined.open")).to_have_count(1)
    # A note pinned: the plan follows at once, and the first decision is kept.
    page.locator("#n5 .notehead").click()
    present = page.get_by_role("radio", name="1st finger, A string, first position")
    expect(present).to_be_checked()
    expect(present).to_be_focused()
    page.get_by_role("radio", name="4th finger, D string, third position").check()
    way = page.locator(".note-choices li", has_text="4th finger, D string, third position")
    expect(way).to_contain_text("more shift")
    page.keyboard.press("Enter")
    expect(page.locator(".decisions li")).to_have_count(2)
    expect(page.locator("#n5")).to_be_focused()
    wait_until_settled(page)
    assert page.evaluate("document.activeElement.id") == "n5", "drawn anew, the note still has the focus"
    assert "4th finger" in (page.locator("#n5").get_attribute("aria-label") or "")
    assert "third position" in (page.locator("#n5").get_attribute("aria-label") or "")
    # Options change, decisions stay.
    page.locator("#option-level").select_option("to-fifth")
    wait_until_settled(page)
    assert "4th finger" in (page.locator("#n5").get_attribute("aria-label") or "")
    expect(page.locator(".decisions li")).to_have_count(2)
    # Back three steps, forward one.
    for _ in range(3):
        page.locator("#undo").click()
        wait_until_settled(page)
    assert bars_away(page) == before
    expect(page.locator("#undo")).to_be_disabled()
    page.locator("#redo").click()
    wait_until_settled(page)
    assert before[0] not in bars_away(page)
    name, marked = downloaded_marked(page)
    assert name == "lesson.marked.musicxml"
    assert marked != given
    assert clean(marked) == given


def downloaded_marked(page: Page) -> tuple[str, bytes]:
    page.locator("#save").click()
    return downloaded(page, "Marked score")


def test_the_fingerboard_shows_the_position_with_the_notes_of_the_bars(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    page.get_by_role("button", name="Fingerboard", exact=True).click()
    page.wait_for_selector(".fingerboard-picture svg")
    assert "third position" in page.locator(".fingerboard-picture title").text_content()
    assert page.locator(".fingerboard-picture .chart-ring").count() >= 4
    page.locator("#fingerboard-position").select_option("5")
    expect(page.locator(".fingerboard-picture title")).to_contain_text("fifth position")


def test_both_forms_stand_one_above_the_other(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    page.get_by_role("button", name="Compare", exact=True).click()
    home, planned = page.locator(".form.home"), page.locator(".form.plan")
    page.wait_for_selector(".form.plan svg")
    upper, lower = home.bounding_box(), planned.bounding_box()
    assert upper is not None
    assert lower is not None
    assert upper["y"] + upper["height"] <= lower["y"]
    assert "3rd pos." in planned.inner_text()
    assert "3rd pos." not in home.inner_text()
    assert planned.locator("g.note").count() == home.locator("g.note").count() > 0


# The point of a shaded area that lies farthest from any notehead: a press near a notehead chooses the note.
PLACE_WITHOUT_NOTE = """area => {
  const box = area.getBoundingClientRect();
  const centre = ({ left, top, width, height }) => [left + width / 2, top + height / 2];
  const notes = [...area.closest(".page").querySelectorAll(".notehead")];
  const heads = notes.map((note) => centre(note.getBoundingClientRect()));
  let best = { room: -1 };
  for (let x = 4; x < box.width - 4; x += 4)
    for (let y = 4; y < box.height - 4; y += 4) {
      const room = Math.min(...heads.map(([left, top]) => Math.hypot(box.left + x - left, box.top + y - top)));
      if (room > best.room) best = { room, x, y };
    }
  return { x: best.x, y: best.y };
}"""


def test_a_card_scrolls_to_its_bars_and_the_bars_open_their_card(open_page: Opener) -> None:
    page = open_page(1100, 560).page
    try_sample(page, "Reed crossing")
    page.locator(".card-head").nth(1).click()
    expect(page.locator(".card").nth(1)).to_have_class("card open")
    expect(page.locator('.stretch[data-excursion="1"]').first).to_be_in_viewport()
    page.locator(".desk").evaluate("desk => desk.scrollTo(0, 0)")
    area = page.locator('.stretch[data-excursion="0"] .stretch-area').first
    area.click(position=area.evaluate(PLACE_WITHOUT_NOTE))
    expect(page.locator(".card").nth(0)).to_have_class("card open")


def test_keeping_a_stretch_holds_it_at_every_level(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    first = bars_away(page)[0]
    page.get_by_role("button", name=f"Keep it: {first.lower()}").click()
    wait_until_settled(page)
    page.locator("#option-level").select_option("first")
    wait_until_settled(page)
    assert bars_away(page) == [first], "at this level nothing else leaves first position"
    assert "string crossings instead of" in page.locator(".card .reasons").first.inner_text()


def test_another_way_is_taken_and_taken_back(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Ferry waltz")
    page.locator("#option-level").select_option("all")
    wait_until_settled(page)
    before = bars_away(page), page.locator(".page g.note").evaluate_all(HOW)
    card(page, bars_away(page)[0])
    page.locator(".others button").first.click()
    expect(page.locator(".decisions li")).to_have_count(1)
    wait_until_settled(page)
    assert (bars_away(page), page.locator(".page g.note").evaluate_all(HOW)) != before
    page.get_by_role("button", name="Take back").click()
    wait_until_settled(page)
    assert (bars_away(page), page.locator(".page g.note").evaluate_all(HOW)) == before


@pytest.mark.main_job
def test_a_link_and_a_file_bring_the_same_plan_back(open_page: Opener, sample_scores: dict[str, Path]) -> None:
    page = open_page().page
    drop(page, "for the lesson.musicxml", sample_scores[PIECE].read_bytes())
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    first = bars_away(page)[0]
    decline(page, first)
    wait_until_settled(page)
    options(page)
    page.locator("#option-mark_language").select_option("de")
    wait_until_settled(page)
    wanted = bars_away(page)
    page.locator("#share").click()
    link = page.locator("#link").input_value()
    name, saved = downloaded(page, "Save the plan as a file")
    assert name == "for the lesson.plan.json"
    assert json.loads(saved)["options"] == {"mark_language": "de"}
    pupil = open_page(path=link[link.index("/#") :]).page
    pupil.wait_for_selector(FIRST_NOTE)
    wait_until_settled(pupil)
    assert bars_away(pupil) == wanted
    assert pupil.locator("#option-mark_language").input_value() == "de"
    other = open_page().page
    drop(other, name, saved)
    other.wait_for_selector(FIRST_NOTE)
    wait_until_settled(other)
    assert bars_away(other) == wanted
    expect(other.locator(".decisions li")).to_have_count(1)


def test_a_part_of_a_score_is_chosen_and_a_compressed_file_stays_one(
    open_page: Opener, sample_scores: dict[str, Path]
) -> None:
    page = open_page().page
    page.get_by_role("button", name="Lantern quartet", exact=True).click()
    page.get_by_role("heading", name="Which part?").wait_for()
    page.locator(".piece-button.suited").nth(1).click()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    assert page.locator("#part").input_value() == "P2"
    page.get_by_role("button", name="Another score").click()
    try_sample(page, "Pier march")
    name, marked = downloaded_marked(page)
    assert name == "pier_march.marked.mxl"
    assert marked[:2] == b"PK"
    assert held(clean(marked)) == held(sample_scores["pier_march"].read_bytes())


@pytest.mark.main_job
def test_bad_input_says_what_and_where_and_the_text_stays(open_page: Opener) -> None:
    watched = open_page()
    page = watched.page
    watched.expected.append("status of 4")
    page.get_by_label("Paste MusicXML or ABC").fill('<score-partwise version="4.0">\n<part-list>\n</score-partwise>')
    page.get_by_role("button", name="Read this").click()
    message = page.get_by_role("alert")
    expect(message).to_contain_text("line 3")
    expect(message).to_contain_text("not well-formed")
    assert page.get_by_label("Paste MusicXML or ABC").input_value().startswith("<score-partwise")


def test_pasted_abc_is_read(open_page: Opener) -> None:
    page = open_page().page
    page.get_by_label("Paste MusicXML or ABC").fill("X:1\nT:Jetty air\nM:4/4\nL:1/4\nK:G\nB c d g | a b c' d' |]\n")
    page.get_by_role("button", name="Read this").click()
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    assert page.locator(".page g.note[role]").count() == 8


def test_first_visit_takes_fewer_than_ten_actions(open_page: Opener) -> None:
    page = open_page().page
    actions = 0

    def act(press: str) -> None:
        nonlocal actions
        page.get_by_role("button", name=press).first.click()
        actions += 1

    actions += 1  # opening the page
    act("Reed crossing")
    page.wait_for_selector(FIRST_NOTE)
    wait_until_settled(page)
    reasons = page.locator(".card.open .reasons").inner_text()
    assert "string crossings" in reasons, "one stretch is explained without asking"
    second = bars_away(page)[1]
    act(second)
    act(f"Stay in first: {second.lower()}")
    wait_until_settled(page)
    page.locator("#save").click()
    actions += 1
    downloaded(page, "Marked score")
    actions += 1
    assert actions < 10


def test_a_remark_is_shown_at_its_note_and_the_plan_stays(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Evening on the jetty")
    before = page.locator(".page g.note").evaluate_all(HOW)
    page.locator("#n4 .notehead").click(force=True)  # a half note is hollow
    page.get_by_label("Remark").fill("let it sing")
    page.keyboard.press("Enter")
    wait_until_settled(page)
    expect(page.locator(".page g.dir", has_text="let it sing")).to_have_count(1)
    expect(page.locator(".decisions li")).to_have_count(1)
    assert page.locator(".page g.note").evaluate_all(HOW) == before
    page.locator("#n4 .notehead").click(force=True)  # a half note is hollow
    assert page.get_by_label("Remark").input_value() == "let it sing"
    page.get_by_label("Remark").fill("")
    page.keyboard.press("Enter")
    wait_until_settled(page)
    expect(page.locator(".page g.dir", has_text="let it sing")).to_have_count(0)
