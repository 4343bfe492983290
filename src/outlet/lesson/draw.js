// SPDX-License-Identifier: MIT
// Pictures: the staff with what is held and what is added, and the frame of a shape on strings.
// Invariant: texts become text nodes and attributes, never markup.
"use strict";

const SVG = "http://www.w3.org/2000/svg";
const SPACE = 8; // between staff lines

function shape(kind, attributes, parent) {
  const element = document.createElementNS(SVG, kind);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, value);
  parent?.append(element);
  return element;
}

function picture(width, height, label) {
  const svg = shape("svg", { viewBox: `0 0 ${width} ${height}`, width, height, role: "img", "aria-label": label });
  return svg;
}

// Steps count from C0; each is half a space. The staves: E4 to F5, G2 to A3.
const TREBLE = [30, 32, 34, 36, 38];
const BASS = [18, 20, 22, 24, 26];

// Both clefs by curves of our own, about the line that they name.
const G_CLEF = "M1.5 10.5 C-4 10.5 -7.5 6.5 -7 1.5 C-6.5 -4.5 1 -9 3.5 -15 C5.5 -20 4.5 -27 1.8 -29 C-2 -26 -4 -21 -3.2 -15 L3.2 15 C4 20 -1.5 22.5 -4.5 20 C-6.5 18 -5 15 -2.8 15.8 M1.5 10.5 C6.5 10.5 8.5 7 7.5 3 C6.5 -1 1.5 -2.5 -1.2 0 C-3.4 2.2 -2.8 5.8 0 6.8";
const F_CLEF = "M-6 0 C-6 -5 -1 -8.5 3.5 -8 C9 -7.4 10.5 -2 9.5 3 C8 10 0 15.5 -7 18";

function drawClef(svg, path, x, y, dots) {
  shape("path", { d: path, transform: `translate(${x} ${y})`, class: "clef" }, svg);
  if (!dots) return;
  shape("circle", { cx: x - 4.2, cy: y, r: 2.6, class: "ink" }, svg);
  for (const off of [-4, 4]) shape("circle", { cx: x + 14.5, cy: y + off, r: 1.3, class: "ink" }, svg);
}

function drawAccidental(svg, accidental, x, y) {
  const at = `translate(${x} ${y})`;
  if (accidental > 0) {
    const sharp = "M-1.8 -8.5 V9.5 M1.8 -9.5 V8.5 M-4 -1.8 L4 -4 M-4 4 L4 1.8";
    const double = "M-3 -3 L3 3 M3 -3 L-3 3";
    shape("path", { d: accidental === 2 ? double : sharp, transform: at, class: "sign" }, svg);
  }
  for (let i = 0; i < -accidental; i++)
    shape("path", { d: "M-2.5 -11 V4.5 C5 0.5 3.5 -4.5 -2.5 -1.5", transform: `translate(${x - 6 * i} ${y})`, class: "sign" }, svg);
}

function drawLedgers(svg, step, x, y) {
  const lines = [];
  if (step === 28) lines.push(28);
  for (let each = 40; each <= step; each += 2) lines.push(each);
  for (let each = 16; each >= step; each -= 2) lines.push(each);
  for (const each of lines) shape("line", { x1: x - 9, x2: x + 9, y1: y(each), y2: y(each), class: "line" }, svg);
}

// A column of notes, low to high: seconds to the side, accidentals where they don't meet.
function drawChord(svg, record, x, y, kind) {
  let side = false;
  let before = null;
  const signs = [];
  record.notes.forEach((midi, i) => {
    const { step, accidental } = spelled(record.names[i], midi);
    side = before !== null && step - before <= 1 ? !side : false;
    before = step;
    const at = x + (side ? 12 : 0);
    drawLedgers(svg, step, at, y);
    shape("ellipse", { cx: at, cy: y(step), rx: 6.2, ry: 4.2, transform: `rotate(-18 ${at} ${y(step)})`, class: kind }, svg);
    if (!accidental) return;
    const taken = signs.filter((other) => Math.abs(other.step - step) < 6).map((other) => other.column);
    let column = 0;
    while (taken.includes(column)) column++;
    signs.push({ step, column });
    drawAccidental(svg, accidental, x - 14 - 10 * column, y(step));
  });
}

const stepsOf = (record) => record.notes.map((midi, i) => spelled(record.names[i], midi).step);

// How far up and down the staff must reach for all of some records.
function reachOf(records) {
  const steps = records.flatMap(stepsOf);
  return { high: Math.max(39, ...steps) + 2, low: Math.min(17, ...steps) - 2 };
}

// What is held (hollow) and what is added (full; null: nothing known).
function staff(held, added, { high, low } = reachOf(added ? [held, added] : [held])) {
  const y = (step) => ((high - step) * SPACE) / 2;
  const label = `Staff: held ${spoken(pitches(held))}${added ? `; added ${spoken(pitches(added))}` : ""}`;
  const svg = picture(200, y(low), label);
  for (const step of [...TREBLE, ...BASS]) shape("line", { x1: 4, x2: 196, y1: y(step), y2: y(step), class: "line" }, svg);
  shape("line", { x1: 4, x2: 4, y1: y(38), y2: y(18), class: "line" }, svg);
  drawClef(svg, G_CLEF, 22, y(32), false);
  drawClef(svg, F_CLEF, 20, y(24), true);
  drawChord(svg, held, 90, y, "held");
  if (added) drawChord(svg, added, 155, y, "added");
  return svg;
}

// The topmost fret of a frame, and how many it needs.
function rowsOf(frets) {
  const stopped = frets.filter((fret) => fret > 0);
  const highest = Math.max(0, ...stopped);
  const first = highest <= 4 ? 1 : Math.min(...stopped);
  return { first, count: Math.max(4, highest - first + 1) };
}

// A shape on the strings, the lowest at the left (for the left hand at the right), the nut above.
function frame(board, frets, holding, rows = rowsOf(frets).count) {
  const count = frets.length;
  const { first } = rowsOf(frets);
  const x = (string) => 26 + 16 * (board.left ? count - 1 - string : string);
  const y = (fret) => 24 + 22 * (fret - first + 0.5);
  const known = frets.some((fret) => fret !== null);
  const text = known ? `Shape ${frets.map((fret) => fret ?? "x").join("-")}, lowest string first` : "No shape yet";
  const svg = picture(26 + 16 * count, 34 + 22 * rows, text);
  for (let row = 0; row <= rows; row++)
    shape("line", { x1: x(0), x2: x(count - 1), y1: 24 + 22 * row, y2: 24 + 22 * row, class: row === 0 && first === 1 ? "nut" : "line" }, svg);
  for (let string = 0; string < count; string++)
    shape("line", { x1: x(string), x2: x(string), y1: 24, y2: 24 + 22 * rows, class: "line" }, svg);
  if (first > 1) shape("text", { x: 2, y: y(first) + 4, class: "fret" }, svg).textContent = String(first);
  frets.forEach((fret, string) => {
    const held = holding?.[string] === fret && fret !== null;
    if (!known) return;
    if (fret === null || fret === 0)
      shape("text", { x: x(string), y: 16, class: held ? "open heldtext" : "open" }, svg).textContent = fret === null ? "×" : "0";
    else shape("circle", { cx: x(string), cy: y(fret), r: 6.5, class: held ? "held" : "added" }, svg);
  });
  return svg;
}
