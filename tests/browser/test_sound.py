"""What sounds: frequencies measured with the page's own analyser against f = A4 * 2 ** ((m - 69) / 12), ISO 16."""

from __future__ import annotations

from pathlib import Path

import music21
import pytest
from playwright.sync_api import Page, expect

from rules import VIOLIN, Pitch
from service.config.options import Options
from service.reports.wire.review_data import review_data
from service.usecases.annotate import review_score
from tests.browser.conftest import Opener, downloaded, sound, try_sample, wait_until_settled

pytestmark = pytest.mark.browser

# The strongest line near the frequency that is expected, refined by a parabola through its neighbours; a violin's
# notes lie further apart than the twenty hertz that are searched.
MEASURED = """async (expected) => {
    const { audioNodes } = await import("/page/sound/player.js");
    const { context, analyser } = audioNodes();
    const width = context.sampleRate / analyser.fftSize;
    const levels = new Float32Array(analyser.frequencyBinCount);
    analyser.smoothingTimeConstant = 0;
    analyser.getFloatFrequencyData(levels);
    const around = Math.round(expected / width);
    let best = around - 14;
    for (let at = around - 14; at <= around + 14; at += 1) if (levels[at] > levels[best]) best = at;
    const [a, b, c] = [levels[best - 1], levels[best], levels[best + 1]];
    return { state: context.state, level: b, hertz: (best + (a - c) / (2 * (a - 2 * b + c))) * width };
}"""
TOLERANCE = 0.6  # hertz: less than half of the analyser's own width


def measure(page: Page, expected: float) -> float:
    page.wait_for_timeout(900)
    found = page.evaluate(MEASURED, expected)
    assert found["state"] == "running"
    assert found["level"] > -60, "nothing sounds"
    return float(found["hertz"])


@pytest.mark.parametrize("a4", [440, 415])
def test_open_strings_sound_at_their_pitch(open_page: Opener, a4: int) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    sound(page)
    page.locator("#a4").fill(str(a4))
    for string, pitch in enumerate(VIOLIN.open_strings):
        page.locator("#open-string").select_option(str(string))
        page.get_by_role("button", name="Open string", exact=True).click()
        expected = a4 * 2 ** ((pitch.midi - 69) / 12)
        assert measure(page, expected) == pytest.approx(expected, abs=TOLERANCE)


def test_the_anchor_sounds_and_stops_at_once(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    sound(page)
    page.get_by_role("button", name="Anchor note").click()
    # The hand arrives on the D string; in third position the first finger stands there on G4 (common practice).
    assert measure(page, 392.0) == pytest.approx(392.0, abs=TOLERANCE)
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Stop", exact=True).click()
    page.wait_for_timeout(60)
    loudest = page.evaluate("""async () => {
        const { analyser } = (await import("/page/sound/player.js")).audioNodes();
        const samples = new Float32Array(analyser.fftSize);
        analyser.getFloatTimeDomainData(samples);
        return Math.max(...samples.slice(-256).map(Math.abs));
    }""")
    assert loudest < 1e-4


def test_both_forms_play_the_same_pitches_and_show_where_they_are(
    open_page: Opener, sample_scores: dict[str, Path]
) -> None:
    (part,) = review_data(review_score(sample_scores["evening_on_the_jetty"].read_bytes(), Options()))["parts"]
    pitches = [row["pitch"] for row in part["plan"]]
    page = open_page().page
    try_sample(page, "Evening on the jetty")
    sound(page)
    page.locator("#tempo").fill("40")
    page.keyboard.press("Escape")
    for form in ("In first", "As planned"):
        page.locator(".player").get_by_role("button", name=form, exact=True).click()
        page.wait_for_selector(".page g.note.sounding")
        row = int(page.locator(".page g.note.sounding").first.get_attribute("id")[1:])
        expected = 440 * 2 ** ((Pitch.named(pitches[row]).midi - 69) / 12)
        assert measure(page, expected) == pytest.approx(expected, abs=1.0)
        page.keyboard.press("Escape")
        assert page.locator(".page g.note.sounding").count() == 0


def play(page: Page, **fields: str) -> None:
    """Set fields of the panel, close it, and play as planned."""
    sound(page)
    for name, value in fields.items():
        field = page.locator(f"#{name}")
        if field.evaluate("one => one.tagName") == "SELECT":
            field.select_option(value)
        else:
            field.fill(value)
    page.keyboard.press("Escape")
    page.get_by_role("button", name="As planned", exact=True).click()


SOUNDING = "() => [...document.querySelectorAll('.page g.note.sounding')].map((note) => note.id).join()"


@pytest.mark.main_job
def test_playing_is_paused_and_goes_on_where_it_was(open_page: Opener) -> None:
    page = open_page(360, 740).page
    try_sample(page, "Evening on the jetty")
    play(page, tempo="60")
    page.wait_for_selector(".page g.note.sounding")
    expect(page.locator(".page g.note.sounding").first).to_be_in_viewport()
    page.wait_for_timeout(3500)
    page.get_by_role("button", name="Pause: As planned").click()
    page.wait_for_timeout(300)
    held = page.evaluate(SOUNDING)
    page.wait_for_timeout(1500)
    assert page.evaluate(SOUNDING) == held, "nothing moves while it is paused"
    page.get_by_role("button", name="As planned", exact=True).click()
    page.wait_for_function(f"(held) => ({SOUNDING})() !== held", arg=held)
    row = int(page.evaluate(SOUNDING).split(",")[0][1:])
    assert row > int(held.split(",")[0][1:]), "it goes on, it does not begin anew"
    page.get_by_role("button", name="Stop", exact=True).click()
    assert page.evaluate(SOUNDING) == ""


def test_pressing_a_note_or_a_bar_while_it_plays_goes_on_from_there(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Evening on the jetty")
    play(page, **{"from-bar": "0", "to-bar": "2", "tempo": "40"})
    page.wait_for_selector(".page g.note.sounding")
    page.locator("#n2 .notehead").click()
    assert page.evaluate(SOUNDING) == "n2"
    page.wait_for_selector("#n3.sounding")
    expect(page.get_by_role("dialog")).to_have_count(0)
    beyond = page.locator("#n12 .notehead").bounding_box()
    assert beyond is not None
    page.mouse.click(beyond["x"] + 5, beyond["y"] + 60)  # between the lines, after the bars that play
    page.wait_for_selector("#n13.sounding")
    page.get_by_role("slider", name="The piece at a glance").press("Home")
    page.wait_for_selector("#n1.sounding")


def test_a_decision_while_it_is_paused_does_not_lose_the_place(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Evening on the jetty")
    play(page, tempo="40")
    page.locator("#n2 .notehead").click()
    page.wait_for_selector("#n2.sounding")
    page.get_by_role("button", name="Pause: As planned").click()
    page.locator("#n1 .notehead").click()
    page.get_by_role("dialog").get_by_role("textbox").fill("Sing!")
    page.get_by_role("dialog").get_by_role("textbox").press("Enter")
    wait_until_settled(page)
    page.get_by_role("button", name="As planned", exact=True).click()
    page.wait_for_selector(".page g.note.sounding")
    assert page.evaluate(SOUNDING) == "n2"


def test_the_part_is_saved_as_midi_with_its_repeats(
    open_page: Opener, sample_scores: dict[str, Path], tmp_path: Path
) -> None:
    page = open_page().page
    try_sample(page, "Pier march")
    page.locator("#save").click()
    name, saved = downloaded(page, "MIDI file")
    assert name == "pier_march.part.mid"
    (tmp_path / name).write_bytes(saved)
    played = music21.converter.parse(tmp_path / name)
    written = music21.converter.parse(sample_scores["pier_march"])
    unfolded = written.expandRepeats().stripTies()
    sounding = [
        [pitch.midi for pitch in note.pitches] for note in unfolded.flatten().notes if not note.duration.isGrace
    ]
    heard = [[pitch.midi for pitch in note.pitches] for note in played.flatten().notes]
    assert len(written.flatten().notes) < len(heard)
    assert heard == sounding
    assert played.duration.quarterLength == unfolded.duration.quarterLength
    assert [mark.ratioString for mark in played.flatten().getElementsByClass("TimeSignature")] == [
        mark.ratioString for mark in written.flatten().getElementsByClass("TimeSignature")
    ]


def test_a_looped_stretch_comes_again_and_faster(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    sound(page)
    page.locator("#from-bar").select_option("0")
    page.locator("#to-bar").select_option("0")
    page.keyboard.press("Escape")
    page.get_by_role("button", name="Loop").click()
    play(page, tempo="60", faster="10")
    page.wait_for_selector("#n3.sounding")
    page.wait_for_selector("#n0.sounding")
    sound(page)
    tempo = int(page.locator("#tempo").input_value())
    rounds = round((tempo - 60) / (0.1 * 108))
    assert rounds >= 1
    assert tempo == pytest.approx(min(60 + rounds * 0.1 * 108, 108), abs=1)


def test_a_bar_is_counted_in_and_playing_begins_at_a_note(open_page: Opener) -> None:
    page = open_page().page
    try_sample(page, "Reed crossing")
    sound(page)
    page.locator("#count-in").check()
    page.locator("#click").check()
    page.locator("#tempo").fill("40")
    page.keyboard.press("Escape")
    page.locator("#n5 .notehead").click()
    page.get_by_role("button", name="Play from here").click()
    page.wait_for_timeout(500)
    assert page.evaluate(SOUNDING) == "", "two beats at 40 take three seconds"
    page.wait_for_selector(".page g.note.sounding")
    assert page.evaluate(SOUNDING) == "n5"


def test_a_browser_without_a_place_of_the_listener_plays_too(open_page: Opener) -> None:
    """Firefox has no `AudioListener.positionX` and the like (Web Audio API, 1.12); seen in 153."""
    page = open_page().page
    page.evaluate("""() => {
        for (const name of ["position", "forward", "up"])
            for (const axis of "XYZ") delete AudioListener.prototype[name + axis];
    }""")
    try_sample(page, "Reed crossing")
    play(page, tempo="60")
    page.wait_for_selector(".page g.note.sounding")
