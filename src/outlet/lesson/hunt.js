// SPDX-License-Identifier: MIT
// Where the student chooses: which completions there are, where `next` leads, and in hunt what some
// notes are. Pure; judged as src/session/hunt.c judges.
"use strict";

class Choices {
  constructor(lesson) {
    this.lesson = lesson;
    const ids = [...new Set(lesson.cues.map((cue) => cue.id))].sort((a, b) => a - b);
    this.all = ids.map((id) => {
      const cues = lesson.cues.flatMap((cue, index) => (cue.id === id ? [index] : []));
      const first = lesson.cues[cues[0]];
      return { id, cues, key: first.pcs.join(" "), names: names(first), turn: 0, nth: 0 };
    });
    this.found = 0;
    this.here = -1;
    this.last = -1; // found last
    this.target = lesson.choices.target; // what hints lead to, -1 where all are found
    this.step = 0; // hints given on the way to it
  }

  // The cue of a choice, in another voicing each time.
  cue(index) {
    const one = this.all[index];
    this.here = index;
    return one.cues[one.turn++ % one.cues.length];
  }

  get next() {
    return this.here < 0 ? this.lesson.choices.first : this.lesson.choices.after[this.here];
  }

  // What some pitch classes (ascending) are: the word for the journal, and which choice.
  judge(pcs) {
    const held = this.lesson.hold.pcs;
    const shared = pcs.filter((pc) => held.includes(pc));
    if (shared.length) return { as: "shares", index: -1, shared };
    const index = this.all.findIndex((one) => one.key === pcs.join(" "));
    if (index < 0) return { as: "other", index, shared };
    return { as: this.all[index].nth ? "again" : "found", index, shared };
  }

  // How many steps of help an answer had; the first tells of none in particular.
  help({ as, index }) {
    return as === "found" && index === this.target && this.step > 1 ? this.step : 0;
  }

  take({ as, index }) {
    if (as === "found") {
      this.all[index].nth = ++this.found;
      this.last = index;
      if (index === this.target || this.step === 0) this.aim();
    }
    if (index >= 0) this.last = index;
  }

  // The nearest to the one found last, of equals the first.
  aim() {
    const { movement } = this.lesson.choices;
    this.step = 0;
    this.target = -1;
    this.all.forEach((one, index) => {
      const nearer = this.target < 0 || movement[this.last][index] < movement[this.last][this.target];
      if (!one.nth && nearer) this.target = index;
    });
  }

  get steps() {
    return this.target < 0 ? 0 : 1 + this.lesson.choices.hints[this.target].length;
  }
}

// The names of the twelve are `lesson.choices.names`.
const INTERVALS = "note,semitone,whole tone,minor third,major third,fourth,tritone,fifth,minor sixth,major sixth,minor seventh,major seventh".split(",");

// Built upward: "a semitone, then a fourth".
const built = (form) => form.slice(1).map((pc, i) => `a ${INTERVALS[pc - form[i]]}`).join(", then ");

// Is a set one of this form, transposed?
const isForm = (pcs, form) => pcs.some((low) => pcs.every((pc) => form.includes((pc - low + 12) % 12)));

function formsText(choices) {
  const left = choices.all.filter((one) => !one.nth);
  const { forms } = choices.lesson.choices;
  const parts = forms.map((form) => ({ form, count: left.filter((one) => isForm(one.key.split(" ").map(Number), form)).length }));
  const told = parts.filter(({ form, count }) => count > 0 && form.length > 1).map(({ form, count }) => `${count} built upward as ${built(form)}`);
  return `${left.length} left to find${forms.length > 1 && told.length ? `: ${told.join("; ")}` : ""}.`;
}

// What the step of help says that was come to.
function hintText(choices) {
  if (choices.step === 1) return formsText(choices);
  const { names, hints } = choices.lesson.choices;
  const { notes, whole, interval, low, high } = hints[choices.target][choices.step - 2];
  if (interval !== undefined) return `One of them has a ${INTERVALS[interval]} between ${names[low]} and ${names[high]}.`;
  const told = notes.map((pc) => names[pc]);
  if (whole) return `It is ${told.join(" ")}: answer it to hear it.`;
  return `${told.length > 1 ? `${told.slice(0, -1).join(", ")} and ${told[told.length - 1]} are` : `${told[0]} is`} in it.`;
}

// What to say of an answer.
function verdictText(choices, text, verdict) {
  const { all, found, lesson } = choices;
  const { as, index, shared } = verdict;
  if (as === "shares") {
    const both = shared.map((pc) => lesson.hold.names[lesson.hold.notes.findIndex((note) => note % 12 === pc)]);
    return `${text}: ${both.join(" and ")} ${both.length === 1 ? "is" : "are"} held already.`;
  }
  if (as === "other") return `${text}: no ${lesson.choices.prime}.`;
  if (as === "again") return `${text}: found already, number ${all[index].nth} of ${all.length}.`;
  const done = found === all.length ? " All are found: choose any to hear it anew, or end." : "";
  return `${text}: yes, ${found} of ${all.length}.${done}`;
}
