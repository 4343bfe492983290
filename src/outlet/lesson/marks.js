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

const store = {
  key: `holdfast:${crc32(document.getElementById("lesson").textContent)}`,
  runs: [],
  load() {
    try {
      this.runs = JSON.parse(localStorage.getItem(this.key) ?? "[]").filter(isJournal);
    } catch {
      this.runs = [];
    }
  },
  save() {
    while (this.runs.length > 100) this.runs.shift();
    try {
      localStorage.setItem(this.key, JSON.stringify(this.runs));
    } catch {
      notice("This browser keeps nothing here: save the journal before you close the page.");
    }
  },
};

function keep() {
  if (!page.session || page.session.cues.length === 0) return;
  if (page.kept === undefined) {
    page.kept = store.runs.push("") - 1;
    listRuns();
  }
  store.runs[page.kept] = page.session.journal;
  store.save();
  page.kept = Math.min(page.kept, store.runs.length - 1);
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
  const counts = tally(store.runs.length || !page.session ? store.runs : [page.session.journal]);
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
  const earlier = store.runs.slice(0, page.kept ?? store.runs.length);
  $("earlier").hidden = earlier.length === 0;
  $("runs").replaceChildren();
  for (const journal of earlier) {
    const { started } = JSON.parse(journal.slice(0, journal.indexOf("\n")));
    const item = make("li", `${started.slice(0, 16).replace("T", " ")} `, $("runs"));
    const button = make("button", "Save", item);
    button.type = "button";
    button.setAttribute("aria-label", `Save the journal of ${started.slice(0, 16).replace("T", " ")}`);
    button.addEventListener("click", () => offer(journal));
  }
}
