// SPDX-License-Identifier: MIT
// Sound from the numbers that the program's engine has: partials of lasting notes, modes of struck
// ones, the room. Pure but for bake, which lets the browser convolve. Invariant: what is made here
// is what the page's sound files hold, but for the noise of breath.
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

// ---- the room

function diffuser(delay) {
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

// Hadamard's matrix of order 16, a quarter of it, in place.
function mixed(x) {
  for (let half = 1; half < 16; half *= 2)
    for (let i = 0; i < 16; i++)
      if (!(i & half)) [x[i], x[i | half]] = [x[i] + x[i | half], x[i] - x[i | half]];
  for (let i = 0; i < 16; i++) x[i] /= 4;
}

// What the room answers to an impulse on one side: the feedback delay network of src/sound/room.c.
function roomAnswer(room, side, frames) {
  const rings = room.lines.map(([delay]) => new Float64Array(delay));
  const at = new Int32Array(16);
  const kept = new Float64Array(16);
  const row = new Float64Array(16);
  const diffusers = room.diffusers[side].map(diffuser);
  const heard = [new Float32Array(frames), new Float32Array(frames)];
  let state = 0;
  let before = 0;
  for (let i = 0; i < frames; i++) {
    const x = i === 0 ? 1 : 0;
    state = room.highPass * (state + x - before);
    before = x;
    const fed = diffusers.reduce((signal, stage) => stage(signal), state);
    for (let n = 0; n < 16; n++) {
      row[n] = kept[n] = room.lines[n][1] * rings[n][at[n]] + room.lines[n][2] * kept[n];
      heard[n & 1][i] += room.lines[n][3] * row[n];
    }
    mixed(row);
    for (let n = 0; n < 16; n++) {
      rings[n][at[n]] = row[n] + ((n & 1) === side ? fed : 0);
      at[n] = at[n] + 1 === rings[n].length ? 0 : at[n] + 1;
    }
  }
  return heard.map((channel) => channel.map((x) => x * room.out));
}

const roomSeconds = 2.6;

// Four channels, as a convolver takes a room of two sides: from the left to both, from the right.
function roomBuffer(room, rate) {
  const frames = Math.round(roomSeconds * rate);
  const buffer = new AudioBuffer({ numberOfChannels: 4, length: frames, sampleRate: rate });
  [0, 1].forEach((side) =>
    roomAnswer(room, side, frames).forEach((channel, ear) => buffer.copyToChannel(channel, 2 * side + ear)));
  return buffer;
}

// The sound with its room. A loop goes round until the room is full; then one period is taken, of
// struck notes (`whole`) from a strike on.
async function bake(sides, loops, whole, send, answer, rate) {
  const length = sides[0].length;
  const tail = Math.round(roomSeconds * rate);
  const before = !loops ? 0 : whole ? Math.ceil(tail / length) * length : tail;
  const context = new OfflineAudioContext(2, before + length + (loops ? 0 : tail), rate);
  const buffer = new AudioBuffer({ numberOfChannels: 2, length, sampleRate: rate });
  sides.forEach((side, ear) => buffer.copyToChannel(side, ear));
  const source = new AudioBufferSourceNode(context, { buffer, loop: loops });
  source.connect(context.destination);
  if (send > 0) {
    const room = new ConvolverNode(context, { buffer: answer, disableNormalization: true });
    source.connect(new GainNode(context, { gain: send })).connect(room).connect(context.destination);
  }
  source.start();
  const rendered = await context.startRendering();
  if (!loops) return rendered;
  const round = new AudioBuffer({ numberOfChannels: 2, length, sampleRate: rate });
  for (const ear of [0, 1]) round.copyToChannel(rendered.getChannelData(ear).subarray(before), ear);
  return round;
}

// The two kinds of sound, by their numbers in the lesson.
class Synth {
  constructor(lesson) {
    this.lesson = lesson;
    this.answer = null;
  }

  room() {
    this.answer ??= roomBuffer(this.lesson.room, this.lesson.rate);
    return this.answer;
  }

  async loop(index) {
    const { rate, loops, room } = this.lesson;
    const numbers = loops[index];
    const sides = numbers.struck ? struckLoop(numbers, rate) : await lastingLoop(numbers);
    return this.level(await bake(sides, true, numbers.struck, room.held, this.room(), rate));
  }

  async clip(index) {
    const { rate, clips, struck, room } = this.lesson;
    return this.level(await bake(clipOf(clips[index], struck, rate), false, false, room.added, this.room(), rate));
  }

  level(buffer) {
    for (const ear of [0, 1]) {
      const channel = buffer.getChannelData(ear);
      for (let i = 0; i < channel.length; i++) channel[i] *= this.lesson.volume;
    }
    return buffer;
  }
}
