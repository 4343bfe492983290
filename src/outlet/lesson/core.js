// SPDX-License-Identifier: MIT
// The session as the page keeps it: cues on a clock that counts samples, what the student asks for,
// and the journal of it all. No sound, no document, no clock of its own: times are handed in.
// Invariants: it is what the program's conductor, transport and timeline do, so that the journal is
// one of the program's; commands lie on multiples of the grid; a cue's record comes before the
// `next` that ends the cue before it.
"use strict";

const crcTable = Uint32Array.from({ length: 256 }, (_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? 0xedb88320 ^ (n >>> 1) : n >>> 1;
  return n;
});

// CRC-32 (IEEE 802.3) of a text's UTF-8 bytes, eight hexadecimal digits.
function crc32(text) {
  let crc = 0xffffffff;
  for (const byte of new TextEncoder().encode(text)) crc = crcTable[(crc ^ byte) & 255] ^ (crc >>> 8);
  return ((crc ^ 0xffffffff) >>> 0).toString(16).padStart(8, "0");
}

// A journal's line: the record's own members in their order, then the check sum of all before it.
function sealed(record) {
  const body = JSON.stringify(record).slice(0, -1);
  return `${body},"crc":"${crc32(body)}"}\n`;
}

// Local time with its offset (RFC 3339).
function stamp(date) {
  const two = (n) => String(Math.abs(n)).padStart(2, "0");
  const zone = -date.getTimezoneOffset();
  const hours = Math.trunc(Math.abs(zone) / 60);
  return (
    `${date.getFullYear()}-${two(date.getMonth() + 1)}-${two(date.getDate())}` +
    `T${two(date.getHours())}:${two(date.getMinutes())}:${two(date.getSeconds())}` +
    `${zone < 0 ? "-" : "+"}${two(hours)}:${two(zone % 60)}`
  );
}

// A time that is not there is later than any.
const after = (time, at) => time === null || time > at;

const sameNotes = (a, b) => `${a.notes}|${a.frets}` === `${b.notes}|${b.frets}`;

class Session {
  constructor(lesson, started) {
    this.lesson = lesson;
    this.lines = [];
    this.cues = []; // those that were given, in their order
    this.following = null; // the cue that is to come
    this.stayAt = null;
    this.shownAt = null; // of a reveal in a stay
    this.pauseAt = null;
    this.endAt = null;
    this.endFade = 0;
    this.why = "";
    this.commandAt = 0;
    this.held = lesson.hold;
    this.endless = false;
    this.write({ t: "session", at: 0, ...lesson.head, started });
    this.writeHold(lesson.hold, 0);
    if (!lesson.choices) this.plan(0, null);
  }

  get journal() {
    return this.lines.join("");
  }

  get started() {
    return JSON.parse(this.lines[0]).started;
  }

  write(record) {
    const n = this.lines.length;
    this.lines.push(sealed({ n, ...record }));
    return n;
  }

  writeHold(hold, at) {
    const { pcs, notes, names, frets } = hold;
    this.write({ t: "hold", at, pcs, notes, names, ...(frets && { frets }) });
  }

  // ---- the plan

  // What comes after the cue that began last: `index` of the lesson's cues, at the end of that one.
  plan(index, before) {
    const cue = this.lesson.cues[index];
    if (!cue) {
      this.following = null;
      return;
    }
    const open = this.lesson.wait && before !== null;
    const shift = before === null ? 0 : (before.end ?? 0) - cue.at;
    const moved = (time) => (time === null || open ? null : time + shift);
    this.following = {
      index,
      cue,
      n: null,
      at: before === null ? cue.at : open ? null : before.end,
      tell: moved(cue.tell),
      hear: moved(cue.hear),
      end: this.lesson.wait ? null : moved(cue.end),
      mark: null,
      heardAt: null,
    };
    if (this.lesson.wait && before === null) this.openTimes(this.following);
  }

  // Of a cue that the player ends, what does not come at once waits for a press.
  openTimes(one) {
    const { way } = this.lesson;
    if (way === "ear" || way === "gap" || way === "reverse") one.tell = null;
    else one.tell = one.at;
    one.hear = way === "lead" || way === "ear" ? one.at : null;
  }

  // Whether the first cue follows the last.
  setEndless(on) {
    this.endless = on;
    if (this.last && this.endAt === null && (!this.following || this.following.n === null))
      this.plan(this.after(this.last.index), this.last);
  }

  after(index) {
    const next = index + 1;
    return next < this.lesson.cues.length || !this.endless ? next : 0;
  }

  writeAhead() {
    const one = this.following;
    if (!one || one.n !== null) return;
    const { id, pcs, notes, names, frets, hold } = one.cue;
    if (hold && !sameNotes(hold, this.held)) this.writeHold(hold, one.at);
    const { at, tell, hear, end } = one;
    one.n = this.write({ t: "cue", at, id, pcs, notes, names, tell, hear, end, ...(frets && { frets }) });
  }

  begin() {
    const one = this.following;
    this.writeAhead();
    if (one.cue.hold) this.held = one.cue.hold;
    one.held = this.held;
    this.cues.push(one);
    if (this.lesson.choices) this.following = null;
    else this.plan(this.after(one.index), one);
    return one;
  }

  // ---- looking up

  get last() {
    return this.cues[this.cues.length - 1] ?? null;
  }

  reached(time, now) {
    return time !== null && time <= now && !(this.stayAt !== null && time > this.stayAt) && !(this.endAt !== null && time > this.endAt);
  }

  shown(time, now) {
    return (time !== null && time === this.shownAt && time <= now) || this.reached(time, now);
  }

  running(now) {
    const one = this.last;
    return one && !this.reached(one.end, now) ? one : null;
  }

  told(now) {
    for (let i = this.cues.length - 1; i >= 0; i--) if (this.shown(this.cues[i].tell, now)) return this.cues[i];
    return null;
  }

  // ---- time passes

  // Does what the plan has up to a time; returns what came about.
  advance(now) {
    const happened = [];
    const { endsAt = null } = this.lesson.choices ?? {};
    while (this.endAt === null) {
      const limit = this.stayAt === null ? now : Math.min(now, this.stayAt);
      const one = this.last;
      if (this.following && this.following.at !== null && this.following.at <= limit) {
        happened.push({ what: "cue", cue: this.begin() });
      } else if (!this.following && one && one.end !== null && one.end <= limit) {
        this.end(one.end, "finished", this.lesson.finishedFade);
        happened.push({ what: "end" });
      } else if (endsAt !== null && endsAt <= now) {
        this.end(endsAt, "finished", this.lesson.finishedFade);
        happened.push({ what: "end" });
      } else break;
    }
    return happened;
  }

  end(at, why, fade) {
    this.endAt = at;
    this.endFade = fade;
    this.why = why;
    this.write({ t: "end", at, why, fade });
    for (const one of this.cues) {
      if (after(one.tell, at)) one.tell = null;
      if (after(one.hear, at)) one.hear = null;
      if (after(one.end, at)) one.end = at;
    }
  }

  // ---- commands. `now` is the session sample that has been reached; each gives back its sample,
  // or null where it means nothing now.

  command(now) {
    const grid = this.lesson.grid;
    const at = Math.max(Math.ceil(now / grid) * grid, this.commandAt);
    this.advance(at);
    if (this.endAt !== null || this.pauseAt !== null) return null;
    this.commandAt = at;
    return at;
  }

  stay(now) {
    const at = this.command(now);
    if (at === null) return null;
    if (this.stayAt !== null) return this.go(at);
    this.stayAt = at;
    this.write({ t: "stay", at });
    return at;
  }

  go(at) {
    const from = this.stayAt;
    const shift = at - from;
    const one = this.running(at);
    const kept = one && { tell: one.tell, hear: one.hear };
    this.write({ t: "go", at, shift });
    for (const each of [this.last, this.following])
      for (const key of each ? ["at", "tell", "hear", "end"] : [])
        if (each[key] !== null && each[key] > from) each[key] += shift;
    if (kept && this.shownAt !== null)
      for (const key of ["tell", "hear"]) if (kept[key] === this.shownAt) one[key] = kept[key];
    this.stayAt = this.shownAt = null;
    return at;
  }

  // Fades out from `at`; the clock goes on for the length of the fade and then stands.
  pause(now) {
    const at = this.command(now);
    if (at === null) return null;
    this.pauseAt = at;
    this.write({ t: "pause", at });
    return at;
  }

  get pausedAt() {
    return this.pauseAt + this.lesson.pauseFade;
  }

  resume(silence) {
    if (this.pauseAt === null || this.endAt !== null) return null;
    const grid = this.lesson.grid;
    const at = this.pausedAt;
    this.advance(at);
    if (this.endAt !== null) return null; // the plan ended while it faded
    this.pauseAt = null;
    this.commandAt = at;
    this.write({ t: "resume", at, after: Math.max(0, Math.round(silence / grid)) * grid });
    return at;
  }

  // The cue after this one, or any other by its index.
  next(now, index = null) {
    const at = this.command(now);
    if (at === null) return null;
    if (this.stayAt !== null) this.go(at);
    const one = this.running(at);
    const { wait } = this.lesson;
    if (index !== null) this.planInstead(index, one);
    this.writeAhead();
    if (!one && !this.following) return null;
    if ((one || this.lesson.choices) && wait) {
      this.write({ t: "next", at });
    } else {
      const shift = at - (one ? one.end : this.following.at);
      this.write({ t: "next", at, shift });
    }
    if (one) {
      if (after(one.tell, at)) one.tell = null;
      if (after(one.hear, at)) one.hear = null;
      one.end = at;
    }
    this.moveFollowing(at);
    this.advance(at);
    return at;
  }

  planInstead(index, one) {
    if (this.lesson.choices) {
      this.plan(index, one ?? { end: null });
      return;
    }
    const first = this.following && this.cues.length === 0 ? this.following.at : null;
    if (one) this.plan(index, one);
    else if (first !== null && this.following.n === null) {
      this.plan(index, null);
      if (this.following.at === null) this.following.at = first;
      const shift = first - this.following.at;
      for (const key of ["at", "tell", "hear", "end"])
        if (this.following[key] !== null) this.following[key] += shift;
      if (this.lesson.wait) this.openTimes(this.following);
    }
  }

  moveFollowing(at) {
    const one = this.following;
    if (!one) return;
    if (one.at === null) {
      one.at = at;
      this.openTimes(one);
      return;
    }
    const shift = at - one.at;
    for (const key of ["at", "tell", "hear", "end"]) if (one[key] !== null) one[key] += shift;
  }

  reveal(now) {
    const at = this.command(now);
    const one = at === null ? null : this.running(at);
    if (!one || !this.hiding(at)) return null;
    const named = this.shown(one.tell, at);
    const heard = this.shown(one.hear, at);
    this.write({ t: "reveal", at });
    if (this.stayAt !== null) this.shownAt = at;
    if (!named) one.tell = at;
    if (!heard) one.hear = at; // silent cues hide nothing, so none gets here
    return at;
  }

  // Has the running cue something that is still to come?
  hiding(now) {
    const one = this.running(now);
    return one !== null && (!this.shown(one.tell, now) || (!this.shown(one.hear, now) && this.lesson.way !== "silent"));
  }

  again(now) {
    const at = this.command(now);
    const one = at === null ? null : this.running(at);
    if (!one || !this.shown(one.hear, at)) return null;
    this.write({ t: "again", at });
    return at;
  }

  // In hunt: notes that the student says complete what is held.
  answer(now, pcs, as, hints) {
    if (this.endAt !== null || this.pauseAt !== null) return null;
    const at = Math.max(0, Math.floor(now));
    this.write({ t: "answer", at, pcs, as, ...(hints && { hints }) });
    return at;
  }

  hint(now, step) {
    if (this.endAt !== null) return null;
    const at = Math.max(0, Math.floor(now));
    this.write({ t: "hint", at, step });
    return at;
  }

  // Of the cue that was named last.
  mark(now, as) {
    const one = this.told(now);
    if (!one) return null;
    const at = Math.max(0, Math.floor(now));
    one.mark = as;
    this.write({ t: "mark", at, cue: one.n, as });
    return one;
  }

  quit(now) {
    const paused = this.pauseAt !== null;
    if (!paused) this.advance(now);
    if (this.endAt !== null) return null;
    const grid = this.lesson.grid;
    const at = paused ? this.pausedAt : Math.max(Math.ceil(now / grid) * grid, this.commandAt);
    if (!paused) this.advance(at);
    if (this.endAt !== null) return null;
    this.end(at, "quit", paused ? 0 : this.lesson.quitFade);
    return at;
  }
}
