// SPDX-License-Identifier: MIT
// Random students at the page's own session, without a browser: the journal of each is read by the
// program, whose timeline must be the page's, cue by cue. Usage: node journals.js PROGRAM SESSIONS
"use strict";
const assert = require("node:assert");
const { spawnSync } = require("node:child_process");
const fs = require("node:fs");
const os = require("node:os");
const path = require("node:path");
const vm = require("node:vm");

const [program, sessions] = [process.argv[2], Number(process.argv[3])];
const there = fs.mkdtempSync(path.join(os.tmpdir(), "holdfast-lesson-"));
process.on("exit", () => fs.rmSync(there, { recursive: true }));

// xorshift32 (G. Marsaglia, "Xorshift RNGs", 2003)
let state = 21542007;
function random(bound) {
  state ^= state << 13;
  state >>>= 0;
  state ^= state >>> 17;
  state ^= state << 5;
  state >>>= 0;
  return state % bound;
}

const source = ["core.js", "view.js", "hunt.js"].map((name) => fs.readFileSync(`src/outlet/lesson/${name}`, "utf8")).join("\n");
const { Session, Choices, hintText, tally, names } = vm.runInNewContext(`${source}\n({ Session, Choices, hintText, tally, names })`, { TextEncoder });

function run(...args) {
  const ran = spawnSync(program, args, { encoding: "utf8", maxBuffer: 1 << 26 });
  if (ran.status !== 0) throw new Error(`${args.join(" ")}: status ${ran.status}: ${ran.stderr}`);
  return ran.stdout;
}

const kinds = [
  ["--cue", "confirm"],
  ["--cue", "lead"],
  ["--cue", "silent"],
  ["--cue", "ear"],
  ["--cue", "gap"],
  ["--cue", "reverse"],
  ["--every", "wait"],
  ["--every", "wait", "--cue", "gap"],
  ["--every", "wait", "--cue", "reverse"],
  ["--every", "wait", "--cue", "ear"],
  ["--hand", "guitar", "--hold", "hand"],
  ["--every", "0.1s", "--lead-in", "0"],
];
const chosen = [
  ["roam"],
  ["roam", "--cue", "lead", "--for", "20s"],
  ["roam", "--cue", "silent", "--hand", "guitar", "--hold", "hand"],
  ["hunt"],
  ["hunt", "--held", "C F B", "--added", "3-3"],
];

function read(file) {
  const html = fs.readFileSync(file, "utf8");
  return JSON.parse(/<script type="application\/json" id="lesson">(.*?)<\/script>/s.exec(html)[1]);
}

const timed = ["--every", "2s", "--lead-in", "1s", "--rounds", "1"];

function lessonOf(options, times = timed) {
  const file = path.join(there, "page.html");
  run("sheet", "--synth", "--seed", "5", ...times, ...options, "-o", file);
  return read(file);
}

// One student: presses at random moments until the end, or closes the page.
function play(lesson) {
  const session = new Session(lesson, "2026-01-02T03:04:05+00:00");
  session.setEndless(random(4) === 0);
  let now = 0;
  for (let presses = random(60); presses > 0 && session.endAt === null; presses--) {
    now += random(3) === 0 ? random(100) : random(lesson.rate * 2);
    if (session.pauseAt !== null) {
      if (random(12) === 0) session.quit(session.pausedAt);
      else now = session.resume(random(100000)) ?? now;
      continue;
    }
    session.advance(now);
    const index = random(lesson.cues.length);
    const act = [
      () => session.stay(now),
      () => session.stay(now),
      () => session.pause(now),
      () => session.next(now),
      () => session.next(now, index),
      () => session.again(now),
      () => session.reveal(now),
      () => session.mark(now, random(2) ? "got" : "missed"),
      () => session.mark(now, "got"),
      () => random(8) === 0 && session.quit(now),
    ][random(10)];
    act();
    now = Math.max(now, session.commandAt);
  }
  if (session.endAt === null && random(2)) {
    if (session.pauseAt !== null) now = session.resume(64);
    if (session.stayAt !== null) now = session.stay(now);
    if (!lesson.wait && !session.endless) session.advance(now + lesson.rate * 3600);
    else session.quit(now);
  }
  return session;
}

// What the program makes of a journal: the cues of a page of it, to the sample.
function understood(file) {
  const again = path.join(there, "again.html");
  run("sheet", "--synth", "--journal", file, "-o", again);
  const { cues, hold: first } = read(again);
  return cues.map(({ at, tell, hear, end, notes, mark, hold }) => ({ at, tell, hear, end, notes, mark: mark ?? null, held: (hold ?? first).notes }));
}

function expected(session) {
  return session.cues
    .filter((one) => session.reached(one.at, session.endAt))
    .map(({ at, tell, hear, end, cue, mark, held }) => ({ at, tell, hear, end, notes: cue.notes, mark, held: held.notes }));
}

// One who chooses, in roam or hunt.
function roam(lesson) {
  const session = new Session(lesson, "2026-01-02T03:04:05+00:00");
  const choices = new Choices(lesson);
  let now = 0;
  for (let presses = random(40); presses > 0 && session.endAt === null; presses--) {
    now += random(3) === 0 ? random(100) : random(lesson.rate * 2);
    if (session.pauseAt !== null) {
      now = session.resume(random(100000)) ?? now;
      continue;
    }
    session.advance(now);
    const pcs = [...Array(12).keys()].filter(() => random(4) === 0);
    const act = [
      () => session.next(now, choices.cue(lesson.practice === "roam" ? random(choices.all.length) : choices.next)),
      () => session.again(now),
      () => session.reveal(now),
      () => random(4) === 0 && session.pause(now),
      () => lesson.practice === "hunt" && choices.step < choices.steps && session.hint(now, choices.step + 1) !== null && choices.step++,
      () => lesson.practice === "hunt" && answer(session, choices, now, random(2) ? lesson.cues[random(lesson.cues.length)].pcs : pcs),
    ][random(6)];
    act();
    now = Math.max(now, session.commandAt);
  }
  if (session.endAt === null && random(3)) session.quit(session.pauseAt === null ? now : session.pausedAt);
  return session;
}

function answer(session, choices, now, pcs) {
  if (pcs.length !== session.lesson.cues[0].pcs.length) return;
  const judged = choices.judge(pcs);
  if (session.answer(now, pcs, judged.as, choices.help(judged)) === null) return;
  choices.take(judged);
  if (judged.index >= 0) session.next(now, choices.cue(judged.index));
}

// How many cues the program sees in a journal of choices, and their notes.
const rows = (text) => [...text.matchAll(/^ *\d+ .*?([A-G][#b]?(?: [A-G][#b]?)+) {2,}/gm)].map((match) => match[1]);

let ended = 0;
let marks = 0;
let cues = 0;
for (const kind of kinds) {
  const lesson = lessonOf(kind);
  for (let i = 0; i < sessions; i++) {
    const session = play(lesson);
    const file = path.join(there, "journal.jsonl");
    fs.writeFileSync(file, session.journal);
    try {
      if (session.endAt === null) run("replay", file, "--dry-run");
      else assert.deepStrictEqual(understood(file), JSON.parse(JSON.stringify(expected(session))));
    } catch (error) {
      console.error(`${kind.join(" ")}: ${error.message}\n${session.journal}`);
      process.exit(1);
    }
    ended += session.endAt !== null;
    cues += session.cues.length;
    const counts = [...tally([session.journal]).values()];
    const sum = (as) => counts.reduce((total, one) => total + one[as], 0);
    marks += sum("got") + sum("missed");
    if (i % 5 || kind[1] === "reverse" || kind[3] === "reverse") continue; // its cues are triads
    const { completions } = JSON.parse(run("review", "--json", file));
    for (const as of ["got", "missed"])
      assert.strictEqual(completions.reduce((total, one) => total + one[as], 0), sum(as), session.journal);
  }
}
for (const kind of chosen) {
  const lesson = lessonOf(kind, []);
  for (let i = 0; i < sessions; i++) {
    const session = roam(lesson);
    const file = path.join(there, "journal.jsonl");
    fs.writeFileSync(file, session.journal);
    try {
      const told = rows(run("replay", file, "--dry-run"));
      assert.deepStrictEqual(told, [...session.cues.map((one) => names(one.cue))]);
    } catch (error) {
      console.error(`${kind.join(" ")}: ${error.message}\n${session.journal}`);
      process.exit(1);
    }
    cues += session.cues.length;
    ended += session.endAt !== null;
  }
}

// Every set of pitch classes, whatever was found, as the program's own judge (judge.c) has it.
const words = ["found", "again", "other", "shares"];
const judged = spawnSync(path.join(path.dirname(program), "tests/lesson/judge"), { encoding: "utf8", maxBuffer: 1 << 28 });
let sets = 0;
const huntings = new Map();
let hunt = null;
let hints = 0;
for (const line of judged.stdout.trim().split("\n")) {
  const [held, added, ...rest] = line.split(" ");
  const key = `${held} ${added}`;
  if (!huntings.has(key)) huntings.set(key, lessonOf(["hunt", "--held", held.split(",").join(" "), "--added", added], []));
  if (rest.length === 3) {
    const [found, set, as] = rest.map(Number);
    const choices = new Choices(huntings.get(key));
    choices.all.forEach((one, index) => (one.nth = (found >> index) & 1));
    const pcs = [...Array(12).keys()].filter((pc) => (set >> pc) & 1);
    assert.strictEqual(choices.judge(pcs).as, words[as], line);
    sets++;
    continue;
  }
  const [what, target, step, steps, helped] = rest;
  let help = 0;
  if (what === "hunt") hunt = new Choices(huntings.get(key));
  else if (what === "hint") hunt.step += hunt.step < hunt.steps;
  else {
    const answered = hunt.judge(hunt.all[Number(what)].key.split(" ").map(Number));
    help = hunt.help(answered);
    hunt.take(answered);
  }
  assert.deepStrictEqual([hunt.target, hunt.step, hunt.steps, help], [target, step, steps, helped].map(Number), line);
  if (hunt.step > 0) assert.ok(hintText(hunt).length > 8);
  hints += what === "hint";
}
assert.ok(hints > 100);
assert.ok(sets > 4096);
assert.ok(ended > 0 && marks > 0 && cues > 0);
const of = kinds.length + chosen.length;
console.log(`${of * sessions} journals (${ended} ended, ${cues} cues, ${marks} marks) of ${of} kinds of lesson are the program's, and ${sets} verdicts`);
