// Listening: plucked strings made on the spot, a softer tone for what is sung.

let ears = null; // {context, out, strings}
let playing = null; // {timers, sources}

function listenable() {
  if (!ears) {
    const context = new AudioContext();
    const out = context.createDynamicsCompressor();
    const loudness = context.createGain();
    loudness.gain.value = 0.5;
    loudness.connect(out).connect(context.destination);
    ears = { context, out: loudness, strings: new Map() };
  }
  ears.context.resume();
  return ears;
}

const hertz = (pitch) => facts.pitch * 2 ** ((pitch - 69) / 12);

// A plucked string: a burst of noise that runs round a loop and is dulled a little each time. The loop is filled by a
// fixed row of numbers, so that a string sounds the same every time; reading it between samples keeps it in tune.
function string(pitch) {
  const { context, strings } = ears;
  if (strings.has(pitch)) return strings.get(pitch);
  const rate = context.sampleRate;
  const length = Math.round(rate * 2.6);
  const loop = rate / hertz(pitch) - 0.5;
  const whole = Math.floor(loop);
  const part = loop - whole;
  const buffer = context.createBuffer(1, length, rate);
  const out = buffer.getChannelData(0);
  let seed = 20011 + pitch;
  for (let place = 0; place <= whole + 1; place += 1) {
    seed = (seed * 16807) % 2147483647;
    out[place] = (seed / 2147483647 - 0.5) * 1.2;
  }
  const softer = pitch < 50 ? 3 : 2; // gut, plucked with the flesh
  for (let time = 0; time < softer; time += 1) for (let place = whole + 1; place > 0; place -= 1) out[place] = (out[place] + out[place - 1]) / 2;
  for (let place = whole + 2; place < length; place += 1) {
    const before = (1 - part) * out[place - whole] + part * out[place - whole - 1];
    const older = (1 - part) * out[place - whole - 1] + part * out[place - whole - 2 < 0 ? 0 : place - whole - 2];
    out[place] = 0.4985 * (before + older);
  }
  strings.set(pitch, buffer);
  return buffer;
}

function sound(pitch, at, length, who) {
  const { context, out } = ears;
  const gain = context.createGain();
  let source;
  if (who === 0) {
    source = context.createBufferSource();
    source.buffer = string(pitch);
    gain.gain.setValueAtTime(0.8, at);
    gain.gain.setTargetAtTime(0, at + length, 0.12);
  } else {
    source = context.createOscillator();
    source.type = "triangle";
    source.frequency.value = hertz(pitch);
    gain.gain.setValueAtTime(0, at);
    gain.gain.linearRampToValueAtTime(0.35, at + 0.04);
    gain.gain.setTargetAtTime(0, at + Math.max(0.05, length - 0.06), 0.04);
  }
  source.connect(gain).connect(out);
  source.start(at);
  source.stop(at + length + 0.7);
  playing.sources.push(source);
}

const seconds = (short) => (short / 1000) * (60 / (Number(byId("pace").value) || facts.pace));

// The pitch of a tone under the readings that are shown: a note at its other octave is heard there too.
function heardPitches(number, tones, events) {
  const pitches = tones.filter((_, at) => at % 4 === 2);
  for (const name of now.other) {
    if (barOf(name) !== number) continue;
    const event = Number(/e(\d+)/.exec(name)[1]) - 1;
    const item = handByName.get(name).find((each) => each.dataset.octaves);
    const here = (onset) => onset >= events[event] && (events[event + 1] === undefined || onset < events[event + 1]);
    // Of a unison only one string is heard elsewhere.
    const tone = pitches.findIndex(
      (pitch, at) => here(tones[4 * at]) && pitch === tones[4 * at + 2] && pitch === midi(item.dataset.sounding));
    if (tone >= 0) pitches[tone] += 12 * Number(item.dataset.octaves);
  }
  return pitches;
}

function midi(name) {
  const [, step, alter, octave] = /^([A-G])([#b]*)(-?\d+)$/.exec(name);
  return 12 * (Number(octave) + 1) + { C: 0, D: 2, E: 4, F: 5, G: 7, A: 9, B: 11 }[step] + [...alter].reduce((sum, sign) => sum + (sign === "#" ? 1 : -1), 0);
}

function begin() {
  hush();
  listenable();
  playing = { timers: [], sources: [] };
  byId("stop").disabled = false;
  return ears.context.currentTime + 0.08;
}

// --- one sign ---------------------------------------------------------------------------------------------

// What is heard of a sign, or of all signs of an event: [MIDI number, who plays it].
function soundsOf(name) {
  if (isEvent(name)) return stopsOf(name).flatMap((sign) => soundsOf(sign.id));
  const word = wordOf(name);
  if (word) return soundsOf(word[1]);
  const sign = signs.get(name);
  const said = sign && /^(?:.*: )?([A-G][#b]*-?\d+), /.exec(sign.says);
  if (!said) return [];
  const item = now.other.has(name) && questionOf(name);
  return [[midi(said[1]) + (item ? 12 * Number(item.dataset.octaves) : 0), isStop(name) ? 0 : 1]];
}

const questionOf = (name) => (handByName.get(name) || []).find((each) => each.dataset.octaves);
const ALONE = 1.6; // seconds that a sign is heard by itself

function hear(name) {
  const sounds = soundsOf(name);
  if (!sounds.length) return;
  const at = begin();
  for (const [pitch, who] of sounds) sound(pitch, at, ALONE, who);
  sounding(name);
  later(hush, (ALONE + 0.4) * 1000);
}

// First as it sounds, then as the line may be meant.
function hearBoth(name) {
  const item = questionOf(name);
  if (!item) return;
  const at = begin();
  const pitch = midi(item.dataset.sounding);
  sound(pitch, at, 0.9, 0);
  sound(pitch + 12 * Number(item.dataset.octaves), at + 1, 0.9, 0);
  sounding(name);
  later(hush, 2400);
}

// --- bars -------------------------------------------------------------------------------------------------

// The bar chosen, or all from there; with the loop, so many bars over and over.
function listen(onward) {
  if (!bars.length) return;
  const first = barOf(now.chosen) || 1;
  const many = Math.max(1, Number(byId("many").value) || 1);
  const last = Math.min(bars.length, onward ? bars.length : byId("loop").checked ? first + many - 1 : first);
  playBars(first, first, last, begin());
}

function playBars(number, first, last, start) {
  const heard = facts.heard[number - 1];
  if (!heard) return hush();
  const [length, tones, events] = heard;
  heardPitches(number, tones, events).forEach((pitch, place) => {
    const [onset, lasts, , who] = tones.slice(4 * place, 4 * place + 4);
    sound(pitch, start + seconds(onset), seconds(lasts), who);
  });
  const wait = (start - ears.context.currentTime) * 1000;
  events.forEach((onset, place) => later(() => sounding(`b${number}e${place + 1}`), wait + seconds(onset) * 1000));
  const next = number < last ? number + 1 : byId("loop").checked ? first : 0;
  const lasts = Math.max(seconds(length), 0.05);
  if (next) later(() => playBars(next, first, last, start + lasts), wait + lasts * 1000 - 60);
  else later(hush, wait + seconds(length) * 1000 + 900);
}

function later(work, milliseconds) {
  playing.timers.push(setTimeout(work, Math.max(0, milliseconds)));
}

// Show what is heard, without choosing it.
function sounding(name) {
  unsounding();
  followSource(name);
  for (const sheet of sheetsOf(name)) {
    draw(sheet);
    haloFor(sheet, name, "sounding", 60);
    const first = sheet.root.querySelector(".sounding");
    if (first) bring(scorePane, first);
  }
  const sign = signs.get(name);
  for (const each of sign ? stretches(0, sign.line) : []) if (each.start >= sign.start && each.end <= sign.end) each.node.classList.add("sounding");
}

function unsounding() {
  for (const sheet of drawnSheets()) for (const old of all(".sounding", sheet.root)) old.remove();
  for (const node of all("#text .sounding")) node.classList.remove("sounding");
}

function hush() {
  if (!playing) return;
  for (const timer of playing.timers) clearTimeout(timer);
  for (const source of playing.sources) source.stop();
  playing = null;
  byId("stop").disabled = true;
  unsounding();
}

byId("listen").addEventListener("click", () => listen(false));
byId("onward").addEventListener("click", () => listen(true));
byId("stop").addEventListener("click", hush);
