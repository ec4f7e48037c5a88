// Lines for terminals: nothing wider than asked, nothing that hangs on colour, progress that only goes forward.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { heightAt, plotLines } from "#host/report/terminal/plot.ts";
import { barText, progressOn } from "#host/report/terminal/progress.ts";
import { tableLines } from "#host/report/terminal/table.ts";
import { paintFor, showsColour, widthOf } from "#host/report/terminal/terminal.ts";
import { labelled, wrap } from "#host/report/terminal/wrap.ts";

const words = fc.array(fc.stringMatching(/^[a-z]{1,12}$/), { maxLength: 30 });

describe("wrapping", () => {
  test.prop([words, fc.integer({ min: 16, max: 100 }), fc.integer({ min: 0, max: 3 })])(
    "keeps every word in order and the width",
    (list, width, hang) => {
      const lines = wrap(list.join(" "), width, hang);
      expect(lines.flatMap((line) => line.trim().split(" ")).filter((w) => w !== "")).toEqual(list);
      for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
    },
  );

  test.prop([words, fc.integer({ min: 30, max: 100 })])(
    "a label stands once, before the text",
    (list, width) => {
      const lines = labelled("got", list.join(" "), width);
      expect(lines.filter((line) => line.startsWith("got ")).length).toBe(list.length === 0 ? 0 : 1);
      for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
    },
  );
});

describe("tables", () => {
  const cell = fc.stringMatching(/^[a-z0-9]{1,15}$/);
  const rows = fc.array(fc.tuple(cell, cell, cell), { minLength: 1, maxLength: 6 });

  test.prop([rows, fc.integer({ min: 40, max: 120 })])("fit the width and hold every cell", (list, width) => {
    const lines = tableLines(["a", "b", "c"], list, width);
    for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
    const text = lines.join("\n");
    for (const row of list) for (const one of row) expect(text).toContain(one);
  });
});

describe("colour", () => {
  const screen = { write: () => true, isTTY: true };
  test("only on a terminal, never against NO_COLOR, always with FORCE_COLOR", () => {
    expect(showsColour(screen, {})).toBe(true);
    expect(showsColour({ write: () => true }, {})).toBe(false);
    expect(showsColour(screen, { TERM: "dumb" })).toBe(false);
    expect(showsColour(screen, { NO_COLOR: "1", FORCE_COLOR: "1" })).toBe(false);
    expect(showsColour({ write: () => true }, { FORCE_COLOR: "1" })).toBe(true);
    expect(showsColour(screen, { FORCE_COLOR: "0" })).toBe(false);
    expect(paintFor(screen, { NO_COLOR: "1" }).bad("x")).toBe("x");
  });
  test("80 columns where the width is not known", () => {
    expect(widthOf({ write: () => true })).toBe(80);
  });
});

describe("progress", () => {
  const shares = fc.array(fc.nat(100), { minLength: 1 }).map((list) => [...list].sort((a, b) => a - b));

  test.prop([shares])("in a pipe: rising tenths, each once", (list) => {
    const said: string[] = [];
    const show = progressOn({ write: (text) => said.push(text) }, "write");
    for (const done of list) show.update(done, 100);
    show.end();
    const tenths = said.map((line) => Number(/(\d+) %\n$/.exec(line)![1]));
    expect(tenths).toEqual([...new Set(tenths)].sort((a, b) => a - b));
    expect(tenths.at(-1)).toBe(Math.floor(list.at(-1)! / 10) * 10);
  });

  test.prop([fc.double({ min: 0, max: 1, noNaN: true }), fc.integer({ min: 30, max: 200 })])(
    "the bar fits",
    (share, width) => {
      expect(barText("write", share, width).length).toBeLessThanOrEqual(width);
    },
  );
});

test.prop([fc.boolean(), fc.nat(5)])(
  "the terminal is made quiet once, before a bar is drawn, and for nothing but a bar",
  (isTTY, updates) => {
    const said: string[] = [];
    const screen = { isTTY, write: (text: string) => said.push(text.startsWith("\r") ? "bar" : "end") };
    const show = progressOn(screen, "write", () => void said.push("quiet"));
    for (let done = 0; done < updates; done++) show.update(0, 1);
    show.end();
    show.end();
    const bars = Array.from({ length: updates }, () => "bar");
    if (isTTY) expect(said).toEqual(updates === 0 ? [] : ["quiet", ...bars, "end"]);
    else expect(said).not.toContain("quiet");
  },
);

describe("plots", () => {
  test("height is straight between the points and held at the ends", () => {
    const curve = [
      [0, 100],
      [10, 300],
    ] as const;
    expect([-5, 0, 5, 10, 15].map((place) => heightAt(curve, place))).toEqual([100, 100, 200, 300, 300]);
  });

  test("old, new and both are told apart without colour, within the width", () => {
    const pair = {
      before: [
        [0, 0],
        [10, 1000],
      ],
      after: [
        [0, 500],
        [10, 1000],
      ],
      top: 1000,
      left: "0 s",
      right: "10 s",
      sides: { before: "controller", after: "file" },
    } as const;
    for (const width of [40, 80, 200]) {
      const lines = plotLines(pair, width);
      const text = lines.slice(0, 8).join("");
      for (const mark of ["o", "+", "*"]) expect(text).toContain(mark);
      expect(lines.slice(8).join(" ")).toContain("o controller  + file  * both");
      for (const line of lines) expect(line.length).toBeLessThanOrEqual(width);
    }
  });
});
