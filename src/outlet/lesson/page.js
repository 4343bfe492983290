// SPDX-License-Identifier: MIT
// The page: buttons, keys, what is shown, marks that are kept. Invariants: texts of the lesson go in
// as text; the page works where storage is refused; the clock is the sound's.
"use strict";

const lesson = JSON.parse(document.getElementById("lesson").textContent);
const sound = new Sound(lesson);
const $ = (id) => document.getElementById(id);
const page = {
  session: null,
  pausing: false, // the fade of a pause is on its way
  frozen: false,
  opening: false,
  shown: "",
  damped: null,
};

// ---- small things

function notice(text) {
  $("notice").textContent = text;
}

const running = () => page.session !== null && page.session.endAt === null;
const now = () => (page.frozen ? page.session.pausedAt : sound.now + 0.005 * lesson.rate);
const stopped = () => running() && !page.frozen && sound.stopped; // by the device, not by a pause
const heard = () => (page.frozen ? page.session.pausedAt : sound.heard);

function make(kind, text, parent) {
  const element = document.createElement(kind);
  if (text !== undefined) element.textContent = text;
  parent?.append(element);
  return element;
}

// ---- playing

async function start(index = 0) {
  if (page.opening) return;
  page.opening = true;
  notice("");
  $("todo").textContent = "One moment …";
  try {
    page.session = null;
    startChoices();
    if (page.choices) page.choices.size = lesson.cues[0].pcs.length;
    await sound.open(lesson.hold.loop, lesson.cues[index]?.clip ?? null);
    page.session = new Session(lesson, stamp(new Date()));
    page.kept = undefined;
    page.pausing = page.frozen = false;
    page.session.endless = $("endless").checked;
    page.voices = new WeakMap();
    page.ticks = [];
    navigator.wakeLock?.request("screen").catch(() => {}); // a telephone would go dark
    sound.hold(lesson.hold.loop, 0, 3);
    if (index > 0) command((at) => page.session.next(at, index));
    tick();
  } catch (error) {
    notice(`The sound can't start: ${error.message}`);
  } finally {
    page.opening = false;
    render();
  }
}

// A command takes back what was laid ahead, since it may change it.
function command(act) {
  if (!running() || page.pausing) return null;
  sound.takeBack();
  page.voices = new WeakMap([...(page.session.cues ?? [])].filter((one) => page.voices.get(one)?.begun).map((one) => [one, page.voices.get(one)]));
  const done = act(now());
  tick();
  keep();
  render();
  return done;
}

// Lays the notes of a cue once their time is near, unless a stay or a pause stands before it.
function lay(one, until) {
  const { session } = page;
  if (!one || one.hear === null || page.voices.get(one) || one.hear > until) return;
  if (session.endAt !== null || (session.stayAt !== null && one.hear > session.stayAt && one.hear !== session.shownAt)) return;
  if (session.pauseAt !== null && one.hear >= session.pausedAt) return;
  if (session.reached(one.end, sound.now)) return;
  const voice = sound.strike(one.cue.clip, one.hear);
  if (voice) page.voices.set(one, voice);
}

// The beats before the first cue; a leap over them leaves them out.
function countIn(until) {
  const { session } = page;
  const first = session.following;
  if (session.cues.length > 0 || !first || session.stayAt !== null || session.pauseAt !== null) return;
  lesson.countIn.forEach(({ before, accent }, index) => {
    const at = first.at - before;
    const laid = page.ticks[index];
    if (at > until || at < sound.now || (laid && (laid.begun || !laid.gone))) return;
    page.ticks[index] = sound.tick(accent, at);
  });
}

function follow(events) {
  const { session } = page;
  for (const { what, cue } of events) {
    if (what === "cue" && session.cues.length > 1) sound.damp(cue.at);
    if (what === "cue" && cue.cue.hold) sound.hold(cue.cue.hold.loop, cue.at, 3);
    if (what === "end") finish();
  }
  if (events.length) keep();
}

function finish() {
  const { session } = page;
  const seconds = session.endFade / lesson.rate;
  if (seconds > 0) sound.fade(sound.ending, 1, 0, session.endAt, seconds);
  const finished = session;
  setTimeout(() => {
    if (page.session === finished) sound.stopAll();
  }, 1000 * (Math.max(0, sound.timeOf(session.endAt) - sound.context.currentTime) + seconds));
  notice(session.why === "finished" ? "Done. Save the journal below, or play again." : "Ended. Save the journal below, or play again.");
}

function tick() {
  const { session } = page;
  if (!running() || page.frozen) return;
  const at = session.pauseAt === null ? sound.now : Math.min(sound.now, session.pausedAt);
  const given = session.cues.length;
  follow(session.advance(at));
  if (session.endAt !== null) return;
  for (let i = given; i < session.cues.length; i++) prefetch(session.cues[i].index);
  countIn(at + LOOK_S * lesson.rate);
  lay(session.last, at + LOOK_S * lesson.rate);
  lay(session.following, at + LOOK_S * lesson.rate);
  if (page.pausing && sound.now >= session.pausedAt) freeze();
}

// What comes next should be ready before it is needed.
function prefetch(index) {
  for (const next of lesson.choices ? [] : [index, index + 1, index + 2]) {
    const cue = lesson.cues[next % lesson.cues.length];
    sound.get("clip", cue.clip);
    if (cue.hold && cue.hold.loop !== null) sound.get("loop", cue.hold.loop);
  }
}

// ---- commands

async function freeze() {
  page.frozen = true;
  sound.takeBack();
  page.voices = new WeakMap([...page.session.cues].filter((one) => page.voices.get(one)?.begun).map((one) => [one, page.voices.get(one)]));
  await sound.freeze(page.session.pausedAt);
  page.pausing = false; // only now: a press before this is kept for later
  if (page.resumeWanted) resume();
  render();
}

function pause() {
  page.resumeWanted = false;
  const at = command((time) => page.session.pause(time));
  if (at === null) return;
  page.pausing = true;
  sound.fade(sound.going, 1, 0, at, lesson.pauseFade / lesson.rate);
  render();
}

async function resume() {
  page.resumeWanted = false;
  if (page.thawing) return;
  page.thawing = true;
  const silence = await sound.thaw();
  page.thawing = false;
  const at = page.session.resume(silence);
  page.frozen = false;
  sound.stages();
  if (at !== null) sound.fade(sound.coming, 0, 1, at, lesson.pauseFade / lesson.rate);
  tick();
  keep();
  render();
}

const actions = {
  play() {
    if (!running()) start();
    else if (stopped()) sound.wake();
    else if (page.pausing) page.resumeWanted = !page.resumeWanted;
    else if (page.frozen) resume();
    else pause();
  },
  stay() {
    if (!running()) start();
    else command((at) => page.session.stay(at));
  },
  nextcue() {
    if (page.choices) chooseNext();
    else if (!running()) start();
    else if (lesson.wait && page.session.hiding(now())) actions.reveal();
    else command((at) => page.session.next(at)) !== null && sound.damp(page.session.commandAt);
  },
  previous() {
    if (!running()) return;
    const one = page.session.last;
    actions.jump(one ? Math.max(0, one.index - 1) : 0);
  },
  jump(index) {
    if (!running()) start(index);
    else if (command((at) => page.session.next(at, index)) !== null) sound.damp(page.session.commandAt);
  },
  again() {
    const one = running() ? page.session.running(now()) : null;
    if (!one) return;
    if (page.choices && lesson.way === "confirm" && one.hear === null) {
      actions.reveal(); // it waits to be asked for
      return;
    }
    if (!page.session.shown(one.hear, now())) {
      notice(lesson.way === "silent" ? "These cues never sound." : "It has not sounded yet: Reveal sounds it.");
      return;
    }
    const at = command((time) => page.session.again(time));
    if (at === null) return;
    sound.damp(at);
    sound.strike(one.cue.clip, at);
  },
  reveal() {
    if (running()) command((at) => page.session.reveal(at));
  },
  got: () => mark("got"),
  missed: () => mark("missed"),
  leave() {
    if (!running()) return;
    if (stopped()) sound.wake();
    sound.takeBack();
    page.session.quit(now());
    page.pausing = page.frozen = false;
    if (page.session.endFade === 0) sound.stopAll();
    finish();
    keep();
    render();
  },
};

// ---- keys

const keys = {
  " ": "stay",
  Enter: "nextcue",
  PageDown: "nextcue",
  ArrowRight: "nextcue",
  PageUp: "again",
  ArrowLeft: "again",
  r: "reveal",
  p: "play",
  g: "got",
  m: "missed",
  q: "leave",
};

function onKey(event) {
  if (event.ctrlKey || event.altKey || event.metaKey || event.repeat) return;
  const own = event.target.closest?.("button, input, summary, a, textarea");
  const arrows = event.target.matches?.('input[type="range"]') && event.key.startsWith("Arrow");
  if (arrows || (own && (event.key === " " || event.key === "Enter"))) return;
  const digit = page.choices && !hunting() && /^[1-9]$/.test(event.key) ? Number(event.key) : 0;
  if (digit && digit <= page.choices.all.length) choose(digit - 1);
  if (event.key === "h" && page.choices && hunting()) giveHint();
  const action = event.shiftKey && event.key === "ArrowLeft" ? "previous" : keys[event.key.length === 1 ? event.key.toLowerCase() : event.key];
  if (!action || (page.choices && ["stay", "previous", "got", "missed"].includes(action) && running())) return;
  event.preventDefault();
  actions[action]();
}

// ---- showing

function words(next, at) {
  if (next.at === null) return "";
  const left = clock(next.at - at, lesson.rate);
  const what = { answer: "answer in", name: "name in", sound: "sound in", next: "next in", end: "end in", first: "first cue in" };
  return `${what[next.what]} ${left}`;
}

function promptText(seen) {
  if (seen.ended) return seen.todo;
  if (stopped()) return "The device has stopped the sound: Resume goes on";
  if (seen.paused) return "Paused";
  return (seen.staying ? "Staying. " : "") + seen.todo;
}

function drawStage(seen) {
  const { session } = page;
  const held = session ? session.held : lesson.hold;
  const known = seen.one && seen.told && !seen.ended ? seen.one.cue : null;
  const signature = `${held.notes}|${known ? known.notes : ""}|${known?.frets ?? ""}`;
  if (signature === page.drawn) return;
  page.drawn = signature;
  $("staff").replaceChildren(staff(held, known, page.reach));
  const frets = known?.frets ?? held.frets ?? (page.rows && lesson.board.strings.map(() => null));
  $("frame").replaceChildren(...(lesson.board && frets ? [frame(lesson.board, frets, held.frets, page.rows)] : []));
  $("held").textContent = `Held: ${pitches(held)}`;
}

function showCues(seen) {
  const { session } = page;
  const marks = new Map((session?.cues ?? []).filter((one) => one.mark).map((one) => [one.index, one.mark]));
  [...$("cues").children].forEach((item, index) => {
    const button = item.firstElementChild;
    const as = marks.get(index) ?? "";
    if (seen.number === index + 1 && !seen.ended) button.setAttribute("aria-current", "step");
    else button.removeAttribute("aria-current");
    button.className = as;
    button.setAttribute("aria-label", `Cue ${index + 1}${as ? `, ${as}` : ""}`);
  });
}

function showButtons(seen) {
  const live = running();
  const free = live && !seen.paused;
  $("play").textContent = !live ? (page.session ? "Play again" : "Play") : seen.paused || stopped() ? "Resume" : "Pause";
  $("stay").setAttribute("aria-pressed", String(live && seen.staying));
  $("stay").textContent = live && seen.staying ? "Go on" : "Stay";
  $("previous").disabled = $("nextcue").disabled = $("stay").disabled = !free;
  $("again").disabled = !free || !seen.one || !(seen.heard || (page.choices && lesson.way === "confirm"));
  $("reveal").disabled = !free || !page.session.hiding(now());
  $("got").disabled = $("missed").disabled = !page.session || !page.session.told(live ? heard() : page.session.endAt);
  $("leave").disabled = !live;
  $("save").disabled = !page.session || page.session.cues.length === 0;
}

function announce(seen) {
  const what = seen.large && seen.large !== "?" ? `: ${seen.large}` : "";
  const cue = seen.number && !page.choices ? `Cue ${seen.number}. ` : "";
  const text = seen.ended || seen.paused || stopped() ? promptText(seen) : cue + promptText(seen) + what;
  if (text === page.said) return;
  page.said = text;
  $("say").textContent = spoken(text);
}

function setText(id, text) {
  if ($(id).textContent !== text) $(id).textContent = text;
}

function render() {
  if (page.opening) return;
  const at = page.session ? heard() : 0;
  const seen = choiceView(page.session
    ? view(page.session, at)
    : { number: 0, total: lesson.cues.length, todo: "Press Play when you are ready.", large: "", small: "", next: { at: null }, one: null });
  setText("number", seen.where ?? (seen.number ? `${seen.number} of ${seen.total}` : `${seen.total} cues`));
  setText("next", seen.paused || seen.ended ? "" : words(seen.next, at));
  setText("todo", promptText(seen));
  setText("large", seen.large);
  setText("small", seen.small);
  drawStage(seen);
  const state = [seen.number, seen.todo, seen.large, seen.small, seen.staying, seen.paused, seen.ended, running(), stopped(), seen.heard, seen.told, page.session?.lines.length].join("|");
  if (state === page.shown) return;
  page.shown = state;
  showCues(seen);
  showButtons(seen);
  showChoices();
  if (page.session) announce(seen);
}

// ---- the plan, for paper

function listPlan() {
  $("planheld").textContent = `Held: ${pitches(lesson.hold)}`;
  let held = lesson.hold;
  const seen = new Set();
  if (hunting()) $("plan").hidden = true; // it would tell them all
  lesson.cues.forEach((cue, index) => {
    if (lesson.choices && seen.has(cue.id)) return; // one voicing of each
    seen.add(cue.id);
    if (cue.hold) held = cue.hold;
    const row = make("tr", undefined, $("planrows"));
    make("td", String(index + 1), row);
    make("td", cue.at === null ? "" : clock(cue.at, lesson.rate), row);
    make("td", pitches(cue), row);
    make("td", undefined, row).append(staff(held, cue));
    const frets = make("td", undefined, row);
    if (lesson.board && cue.frets) frets.append(frame(lesson.board, cue.frets, held.frets));
    make("td", cue.mark ?? "", row);
  });
  if (!lesson.board) document.querySelectorAll(".shapecol, #planrows td:nth-child(5)").forEach((cell) => (cell.hidden = true));
}

function setVolume() {
  const db = Number($("volume").value);
  $("volume").setAttribute("aria-valuetext", db <= -40 ? "silent" : `${db} decibels`);
  sound.setVolume(db <= -40 ? -60 : db);
}

// ---- the beginning

// Pictures of one size, so that nothing below them moves from cue to cue.
function measure() {
  const records = [lesson.hold, ...lesson.cues, ...lesson.cues.flatMap((cue) => cue.hold ?? [])];
  const shapes = records.flatMap((record) => (record.frets ? [record.frets] : []));
  page.reach = reachOf(records);
  page.rows = shapes.length && Math.max(...shapes.map((frets) => rowsOf(frets).count));
}

function begin() {
  measure();
  const { label } = lesson.head;
  document.body.dataset.practice = lesson.practice;
  if (label) $("title").textContent = label;
  const kinds = { roam: "Roam", hunt: "Hunt" };
  $("about").textContent = `${kinds[lesson.practice] ?? `${lesson.cues.length} cues`} over ${pitches(lesson.hold)}`;
  $("numberkeys").hidden = lesson.practice !== "roam";
  $("hintkey").hidden = lesson.practice !== "hunt";
  lesson.cues.forEach((_, index) => {
    const button = make("button", String(index + 1), make("li", undefined, $("cues")));
    button.type = "button";
    button.addEventListener("click", () => actions.jump(index));
  });
  for (const id of ["play", "stay", "nextcue", "previous", "again", "reveal", "got", "missed", "leave"])
    $(id).addEventListener("click", actions[id]);
  // After a press with a finger or a mouse the keys go to the lesson, not to the button again.
  document.addEventListener("click", (event) => {
    if (event.detail > 0 && event.target.closest("#controls button, #cues button")) $("stage").focus({ preventScroll: true });
  });
  document.addEventListener("keydown", onKey);
  $("volume").addEventListener("input", setVolume);
  $("endless").addEventListener("change", () => running() && page.session.setEndless($("endless").checked));
  $("save").addEventListener("click", () => offer(page.session.journal));
  $("forget").addEventListener("click", () => {
    for (const { key } of store.earlier()) store.drop(key);
    listRuns();
    listMarks();
  });
  store.load();
  window.addEventListener("storage", hear);
  listChoices();
  listPlan();
  listMarks();
  listRuns();
  render();
  setInterval(() => {
    tick();
    render();
  }, 10);
}

begin();
