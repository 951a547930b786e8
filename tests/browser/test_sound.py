"""Listening to a bar: what is struck, when, at which pitch, and that it can be stopped."""

from __future__ import annotations

import pytest

from tests.browser.conftest import Page

#: Writes down every tone that is told to begin, instead of only playing it.
SPY = """window.struck = []; window.stopped = 0;
for (const kind of [AudioBufferSourceNode, OscillatorNode]) {
  const [start, stop] = [kind.prototype.start, kind.prototype.stop];
  kind.prototype.start = function (at) { window.struck.push([kind.name, at,
    this.buffer ? this.buffer : this.frequency.value]); return start.call(this, at); };
  kind.prototype.stop = function (at) { if (at === undefined) window.stopped += 1; return stop.call(this, at); };
}"""

STRUCK = "return window.struck.map(([kind, at]) => [kind, at])"


def test_the_notes_of_a_bar_are_struck_in_its_rhythm(page: Page) -> None:
    page.open("all signs #1", "#b4")
    page.run(SPY + "document.getElementById('pace').value = 120")
    page.press("l")
    struck = page.run(STRUCK)
    # X,4:2,3:3 for a whole note, and the voice beside it: four at once.
    assert sorted(kind for kind, _ in struck) == ["AudioBufferSourceNode"] * 3 + ["OscillatorNode"]
    assert max(at for _, at in struck) - min(at for _, at in struck) < 1e-6
    assert page.wait("return document.querySelector('#text .sounding')")
    page.press("x")
    assert page.run("return window.stopped") == 4
    assert page.run("return document.getElementById('stop').disabled && playing === null")
    page.run("window.struck = []; choose('b1', '')")
    page.press("l")
    times = sorted({round(at, 4) for kind, at in page.run(STRUCK) if kind == "AudioBufferSourceNode"})
    # Four crotchets at 120 a minute: the third is a quaver in the source, emended.
    assert [round(later - times[0], 3) for later in times] == [0.0, 0.5, 1.0, 1.5]
    page.press("x")


def test_on_from_here_goes_on_and_stops_at_the_end(page: Page) -> None:
    page.open("all signs #1", "#b3")
    page.run(SPY + "document.getElementById('pace').value = 240")
    page.press("L")
    first = page.run("return window.struck.length")
    page.wait("return window.struck.length > arguments[0]", first)
    page.wait("return playing === null", seconds=6)
    assert page.chosen == "b3"


@pytest.mark.parametrize(("pitch", "hertz"), [(69, 415.0), (57, 207.5), (31, 46.19), (76, 621.81)])
def test_a_string_sounds_at_its_pitch(page: Page, pitch: int, hertz: float) -> None:
    """f = a4 · 2^((n - 69) / 12) (MIDI note numbers with ISO 16), measured by autocorrelation of the sound itself."""
    page.open("all signs #1")
    measured = page.run(
        """facts.pitch = 415; listenable();
        const sound = string(arguments[0]).getChannelData(0), rate = ears.context.sampleRate, from = 9000,
          length = 12000;
        const alike = (lag) => { let sum = 0; for (let at = from; at < from + length;
          at += 1) sum += sound[at] * sound[at + lag]; return sum; };
        const guess = rate / arguments[1]; let best = 0, most = -Infinity;
        for (let lag = Math.floor(guess * 0.8); lag <= guess * 1.25;
          lag += 1) if (alike(lag) > most) [best, most] = [lag, alike(lag)];
        const [a, b, c] = [alike(best - 1), alike(best), alike(best + 1)];
        return rate / (best + (a - c) / (2 * (a - 2 * b + c)))""",
        pitch,
        hertz,
    )
    assert abs(1200 * (measured / hertz - 1) / 0.6931) < 8, measured  # cents
