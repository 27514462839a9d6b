"""In a real browser: the sound is the one that was worked out, it waits, and a blind test can be done."""

import io
from base64 import b64decode

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from scipy.io import wavfile

pytestmark = [pytest.mark.browser, pytest.mark.long]

RATE, COUNT = 48000, 4 * 48000
FULL = 10 ** (-3 / 20)  # the highest peak, 3 dB under full scale
# what the player has: its file, and the samples as the browser itself decodes that
DECODED = """async (player) => {
  const file = await (await fetch(player.src)).arrayBuffer(), bytes = new Uint8Array(file.slice(0));
  const context = new OfflineAudioContext(1, 1, 48000), sound = await context.decodeAudioData(file);
  const text = (of) => {
    let all = "";
    for (let n = 0; n < of.length; n += 32768) all += String.fromCharCode(...of.subarray(n, n + 32768));
    return btoa(all);
  };
  const samples = sound.getChannelData(0);
  return { channels: sound.numberOfChannels, file: text(bytes), samples: text(new Uint8Array(samples.buffer)) };
}"""
STANDS = "player => [player.paused, player.loop, player.autoplay, player.volume, player.readyState]"


def opened(visit):
    visitor = visit()
    visitor.open_live("hear_the_difference.ipynb")
    visitor.page.get_by_role("button", name="Make the sound").wait_for()
    return visitor


def made(visitor):
    page = visitor.page
    page.get_by_role("button", name="Make the sound").click()
    page.get_by_text("Making it…").or_(page.get_by_text("Ready: 4 s of A")).wait_for()
    page.get_by_text("Ready: 4 s of A").wait_for()
    player = page.locator(".lb-ear audio")
    visitor.until(lambda: player.evaluate(STANDS)[-1] >= 2, "the player has nothing to play")
    return player


def samples_of(player):
    got = player.evaluate(DECODED)
    assert got["channels"] == 1
    rate, written = wavfile.read(io.BytesIO(b64decode(got["file"])))
    assert rate == RATE
    return written, np.frombuffer(b64decode(got["samples"]), "<f4")


def test_the_browser_decodes_the_very_samples_and_waits_to_be_started(visit):
    visitor = opened(visit)
    made(visitor)
    player = made(visitor)  # what is made again is told again
    written, decoded = samples_of(player)
    assert len(decoded) == 2 * COUNT
    assert np.array_equal(decoded, written)
    assert 0.01 < np.abs(decoded).max() <= FULL + 1e-6
    for joint in (0, COUNT - 1, COUNT, -1):
        assert decoded[joint] == pytest.approx(0, abs=1e-6)
    paused, loops, by_itself, volume, _ = player.evaluate(STANDS)
    assert (paused, loops, by_itself) == (True, True, False)
    assert volume <= 0.25, "softly at first"
    assert visitor.page.get_by_text("Loud sound harms hearing for good").first.is_visible()
    visitor.page.wait_for_timeout(500)
    assert player.evaluate("player => player.currentTime") == 0
    player.evaluate("player => player.play()")
    visitor.page.get_by_text("now: A").wait_for()
    player.evaluate("player => { player.currentTime = 5 }")
    visitor.page.get_by_text("now: B").wait_for()
    assert visitor.wrong == []


def test_ten_guesses_by_what_stands_to_be_read_and_pressed(visit):
    """Who always says A is right as often as A came first, which the samples tell."""
    visitor = opened(visit)
    page = visitor.page
    player = made(visitor)
    pair, _ = samples_of(player)
    page.locator("summary", has_text="Blind test").click()
    page.get_by_role("button", name="Begin the blind test").click()
    right = 0
    for trial in range(1, 11):
        page.get_by_text(f"Trial {trial} of 10").wait_for()
        visitor.until(lambda: player.evaluate(STANDS)[-1] >= 2, "no sound for a trial")
        right += np.array_equal(samples_of(player)[0][:COUNT], pair[:COUNT])
        assert player.evaluate(STANDS)[0], "it plays by itself"
        page.get_by_role("button", name="A came first").click()
    page.get_by_text(f"{right} of 10 right.").wait_for()
    assert visitor.wrong == []


def test_a_file_of_ones_own_is_read_here_and_reaches_nobody_else(visit, tmp_path):
    visitor = opened(visit)
    page = visitor.page
    tone = 0.3 * np.sin(2 * np.pi * 220 * np.arange(6 * RATE) / RATE)
    wavfile.write(tmp_path / "mine.wav", RATE, np.stack([tone, tone], axis=1).astype("<f4"))
    (tmp_path / "words.wav").write_text("this is no sound")
    page.get_by_label("Play", exact=True).select_option("my own file")
    own = page.get_by_label("Music of your own")
    own.wait_for()
    page.get_by_role("button", name="Make the sound").click()
    page.get_by_text("Choose a file of your own first").wait_for()
    own.set_input_files(tmp_path / "words.wav")
    page.get_by_text("words.wav: this browser cannot read it").wait_for()
    page.get_by_label("Starts at, in seconds").fill("3")
    own.set_input_files(tmp_path / "mine.wav")
    page.get_by_text("4 s are needed, 3.0 s follow from there").wait_for()
    page.get_by_label("Starts at, in seconds").fill("1")
    page.keyboard.press("Tab")
    page.get_by_text("mine.wav is taken").wait_for()
    written, _ = samples_of(made(visitor))
    half = written[RATE : 3 * RATE]
    assert np.argmax(np.abs(np.fft.rfft(half))) == 440, "220 Hz in two seconds"
    assert visitor.outside == set()


@pytest.mark.parametrize("width", [1366, 390])
def test_nothing_keeps_people_from_using_it(visit, width):
    visitor = opened(visit)
    visitor.page.set_viewport_size({"width": width, "height": 800})
    made(visitor)
    visitor.page.locator("summary", has_text="Blind test").click()
    found = Axe().run(visitor.page, options={"runOnly": ["wcag2a", "wcag2aa"]}).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"][:200]) for one in found] == []
    assert visitor.page.evaluate("document.documentElement.scrollWidth") <= width
