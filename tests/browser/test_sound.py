"""What sounds: frequencies measured with the page's own analyser against f = A4 * 2 ** ((m - 69) / 12), ISO 16."""

from __future__ import annotations

from pathlib import Path

import pytest
from playwright.sync_api import Page

from rules import VIOLIN, Pitch
from service.config.options import Options
from service.reports.wire.review_data import review_data
from service.usecases.annotate import review_score
from tests.browser.conftest import Opener, sound, try_sample

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
    for form in ("In first position", "As planned"):
        page.locator(".player").get_by_role("button", name=form).click()
        page.wait_for_selector(".page g.note.sounding")
        row = int(page.locator(".page g.note.sounding").first.get_attribute("id")[1:])
        expected = 440 * 2 ** ((Pitch.named(pitches[row]).midi - 69) / 12)
        assert measure(page, expected) == pytest.approx(expected, abs=1.0)
        page.keyboard.press("Escape")
        assert page.locator(".page g.note.sounding").count() == 0
