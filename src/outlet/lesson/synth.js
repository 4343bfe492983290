// SPDX-License-Identifier: MIT
// Sound from the numbers that the program's engine has: partials of lasting notes, modes of struck
// ones, the room. Pure, but for the browser's buffers. Invariant: what is made here is what the
// page's sound files hold, but for the noise of breath.
"use strict";

const TURN = 2 ** 32;
const CHUNK = 64;

// Raised cosine, 0 to 1.
const rise = (x) => (x <= 0 ? 0 : x >= 1 ? 1 : 0.5 - 0.5 * Math.cos(Math.PI * x));

const angle = (start, step, count) => (((step * count) % TURN) + start) % TURN * (2 * Math.PI / TURN);

// Adds a partial over the whole length; `gain(chunk)` is its level at each chunk's beginning.
function addPartial(out, step, start, gain) {
  const turn = (step % TURN) * (2 * Math.PI / TURN);
  const c = Math.cos(turn);
  const s = Math.sin(turn);
  const perChunk = (step * CHUNK) % TURN;
  let g = gain(0);
  for (let at = 0, chunk = 0; at < out.length; at += CHUNK, chunk++) {
    const to = gain(chunk + 1);
    const slope = (to - g) / CHUNK;
    const phase = angle(start, perChunk, chunk);
    let x = Math.sin(phase);
    let y = Math.cos(phase);
    const end = Math.min(at + CHUNK, out.length);
    for (let i = at; i < end; i++) {
      out[i] += g * x;
      g += slope;
      const turned = x * c + y * s;
      y = y * c - x * s;
      x = turned;
    }
    g = to;
  }
}

function driftGain(row, note) {
  const [, level, , step1, start1, step2, start2, beat] = row;
  return (chunk) => {
    const drift = 0.62 * Math.sin(angle(start1, step1, chunk)) + 0.38 * Math.sin(angle(start2, step2, chunk));
    const beats = note.beatDepth ? 1 + note.beatDepth * Math.sin(angle(beat, note.beatStep, chunk)) : 1;
    return level * (1 + note.depth * drift) * beats;
  };
}

// Noise between two low-passes, its end led into its beginning.
function addBreath(out, note) {
  const blend = Math.min(4800, out.length >> 1);
  const noise = new Float32Array(out.length + blend);
  let high = 0;
  let low = 0;
  for (let i = -2000; i < noise.length; i++) {
    const white = 2 * Math.random() - 1;
    high = note.high * high + (1 - note.high) * white;
    low = note.low * low + (1 - note.low) * white;
    if (i >= 0) noise[i] = note.breath * (high - low);
  }
  for (let i = 0; i < out.length; i++) {
    const w = i < blend ? i / blend : 1;
    out[i] += noise[i] * Math.sqrt(w) + (w < 1 ? noise[out.length + i] * Math.sqrt(1 - w) : 0);
  }
}

// Lets the page breathe between two pieces of work.
const breathe = () => new Promise((done) => setTimeout(done));

async function lastingLoop(numbers) {
  const sides = [new Float32Array(numbers.period), new Float32Array(numbers.period)];
  for (const note of numbers.notes) {
    const mono = new Float32Array(numbers.period);
    for (const row of note.partials) {
      addPartial(mono, row[0], row[2], driftGain(row, note));
      if (mono.length > 200000) await breathe();
    }
    if (note.breath) addBreath(mono, note);
    for (let i = 0; i < mono.length; i++) {
      sides[0][i] += mono[i] * note.left;
      sides[1][i] += mono[i] * note.right;
    }
  }
  return sides;
}

// ---- struck notes

// How long until a note has fallen by 80 dB, at most 12 s.
const ringing = (note, rate) =>
  Math.round(rate * Math.min(12, 0.5 + 9.21 / Math.min(...note.partials.map((row) => row[2]))));

function struckNote(note, rate) {
  const out = new Float32Array(ringing(note, rate));
  for (const [step, gain, damping] of note.partials) {
    const fall = Math.exp((-damping * CHUNK) / rate);
    addPartial(out, step, 0, (chunk) => gain * fall ** chunk);
  }
  for (let i = 0; i < note.attack && i < out.length; i++) out[i] *= rise(i / note.attack);
  const fade = Math.round(0.3 * rate);
  for (let i = 0; i < fade && i < out.length; i++) out[out.length - 1 - i] *= rise(i / fade);
  return out;
}

const staggerOf = (rate) => Math.round(0.06 * rate);

// Every strike comes round: what rings over the end is at the beginning, damped under the next.
function struckLoop(numbers, rate) {
  const { period } = numbers;
  const sides = [new Float32Array(period), new Float32Array(period)];
  const damp = Math.round(0.2 * rate);
  numbers.notes.forEach((note, index) => {
    const rung = struckNote(note, rate);
    const from = index * staggerOf(rate);
    for (let i = 0; i < Math.min(rung.length, period + damp); i++) {
      const x = i < period ? rung[i] : rung[i] * (1 - rise((i - period) / damp));
      sides[0][(from + i) % period] += x * note.left;
      sides[1][(from + i) % period] += x * note.right;
    }
  });
  return sides;
}

// Added notes, low to high 60 ms apart, half the width on either side.
function clipOf(notes, struck, rate) {
  const rung = notes.map((midi) => struckNote(struck[midi], rate));
  const stagger = staggerOf(rate);
  const length = Math.max(...rung.map((note, index) => note.length + index * stagger));
  const sides = [new Float32Array(length), new Float32Array(length)];
  rung.forEach((note, index) => {
    const place = notes.length > 1 ? 0.5 * ((2 * index) / (notes.length - 1) - 1) : 0;
    const turn = ((place + 1) * Math.PI) / 4;
    for (let i = 0; i < note.length; i++) {
      sides[0][index * stagger + i] += note[i] * Math.cos(turn);
      sides[1][index * stagger + i] += note[i] * Math.sin(turn);
    }
  });
  return sides;
}

// A beat that is counted in: as src/sound/tick.c has it.
function tickBuffer(accent, volume, rate) {
  const length = Math.round(0.2 * rate);
  const out = new Float32Array(length);
  const turn = (2 * Math.PI * (accent ? 4000 / 3 : 1000)) / rate;
  for (let i = 0; i < length; i++)
    out[i] = volume * 10 ** (-18 / 20) * rise(i / (0.001 * rate)) * 10 ** (-i / (0.02 * rate)) * Math.sin(turn * i);
  const buffer = new AudioBuffer({ numberOfChannels: 2, length, sampleRate: rate });
  for (const ear of [0, 1]) buffer.copyToChannel(out, ear);
  return buffer;
}

// ---- the room: the feedback delay network of src/sound/room.c, sample by sample

function allpass(delay) {
  const ring = new Float64Array(delay);
  let at = 0;
  return (x) => {
    const old = ring[at];
    const fresh = x + 0.6 * old;
    ring[at] = fresh;
    at = at + 1 === delay ? 0 : at + 1;
    return old - 0.6 * fresh;
  };
}

// What comes into one side: without the lowest, and diffused.
function entrance(room, side) {
  const [first, second, third, fourth] = room.diffusers[side].map(allpass);
  let state = 0;
  let before = 0;
  return (x) => {
    state = room.highPass * (state + x - before);
    before = x;
    return fourth(third(second(first(state))));
  };
}

// Hadamard's matrix of order 16, a quarter of it, in place.
function mix(x) {
  for (let half = 1; half < 16; half *= 2)
    for (let i = 0; i < 16; i++)
      if (!(i & half)) {
        const low = x[i];
        const high = x[i | half];
        x[i] = low + high;
        x[i | half] = low - high;
      }
  for (let i = 0; i < 16; i++) x[i] *= 0.25;
}

class Room {
  constructor(room) {
    this.enter = [entrance(room, 0), entrance(room, 1)];
    this.delay = Int32Array.from(room.lines, (line) => line[0]);
    this.take = Float64Array.from(room.lines, (line) => line[1]);
    this.keep = Float64Array.from(room.lines, (line) => line[2]);
    this.sign = Float64Array.from(room.lines, (line) => line[3] * room.out);
    this.rings = room.lines.map(([delay]) => new Float64Array(delay));
    this.at = new Int32Array(16);
    this.row = new Float64Array(16);
    this.kept = new Float64Array(16);
    this.left = 0; // what is heard of the last sample
    this.right = 0;
  }

  pass(left, right) {
    const { row, kept, at, rings } = this;
    const fed = [this.enter[0](left), this.enter[1](right)];
    this.left = this.right = 0;
    for (let n = 0; n < 16; n++) {
      row[n] = kept[n] = this.take[n] * rings[n][at[n]] + this.keep[n] * kept[n];
      if (n & 1) this.right += this.sign[n] * row[n];
      else this.left += this.sign[n] * row[n];
    }
    mix(row);
    for (let n = 0; n < 16; n++) {
      rings[n][at[n]] = row[n] + fed[n & 1];
      at[n] = at[n] + 1 === this.delay[n] ? 0 : at[n] + 1;
    }
  }
}

const roomSeconds = 2.6;

// The sound with its room, at a volume. A loop goes round until the room is full; then one period
// is taken, of struck notes from a strike on.
async function furnish(sides, kind, send, lesson) {
  const { rate, volume } = lesson;
  const length = sides[0].length;
  const tail = Math.round(roomSeconds * rate);
  const loops = kind !== "clip";
  const before = !loops ? 0 : kind === "struck" ? Math.ceil(tail / length) * length : tail;
  const total = loops ? length : length + tail;
  const buffer = new AudioBuffer({ numberOfChannels: 2, length: total, sampleRate: rate });
  const [left, right] = [0, 1].map((ear) => buffer.getChannelData(ear));
  const room = new Room(lesson.room);
  for (let i = 0; i < before + total; i++) {
    const from = loops ? i % length : i;
    const l = from < length ? sides[0][from] : 0;
    const r = from < length ? sides[1][from] : 0;
    if (send > 0) room.pass(l * send, r * send);
    if (i >= before) {
      left[i - before] = volume * (l + room.left);
      right[i - before] = volume * (r + room.right);
    }
    if (i % 100000 === 0) await breathe();
  }
  return buffer;
}

// The two kinds of sound, by their numbers in the lesson.
class Synth {
  constructor(lesson) {
    this.lesson = lesson;
  }

  async loop(index) {
    const { rate, loops, room } = this.lesson;
    const numbers = loops[index];
    const sides = numbers.struck ? struckLoop(numbers, rate) : await lastingLoop(numbers);
    return furnish(sides, numbers.struck ? "struck" : "lasting", room.held, this.lesson);
  }

  async clip(index) {
    const { rate, clips, struck, room } = this.lesson;
    return furnish(clipOf(clips[index], struck, rate), "clip", room.added, this.lesson);
  }
}
