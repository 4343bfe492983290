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

  take({ as, index }) {
    if (as === "found") this.all[index].nth = ++this.found;
  }
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
