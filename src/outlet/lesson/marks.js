// SPDX-License-Identifier: MIT
// Marks and journals: kept on the device where the browser lets them be, counted, given back as
// files. Invariant: the page plays on where storage is refused.
"use strict";

// ---- what is kept on this device

// Another page, or a hand, may have written there.
function isJournal(run) {
  try {
    tally([run]);
    return JSON.parse(run.slice(0, run.indexOf("\n"))).started.length > 0;
  } catch {
    return false;
  }
}

// Each session has a key of its own, so that a page that is open twice writes over nothing; what
// another one of them writes is heard of and listed.
const store = {
  key: `holdfast:${crc32(document.getElementById("lesson").textContent)}:`,
  most: 100,
  runs: [], // by their keys, which begin with their start: { key, journal }
  load() {
    const own = this.runs.filter(({ key }) => key === page.kept);
    let found = [];
    try {
      const keys = Object.keys(localStorage).filter((key) => key.startsWith(this.key) && key !== page.kept);
      found = keys.map((key) => ({ key, journal: localStorage.getItem(key) }));
    } catch {
      found = this.runs.filter(({ key }) => key !== page.kept);
    }
    this.runs = [...found.filter(({ journal }) => isJournal(journal)), ...own].sort((a, b) => (a.key < b.key ? -1 : 1));
  },
  begin(started) {
    const key = `${this.key}${started.slice(0, 19)}:${crypto.getRandomValues(new Uint32Array(1))[0]}`;
    this.runs.push({ key, journal: "" });
    for (const { key: oldest } of this.runs.slice(0, -this.most)) this.drop(oldest);
    return key;
  },
  save(key, journal) {
    this.runs.find((run) => run.key === key).journal = journal;
    try {
      localStorage.setItem(key, journal);
    } catch {
      notice("This browser keeps nothing here: save the journal before you close the page.");
    }
  },
  drop(key) {
    this.runs = this.runs.filter((run) => run.key !== key);
    try {
      localStorage.removeItem(key);
    } catch {
      // it was never kept
    }
  },
  earlier() {
    return this.runs.filter(({ key }) => key !== page.kept);
  },
};

function keep() {
  if (!page.session || page.session.cues.length === 0) return;
  const fresh = page.kept === undefined;
  if (fresh) page.kept = store.begin(page.session.started);
  store.save(page.kept, page.session.journal);
  if (fresh) listRuns();
}

// Another page of this lesson kept something, or forgot it.
function hear({ key }) {
  if (key !== null && !key.startsWith(store.key)) return;
  store.load();
  listRuns();
  listMarks();
}

function offer(journal) {
  const label = lesson.head.label.replace(/[^\p{L}\p{N}]+/gu, "-").replace(/^-+|-+$/g, "");
  const started = JSON.parse(journal.slice(0, journal.indexOf("\n"))).started;
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([journal], { type: "application/jsonl" }));
  link.download = `${[label, started.slice(0, 19).replace(/[:T]/g, "-")].filter(Boolean).join("-")}.jsonl`;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 10000);
}

// ---- marks

function mark(as) {
  const { session } = page;
  const one = session && session.mark(session.endAt === null ? heard() : session.endAt, as);
  if (!one) {
    notice("No cue has been named yet: nothing to mark.");
    return;
  }
  notice("");
  keep();
  render();
  listMarks();
}

function listMarks() {
  const counts = tally(store.runs.map(({ journal }) => journal));
  $("nomarks").hidden = counts.size > 0;
  $("tally").hidden = counts.size === 0;
  const body = $("tally").tBodies[0];
  body.replaceChildren();
  for (const { names: text, got, missed } of counts.values()) {
    const row = make("tr", undefined, body);
    for (const value of [text, got, missed]) make("td", String(value), row);
  }
}

function listRuns() {
  const earlier = store.earlier();
  const listed = earlier.map(({ key }) => key).join(" ");
  $("earlier").hidden = earlier.length === 0;
  if (listed === $("runs").dataset.listed) return; // the same, and a hand may be on one of them
  $("runs").dataset.listed = listed;
  $("runs").replaceChildren();
  for (const { key, journal } of earlier) {
    const { started } = JSON.parse(journal.slice(0, journal.indexOf("\n")));
    const item = make("li", `${started.slice(0, 16).replace("T", " ")} `, $("runs"));
    const button = make("button", "Save", item);
    button.type = "button";
    button.setAttribute("aria-label", `Save the journal of ${started.slice(0, 16).replace("T", " ")}`);
    button.addEventListener("click", () => offer(store.runs.find((run) => run.key === key)?.journal ?? journal));
  }
}
