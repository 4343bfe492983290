// SPDX-License-Identifier: MIT
// What there is to see at a moment: words, times, what is known of the cue. Pure. Invariant: nothing
// that the cue still hides is shown before its time has come.
"use strict";

const LETTERS = "CDEFGAB";
const LETTER_PCS = [0, 2, 4, 5, 7, 9, 11];

// "C#" as its parts; names of another kind (German, numbers) are spelled by their pitch.
function spelled(name, midi) {
  const match = /^([A-G])(#{0,2}|b{0,2})$/.exec(name) ?? /^([A-G])(#?|b?)$/.exec("C C# D Eb E F F# G G# A Bb B".split(" ")[midi % 12]);
  const letter = LETTERS.indexOf(match[1]);
  const accidental = match[2].startsWith("#") ? match[2].length : -match[2].length;
  const octave = Math.floor((midi - accidental) / 12) - 1;
  return { letter, accidental, octave, step: 7 * octave + letter };
}

const pitchName = (name, midi) => (/\d/.test(name) ? name : name + spelled(name, midi).octave);
const pitches = (record) => record.names.map((name, i) => pitchName(name, record.notes[i])).join(" ");

// Names alone stand in the order of the scale, whatever the voicing.
const names = (record) =>
  record.names
    .map((name, i) => ({ name, pc: record.notes[i] % 12 }))
    .sort((a, b) => a.pc - b.pc)
    .filter(({ pc }, i, all) => i === 0 || all[i - 1].pc !== pc)
    .map(({ name }) => name)
    .join(" ");

// For a voice that reads the page: "C sharp 4", "E flat".
const SIGNS = { "#": "sharp", "##": "double sharp", b: "flat", bb: "double flat" };
const spoken = (text) => text.replace(/\b([A-G])(##?|bb?)(?![a-z])(\d?)/g, (_, letter, sign, octave) => `${letter} ${SIGNS[sign]} ${octave}`.trim());

// The notes a fourth or fifth apart in an added 016.
function perfect(record) {
  for (let i = 0; i < record.notes.length; i++)
    for (let j = 0; j < record.notes.length; j++)
      if ((record.notes[j] - record.notes[i] + 120) % 12 === 5) return `${record.names[i]} ${record.names[j]}`;
  return "";
}

function clock(samples, rate) {
  const seconds = Math.max(0, Math.ceil(samples / rate));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
}

// What to do with a cue, and its large words.
function describe(session, one, at) {
  const { way } = session.lesson;
  const told = session.shown(one.tell, at);
  const heard = session.shown(one.hear, at);
  const record = one.cue;
  if (told && heard) return { todo: "Play", large: names(record), small: pitches(record), told, heard };
  if (told) return { todo: way === "silent" ? "Play" : "Find", large: names(record), small: "", told, heard };
  if (way === "gap") return { todo: "Find the third note", large: `${perfect(record)} + ?`, small: "", told, heard };
  if (way === "reverse") return { todo: "Find the triad that completes it", large: "?", small: "", told, heard };
  return { todo: "Listen: which one is it?", large: "?", small: "", told, heard };
}

// When the next thing comes, and what it is.
function coming(session, one, at) {
  const silent = session.lesson.way === "silent";
  if (one && one.tell !== null && one.tell > at) return { at: one.tell, what: one.hear === one.tell ? "answer" : "name" };
  if (one && one.hear !== null && one.hear > at && !silent) return { at: one.hear, what: "sound" };
  if (one && one.end !== null && one.end > at) return { at: one.end, what: session.following || session.endless ? "next" : "end" };
  if (!one && session.following) return { at: session.following.at, what: "first" };
  return { at: null, what: "" };
}

// The moment `at`, a session sample.
function view(session, at) {
  const total = session.lesson.cues.length;
  const begun = session.cues.filter((each) => session.reached(each.at, at));
  const one = begun.length ? begun[begun.length - 1] : null;
  const base = { total, number: one ? one.index + 1 : 0, one, staying: session.stayAt !== null, paused: session.pauseAt !== null };
  if (session.endAt !== null && at >= session.endAt)
    return { ...base, ended: true, todo: "The end", large: "", small: "", told: true, heard: true, next: coming(session, null, at) };
  const said = one ? describe(session, one, at) : { todo: "Listen to the held notes", large: "", small: "", told: false, heard: false };
  return { ...base, ended: false, ...said, next: base.staying ? { at: null, what: "" } : coming(session, one, at) };
}

// Marks by cue, of any journals: a map from notes' names to got and missed. A cue's last mark counts.
function tally(journals) {
  const counts = new Map();
  for (const journal of journals) {
    const cues = new Map();
    for (const line of journal.split("\n")) {
      const record = line ? JSON.parse(line) : {};
      if (record.t === "cue") cues.set(record.n, { record, as: null });
      if (record.t === "mark" && cues.has(record.cue)) cues.get(record.cue).as = record.as;
    }
    for (const { record, as } of cues.values()) {
      if (!as) continue;
      const key = record.pcs.join(" ");
      const entry = counts.get(key) ?? { names: names(record), got: 0, missed: 0 };
      entry[as]++;
      counts.set(key, entry);
    }
  }
  return counts;
}
