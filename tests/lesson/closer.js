// SPDX-License-Identifier: MIT
/* global page, sound, lesson, document */
// Lesson pages in a browser, looked at and listened to more closely: where the notes stand, what
// sounds when. Given to browser.js, which runs it.
"use strict";
const assert = require("node:assert");

// "Eb4" as its line or space, counted from C0, and its MIDI number.
function pitch(name) {
  const [, letter, sign, octave] = /^([A-G])([#b]*)(\d)$/.exec(name);
  const step = "CDEFGAB".indexOf(letter) + 7 * Number(octave);
  const midi = 12 * (Number(octave) + 1) + [0, 2, 4, 5, 7, 9, 11]["CDEFGAB".indexOf(letter)];
  return { step, sign, midi: midi + (sign[0] === "b" ? -sign.length : sign.length) };
}

module.exports = ({ test, opened, sheet, until, text }) => {
  // derived: the top line of a treble staff is F5, and a step is half of the space between lines.
  test("the staff has each note at its place, and nothing that is hidden", async () => {
    const page = await opened(sheet("--synth", "--every", "wait", "--cue", "ear", "--lead-in", "0.2s"));
    const drawn = () =>
      page.evaluate(() => {
        const all = (what, key) => [...document.querySelectorAll(`#staff ${what}`)].map((one) => Number(one.getAttribute(key)));
        const lines = [...document.querySelectorAll("#staff line")].filter((line) => line.getAttribute("x2") - line.getAttribute("x1") > 100);
        return { lines: lines.map((line) => Number(line.getAttribute("y1"))).sort((a, b) => a - b), held: all("ellipse.held", "cy"), added: all("ellipse.added", "cy"),
          signs: document.querySelectorAll("#staff .sign").length };
      });
    await page.click("#play");
    for (let cue = 1; cue <= 3; cue++) {
      await until(page, "number", new RegExp(`^${cue} of`));
      assert.deepStrictEqual((await drawn()).added, []);
      assert.ok(!(await page.locator("#stage").ariaSnapshot()).includes("added"));
      await page.keyboard.press("PageDown");
      await until(page, "small", /\d/);
      const { lines, held, added, signs } = await drawn();
      const [top, space] = [lines[0], lines[1] - lines[0]];
      const places = (names) => names.map((name) => top + ((38 - pitch(name).step) * space) / 2);
      const [holds, adds] = [["C3", "E3", "G#3"], (await text(page, "small")).split(" ")];
      assert.deepStrictEqual(held, places(holds));
      assert.deepStrictEqual(added, places(adds));
      assert.strictEqual(signs, [...holds, ...adds].map((name) => pitch(name).sign.length).reduce((a, b) => a + b));
      await page.keyboard.press("PageDown");
    }
    await page.done();
  });

  // published: the open strings of a guitar are E2 A2 D3 G3 B3 E4.
  test("the shape sounds the notes that are named", async () => {
    const page = await opened(sheet("--synth", "--every", "wait", "--hand", "guitar", "--lead-in", "0.2s"));
    await page.click("#play");
    for (let cue = 1; cue <= 4; cue++) {
      await until(page, "number", new RegExp(`^${cue} of`));
      await page.keyboard.press("r");
      await until(page, "small", /\d/);
      const { strings, rows, dots, open, first } = await page.evaluate(() => {
        const of = (what, ...keys) => [...document.querySelectorAll(`#frame ${what}`)].map((one) => keys.map((key) => Number(one.getAttribute(key))));
        const lines = of("line", "x1", "x2", "y1", "y2");
        const texts = [...document.querySelectorAll("#frame text")];
        return {
          strings: lines.filter(([x1, x2]) => x1 === x2).map(([x]) => x).sort((a, b) => a - b),
          rows: lines.filter(([, , y1, y2]) => y1 === y2).map(([, , y]) => y).sort((a, b) => a - b),
          dots: of("circle", "cx", "cy"),
          open: texts.filter((one) => one.textContent === "0").map((one) => Number(one.getAttribute("x"))),
          first: Number(document.querySelector("#frame .fret")?.textContent ?? 1),
        };
      });
      const tuning = ["E2", "A2", "D3", "G3", "B3", "E4"].map((name) => pitch(name).midi);
      const stopped = dots.map(([x, y]) => tuning[strings.indexOf(x)] + first + rows.filter((row) => row < y).length - 1);
      const sounded = [...stopped, ...open.map((x) => tuning[strings.indexOf(x)])].sort((a, b) => a - b);
      assert.deepStrictEqual(sounded, (await text(page, "small")).split(" ").map((name) => pitch(name).midi));
      await page.keyboard.press("PageDown");
    }
    await page.done();
  });

  test("a stay keeps notes back, a pause fades, a new cue damps the old one", async () => {
    const page = await opened(sheet("--synth", "--rounds", "1", "--every", "3s", "--lead-in", "1s"));
    const begun = (count) => page.waitForFunction((to) => [...sound.added].filter((voice) => voice.begun).length === to, count, { timeout: 2000 });
    await page.click("#play");
    await until(page, "number", /^1 of/);
    await page.keyboard.press(" ");
    await until(page, "stay", /Go on/);
    await page.waitForTimeout(3000); // past the time at which they would have sounded
    await begun(0);
    await page.keyboard.press("r");
    await until(page, "todo", /Play/);
    await begun(1);
    await page.keyboard.press("PageDown");
    await until(page, "number", /^2 of/);
    await begun(0);
    await page.keyboard.press("r");
    await until(page, "todo", /^Play/);
    await until(page, "number", /^3 of/); // by itself
    await begun(0);
    await page.keyboard.press("p");
    await page.waitForFunction(() => page.frozen && !page.pausing);
    assert.ok((await page.evaluate(() => sound.going.gain.value)) < 0.02);
    await page.done();
  });

  test("the loudest notes stay under half of full scale, and the volume is the student's", async () => {
    const page = await opened(sheet("--synth", "--rounds", "1", "--every", "3s", "--cue", "lead", "--lead-in", "2s"));
    await page.click("#play");
    await until(page, "todo", /Listen/);
    const most = await page.evaluate(async () => {
      const entry = await sound.get("clip", lesson.cues[0].clip).ready;
      entry.peak = 2; // as if they were as loud as that
      const voice = sound.strike(lesson.cues[0].clip, sound.now + lesson.rate);
      return voice.gain.gain.value * entry.peak + sound.heldPeak;
    });
    assert.ok(most <= 0.5 + 1e-6, `${most}`);
    for (const [db, gain] of [["-20", 0.1], ["-40", 0]]) {
      await page.fill("#volume", db);
      await page.waitForFunction((to) => Math.abs(sound.master.gain.value - to) < 0.005, gain);
    }
    await page.done();
  });

  test("it goes round without end where that is wanted", async () => {
    const page = await opened(sheet("--synth", "--rounds", "1", "--every", "0.5s", "--lead-in", "0.5s"));
    await page.check("#endless");
    await page.click("#play");
    await until(page, "number", /^6 of/);
    await until(page, "number", /^1 of/);
    await page.uncheck("#endless");
    await until(page, "todo", /The end/);
    await page.done();
  });
};
