// SPDX-License-Identifier: MIT
// Reads a WAV file of floats (RIFF, Microsoft 1991 and 1994) and measures sound; for these tests.
"use strict";
const fs = require("node:fs");

function readWav(path) {
  const bytes = fs.readFileSync(path);
  for (let at = 12; at + 8 <= bytes.length; ) {
    const size = bytes.readUInt32LE(at + 4);
    if (bytes.toString("latin1", at, at + 4) === "data")
      return [0, 1].map((side) => Float32Array.from({ length: size / 8 }, (_, i) => bytes.readFloatLE(at + 8 + 8 * i + 4 * side)));
    at += 8 + size + (size % 2);
  }
  throw new Error(`${path}: no data`);
}

// The amplitude of a frequency by correlation under a Hann window.
function amplitude(samples, hz, rate) {
  let re = 0;
  let im = 0;
  for (let i = 0; i < samples.length; i++) {
    const w = 1 - Math.cos((2 * Math.PI * i) / samples.length);
    re += w * samples[i] * Math.cos((2 * Math.PI * hz * i) / rate);
    im += w * samples[i] * Math.sin((2 * Math.PI * hz * i) / rate);
  }
  return (2 * Math.hypot(re, im)) / samples.length;
}

const decibels = (ratio) => 20 * Math.log10(ratio);

function likeness(a, b) {
  const length = Math.min(a.length, b.length);
  let ab = 0;
  let aa = 0;
  let bb = 0;
  for (let i = 0; i < length; i++) {
    ab += a[i] * b[i];
    aa += a[i] * a[i];
    bb += b[i] * b[i];
  }
  return { correlation: ab / Math.sqrt(aa * bb), level_db: 10 * Math.log10(aa / bb) };
}

module.exports = { readWav, amplitude, decibels, likeness };
