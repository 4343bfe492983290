// SPDX-License-Identifier: MIT
// Compares `holdfast inspect -` with @tonaljs/pcset over all 4096 sets: names in, notes and names
// out, classes, forms, complements and trichords. Usage: node pcset.js PROGRAM
"use strict";
const { spawnSync } = require("node:child_process");
const Pcset = require("@tonaljs/pcset");

const SETS = 4096;
let failures = 0;

function check(what, got, expected) {
  if (JSON.stringify(got) === JSON.stringify(expected)) return;
  if (++failures <= 20) console.error(`${what}: ${JSON.stringify(got)}, expected ${JSON.stringify(expected)}`);
}

// Its chroma string starts at C, "1" for a note.
const chromaOf = (set) => Array.from({ length: 12 }, (_, pc) => (set >> pc) & 1).join("");
const pcsOf = (chroma) => [...chroma].flatMap((bit, pc) => (bit === "1" ? [pc] : []));
const invert = (chroma) => Array.from({ length: 12 }, (_, pc) => chroma[(12 - pc) % 12]).join("");
const empty = "000000000000";

// Its `normalized` ignores inversion and, for a set that repeats, is any rotation that begins with a
// note: the least of all modes of a set and of its inversion names the class.
function classOf(chroma) {
  if (chroma === empty) return empty;
  return [...Pcset.modes(chroma), ...Pcset.modes(invert(chroma))].sort()[0];
}

const chromas = Array.from({ length: SETS }, (_, set) => chromaOf(set));
const lines = chromas.map((chroma) => (chroma === empty ? "{}" : Pcset.notes(chroma).join(" ")));
const run = spawnSync(process.argv[2], ["inspect", "-"], {
  input: lines.join("\n") + "\n",
  maxBuffer: 1 << 28,
  encoding: "utf8",
});
check("exit status", run.status, 0);
const answers = run.stdout.trim().split("\n").map((line) => JSON.parse(line));
check("answers", answers.length, SETS);

const classes = new Map();
chromas.forEach((chroma, set) => {
  const key = classOf(chroma);
  if (!classes.has(key)) classes.set(key, { forte: answers[set].forte, forms: 0 });
  classes.get(key).forms++;
});
check("classes", classes.size, 224);
check("names", new Set([...classes.values()].map((one) => one.forte)).size, 224);

const trichords = chromas.filter((chroma) => pcsOf(chroma).length === 3);
const trichordClass = new Map(trichords.map((chroma) => [chroma, classes.get(classOf(chroma)).forte]));

chromas.forEach((chroma, set) => {
  const answer = answers[set];
  check(`${set} notes`, answer.pcs, pcsOf(chroma));
  check(`${set} names`, chroma === empty ? chroma : Pcset.chroma(answer.names), chroma);
  check(`${set} class`, answer.forte, classes.get(classOf(chroma)).forte);
  check(`${set} forms`, answer.forms, classes.get(classOf(chroma)).forms);
  check(`${set} prime form`, classOf(chromaOf(answer.prime.reduce((sum, pc) => sum | (1 << pc), 0))), classOf(chroma));
  check(`${set} complement`, answer.complement.pcs, pcsOf(chromas[SETS - 1 - set]));
  // isSubsetOf is strict: a trichord is no subset of itself.
  const within = Pcset.isSubsetOf(chroma);
  const census = Object.fromEntries(Array.from({ length: 12 }, (_, i) => [`3-${i + 1}`, 0]));
  if (chroma !== empty)
    for (const trichord of trichords)
      if (trichord === chroma || within(trichord)) census[trichordClass.get(trichord)]++;
  check(`${set} trichords`, answer.trichords, census);
});

if (failures) {
  console.error(`${failures} differences`);
  process.exit(1);
}
console.log(`inspect agrees with @tonaljs/pcset on all ${SETS} sets`);
