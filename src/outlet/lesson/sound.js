// SPDX-License-Identifier: MIT
// The sound of a lesson on the browser's audio clock: the loop of what is held, and the added notes
// at their times. Invariants: every level moves by a raised cosine; what has not begun can be taken
// back; together nothing passes half of full scale (-6 dB).
"use strict";

const CEILING = 0.5;
const LOOK_S = 1.5; // how far ahead sounds are laid, since a page in the background wakes seldom

const curve = (from, to) => Float32Array.from({ length: 65 }, (_, i) => from + (to - from) * rise(i / 64));

function peakOf(buffer) {
  let most = 0;
  for (const ear of [0, 1]) for (const x of buffer.getChannelData(ear)) most = Math.max(most, Math.abs(x));
  return most;
}

// The text of a sound in the page, as bytes.
function bytesOf(id) {
  const text = atob(document.getElementById(id).textContent);
  return Uint8Array.from(text, (c) => c.charCodeAt(0)).buffer;
}

// One period, its end led into its beginning over 50 ms: the same sound, but for the coding's noise.
function roundOf(decoded, numbers, rate) {
  const scale = decoded.sampleRate / rate;
  const lead = Math.round(numbers.lead * scale);
  const period = Math.min(Math.round(numbers.period * scale), decoded.length - lead);
  const blend = Math.min(lead, Math.round(0.05 * decoded.sampleRate));
  const round = new AudioBuffer({ numberOfChannels: 2, length: period, sampleRate: decoded.sampleRate });
  for (const ear of [0, 1]) {
    const from = decoded.getChannelData(Math.min(ear, decoded.numberOfChannels - 1));
    const to = round.getChannelData(ear);
    to.set(from.subarray(lead, lead + period));
    for (let i = 0; i < blend; i++) {
      const w = rise((i + 1) / blend);
      to[period - blend + i] = from[lead + period - blend + i] * (1 - w) + from[lead - blend + i] * w;
    }
  }
  return round;
}

class Voice {
  constructor(context, buffer, loop, to) {
    this.context = context;
    this.source = new AudioBufferSourceNode(context, { buffer, loop });
    this.gain = new GainNode(context);
    this.out = new GainNode(context);
    this.source.connect(this.gain).connect(this.out).connect(to);
    this.gone = false;
    this.source.onended = () => this.out.disconnect();
  }

  start(at, attack, level = 1) {
    this.at = at;
    this.gain.gain.value = level;
    if (attack > 0) {
      this.gain.gain.value = 0;
      this.gain.gain.setValueCurveAtTime(curve(0, level), at, attack);
    }
    this.source.start(at);
    return this;
  }

  get begun() {
    return this.context.currentTime >= this.at;
  }

  // Fades out and ends; what has not begun never does.
  stop(at, release) {
    if (this.gone) return;
    this.gone = true;
    if (!this.begun) {
      this.source.stop();
      this.out.disconnect();
      return;
    }
    const from = Math.max(at, this.context.currentTime);
    this.out.gain.setValueCurveAtTime(curve(1, 0), from, release);
    this.source.stop(from + release);
  }
}

class Sound {
  constructor(lesson) {
    this.lesson = lesson;
    this.synth = new Synth(lesson);
    this.loops = new Map();
    this.clips = new Map();
    this.context = null;
    this.held = null;
    this.added = new Set();
    this.heldPeak = 0;
    this.volume = 1;
    this.made = lesson.synth; // the browser makes the sound
  }

  // ---- what sounds

  async buffer(kind, index) {
    if (!this.made) {
      try {
        const decoded = await this.context.decodeAudioData(bytesOf(`${kind}-${index}`));
        return kind === "loop" ? roundOf(decoded, this.lesson.loops[index], this.lesson.rate) : decoded;
      } catch {
        this.made = true; // it can't decode: from now on by the numbers
      }
    }
    return kind === "loop" ? this.synth.loop(index) : this.synth.clip(index);
  }

  get(kind, index) {
    const all = kind === "loop" ? this.loops : this.clips;
    if (!all.has(index)) {
      const entry = { buffer: null, peak: 0 };
      entry.ready = this.buffer(kind, index).then((buffer) => {
        entry.buffer = buffer;
        entry.peak = peakOf(buffer);
        return entry;
      });
      all.set(index, entry);
      if (all.size > 16) all.delete(all.keys().next().value);
    }
    return all.get(index);
  }

  // ---- the clock

  async open(loop, clip) {
    const { rate } = this.lesson;
    this.context ??= new AudioContext({ sampleRate: rate });
    const { context } = this;
    await context.resume();
    this.stopAll();
    this.bus?.disconnect();
    this.bus = new GainNode(context);
    this.ending = new GainNode(context);
    this.master ??= new GainNode(context, { gain: this.volume });
    this.ending.connect(this.master).connect(context.destination);
    this.stages();
    if (clip !== null) this.get("clip", clip);
    if (loop !== null) await this.get("loop", loop).ready;
    if (clip !== null) await this.get("clip", clip).ready;
    this.zero = context.currentTime + 0.1;
    this.zeroSample = 0;
  }

  // A gain for the fade in of a resume and one for the fade out of a pause: they may overlap.
  stages() {
    this.bus.disconnect();
    this.coming = new GainNode(this.context);
    this.going = new GainNode(this.context);
    this.bus.connect(this.coming).connect(this.going).connect(this.ending);
  }

  // The session sample that is made now, and the one that is heard.
  get now() {
    return this.zeroSample + Math.max(0, this.context.currentTime - this.zero) * this.lesson.rate;
  }

  get heard() {
    const late = this.context.outputLatency || this.context.baseLatency || 0;
    return Math.max(0, this.now - Math.min(late, 1) * this.lesson.rate);
  }

  timeOf(sample) {
    return this.zero + (sample - this.zeroSample) / this.lesson.rate;
  }

  setVolume(db) {
    this.volume = db <= -60 ? 0 : 10 ** (db / 20);
    this.master?.gain.setTargetAtTime(this.volume, this.context.currentTime, 0.02);
  }

  // ---- held and added notes

  hold(index, sample, change) {
    if (this.heldIndex === index && this.held) return;
    this.held?.stop(this.timeOf(sample), change);
    this.held = null;
    this.heldIndex = index;
    if (index === null) return;
    const entry = this.get("loop", index);
    const begin = () => {
      if (this.heldIndex !== index || this.held) return;
      this.heldPeak = entry.peak;
      const at = Math.max(this.timeOf(sample), this.context.currentTime);
      const struck = this.lesson.loops[index].struck;
      this.held = new Voice(this.context, entry.buffer, true, this.bus).start(at, struck ? 0.005 : 3);
    };
    if (entry.buffer) begin();
    else entry.ready.then(begin);
  }

  // Lays added notes at a sample; null when they are not ready yet.
  strike(index, sample) {
    const entry = this.get("clip", index);
    if (!entry.buffer) return null;
    const level = Math.min(1, Math.max(0, CEILING - this.heldPeak) / (entry.peak || 1));
    const at = Math.max(this.timeOf(sample), this.context.currentTime);
    const voice = new Voice(this.context, entry.buffer, false, this.bus).start(at, 0, level);
    this.added.add(voice);
    return voice;
  }

  tick(accent, sample) {
    const { rate, volume } = this.lesson;
    const voice = new Voice(this.context, tickBuffer(accent, volume, rate), false, this.bus).start(this.timeOf(sample), 0);
    this.added.add(voice);
    return voice;
  }

  damp(sample) {
    for (const voice of this.added)
      if (voice.begun && voice.at < this.timeOf(sample)) {
        voice.stop(this.timeOf(sample), 0.2);
        this.added.delete(voice);
      }
  }

  // Takes back what has not begun.
  takeBack() {
    for (const voice of this.added)
      if (!voice.begun) {
        voice.stop(0, 0);
        this.added.delete(voice);
      }
  }

  // A call, another program or the saving of power may stop the clock; a press starts it again.
  get stopped() {
    return this.context !== null && this.context.state !== "running";
  }

  wake() {
    return this.context.resume();
  }

  // ---- fades of the whole

  fade(stage, from, to, sample, seconds) {
    const at = Math.max(this.timeOf(sample), this.context.currentTime);
    stage.gain.setValueCurveAtTime(curve(from, to), at, seconds);
  }

  // The clock stands from here on, at this sample.
  async freeze(sample) {
    this.silentSince = performance.now();
    await this.context.suspend();
    this.zeroSample = sample;
    this.zero = this.context.currentTime;
  }

  async thaw() {
    const silence = ((performance.now() - this.silentSince) / 1000) * this.lesson.rate;
    await this.context.resume();
    this.zero = this.context.currentTime;
    return silence;
  }

  stopAll() {
    this.held?.stop(this.context.currentTime, 0.04);
    this.held = null;
    this.heldIndex = undefined;
    for (const voice of this.added) voice.stop(this.context.currentTime, 0.04);
    this.added.clear();
  }
}
