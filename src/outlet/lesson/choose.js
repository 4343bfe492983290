// SPDX-License-Identifier: MIT
// Roam and hunt on the page: the completions to choose from, or the notes to answer with. Invariant:
// a completion that is not found has a place in the list and nothing else.
"use strict";

const hunting = () => lesson.practice === "hunt";

// For a reader of the page: what stands there and, where that reads badly, how it is said.
const named = (text, notes) => (spoken(notes) === notes ? text : `${text}, ${spoken(notes)}`);

function startChoices() {
  page.choices = lesson.choices ? new Choices(lesson) : null;
  page.answer = new Set();
  verdict("");
}

// In roam a button for each; in hunt for what is found, and places for the rest.
function showChoices() {
  const { choices } = page;
  if (!choices) return;
  const live = running();
  const order = choices.all.map((_, index) => index);
  if (hunting()) order.sort((a, b) => (choices.all[a].nth || 99) - (choices.all[b].nth || 99));
  order.forEach((index, place) => {
    const one = choices.all[index];
    const button = $("pick").children[place];
    const hidden = hunting() && !one.nth;
    button.textContent = hidden ? "?" : `${hunting() ? "" : `${place + 1}  `}${one.names}`;
    button.setAttribute("aria-label", hidden ? "? not found yet" : named(button.textContent, one.names));
    button.setAttribute("aria-pressed", String(live && choices.here === index));
    button.disabled = !live || hidden;
    button.dataset.index = index;
  });
  for (const button of $("notes").children) button.disabled = !live;
  for (const button of $("notes").querySelectorAll("[data-pc]"))
    button.setAttribute("aria-pressed", String(page.answer.has(Number(button.dataset.pc))));
  $("answer").disabled = !live || page.answer.size !== choices.size;
  $("hint").disabled = !live || choices.steps === 0;
}

function choose(index) {
  if (!running() || page.pausing || page.frozen || page.session.last?.at > now()) return;
  const cue = page.choices.cue(index);
  if (command((at) => page.session.next(at, cue)) !== null) sound.damp(page.session.commandAt);
  showChoices();
}

function chooseNext() {
  if (!running()) return start();
  if (hunting()) return giveAnswer();
  return choose(page.choices.next);
}

function verdict(text) {
  $("verdict").textContent = text;
  $("judged").textContent = spoken(text);
}

function giveAnswer() {
  const { choices } = page;
  if (!running() || page.pausing || page.frozen) return;
  if (page.answer.size !== choices.size) {
    verdict(`${choices.size} different notes are asked for, and these are ${page.answer.size}.`);
    return;
  }
  const pcs = [...page.answer].sort((a, b) => a - b);
  const judged = choices.judge(pcs);
  if (page.session.answer(now(), pcs, judged.as, choices.help(judged)) === null) return;
  choices.take(judged);
  page.answer.clear();
  verdict(verdictText(choices, pcs.map((pc) => lesson.choices.names[pc]).join(" "), judged));
  if (judged.index >= 0) choose(judged.index);
  keep();
  render();
  showChoices();
}

// One small step of help more; after the last that one again.
function giveHint() {
  const { choices } = page;
  if (!running() || choices.steps === 0) return;
  if (choices.step < choices.steps && page.session.hint(now(), choices.step + 1) !== null) choices.step++;
  verdict(hintText(choices));
  keep();
}

function toggleNote(pc) {
  if (!page.answer.delete(pc)) page.answer.add(pc);
  showChoices();
}

// Makes the buttons; nothing where the cues come by themselves.
function listChoices() {
  startChoices();
  if (!page.choices) return;
  page.choices.size = lesson.cues[0].pcs.length;
  $("pick").hidden = false;
  for (const one of page.choices.all) {
    const button = make("button", one.names, $("pick"));
    button.type = "button";
    button.addEventListener("click", () => choose(Number(button.dataset.index)));
  }
  $("notes").hidden = !hunting();
  lesson.choices.names.forEach((name, pc) => {
    const button = document.createElement("button");
    button.textContent = name;
    button.type = "button";
    button.dataset.pc = pc;
    button.setAttribute("aria-label", named(name, name));
    button.addEventListener("click", () => toggleNote(pc));
    $("answer").before(button);
  });
  $("answer").addEventListener("click", giveAnswer);
  $("hint").addEventListener("click", giveHint);
  for (const id of ["stay", "previous", "got", "missed", "marks", "cuesnav"]) $(id).hidden = true;
  document.querySelectorAll("#help .cueing").forEach((row) => (row.hidden = true));
  if (hunting()) $("reveal").hidden = $("nextcue").hidden = true;
  $("endless").parentElement.hidden = true;
  showChoices();
}

// What there is to see where the student chooses, in place of what comes by itself.
function choiceView(seen) {
  const { choices } = page;
  if (!choices || seen.ended) return seen;
  const number = hunting() ? `found ${choices.found} of ${choices.all.length}` : "";
  if (seen.one) return { ...seen, where: number, next: { at: null, what: "" } };
  const todo = hunting() ? `Find ${lesson.cues[0].pcs.length} notes that complete what is held` : "Choose one";
  return { ...seen, where: number, todo: running() ? todo : seen.todo, next: { at: null, what: "" } };
}
