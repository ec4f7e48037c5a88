// PWM edges to the nanosecond, against the RP2040 formula in tests/reference/parts.json: f = f_sys / ((TOP + 1) * DIV).
import { readFileSync } from "node:fs";
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { runs } from "../../../../support/effort.ts";
import { type Bench, bench, pinFunction } from "../support/bare-chip.ts";

const { RP2040 } = JSON.parse(readFileSync("tests/reference/parts.json", "utf8"));
const PWM = 0x40050000;
const slice = (n: number) => {
  const base = PWM + 0x14 * n;
  return { csr: base, div: base + 4, ctr: base + 8, cc: base + 0xc, top: base + 0x10 };
};
const EN = PWM + 0xa0;
const INTR = PWM + 0xa4;
const CYCLE_NS = 8;
const STAGE1 = slice(4);

/** Starts slice 4 and gives nitrous 1 and fuel 1 to it. */
function start(to: Bench, div: number, top: number, a: number, b: number): number {
  to.write(STAGE1.div, div << 4);
  to.write(STAGE1.top, top);
  to.write(STAGE1.cc, a | (b << 16));
  to.write(STAGE1.csr, 1);
  pinFunction(to, 8, 4);
  pinFunction(to, 9, 4);
  return to.board.nowNs;
}

/** Edges that a channel must show from `startNs` on, when it began a period there. */
function expected(startNs: number, endNs: number, stepNs: number, top: number, compare: number) {
  const edges: { ns: number; level: number }[] = [];
  if (compare === 0) return edges;
  if (compare > top) return [{ ns: startNs, level: 1 }];
  for (let from = startNs; from <= endNs; from += (top + 1) * stepNs) {
    edges.push({ ns: from, level: 1 }, { ns: from + compare * stepNs, level: 0 });
  }
  return edges.filter((edge) => edge.ns <= endNs);
}

test.prop(
  [
    fc.integer({ min: 1, max: 255 }),
    fc.integer({ min: 1, max: 40_000 }),
    fc.integer({ min: 0, max: 0xffff }),
    fc.integer({ min: 0, max: 0xffff }),
  ],
  runs(40),
)("both channels of a slice rise together and fall at their own step", (div, top, a, b) => {
  const to = bench();
  const startNs = start(to, div, top, a, b);
  const endNs = startNs + Math.min(5 * (top + 1) * div * CYCLE_NS, 100e6);
  to.board.run(endNs);
  expect(to.board.pins.edges("nitrous1")).toEqual(expected(startNs, endNs, div * CYCLE_NS, top, a));
  expect(to.board.pins.edges("fuel1")).toEqual(expected(startNs, endNs, div * CYCLE_NS, top, b));
});

describe("one slice", () => {
  test("the worked example of the reference: 20 Hz", () => {
    const { DIV, TOP, Hz, time_step_us } = RP2040.pwm.computed.example_20_Hz_at_125_MHz;
    const to = bench();
    const startNs = start(to, DIV, TOP, 1, 0);
    to.board.run(startNs + 1e9 + 1);
    const rises = to.board.pins.edges("nitrous1").filter((edge) => edge.level === 1);
    expect(rises.length).toBe(Hz + 1);
    expect(rises.at(-1)!.ns - rises[0]!.ns).toBe(1e9);
    expect(to.board.pins.edges("nitrous1")[1]!.ns - startNs).toBeCloseTo(1000 * time_step_us, 6);
  });

  test("the enable register reads back and starts slices in phase", () => {
    const to = bench();
    for (const n of [4, 5]) {
      to.write(slice(n).div, 250 << 4);
      to.write(slice(n).top, 999);
      to.write(slice(n).cc, 100);
    }
    to.write(EN, 0x30);
    expect(to.read(EN)).toBe(0x30);
    pinFunction(to, 8, 4);
    pinFunction(to, 10, 4);
    to.board.runFor(10_000);
    expect(to.board.pins.edges("nitrous2")).toEqual(to.board.pins.edges("nitrous1"));
    expect(to.board.pins.edges("nitrous1").length).toBeGreaterThan(8);
  });

  test("compare and top change at the wrap and not before", () => {
    const to = bench();
    const startNs = start(to, 250, 999, 500, 0);
    to.board.run(startNs + 200_000);
    to.write(STAGE1.cc, 700);
    to.write(STAGE1.top, 1999);
    expect(to.read(STAGE1.cc)).toBe(700);
    to.board.run(startNs + 7e6);
    const ns = to.board.pins.edges("nitrous1").map((edge) => (edge.ns - startNs) / 1000);
    expect(ns).toEqual([0, 1000, 2000, 3400, 6000]);
  });

  test("a counter set to its top wraps at its next step and takes the new values over", () => {
    const to = bench();
    const startNs = start(to, 250, 24_999, 0, 0);
    to.board.run(startNs + 12_345_678);
    to.write(STAGE1.cc, 300);
    to.write(STAGE1.ctr, 24_999);
    to.board.run(startNs + 14e6);
    const nextStepNs = Math.ceil(12_345_678 / 2000) * 2000;
    expect(to.board.pins.edges("nitrous1").map((edge) => edge.ns - startNs)).toEqual([
      nextStepNs,
      nextStepNs + 600_000,
    ]);
  });

  test("the counter reads what has been counted", () => {
    const to = bench();
    const startNs = start(to, 250, 999, 0, 0);
    to.board.run(startNs + 1_234_500);
    expect(to.read(STAGE1.ctr)).toBe(Math.floor(1_234_500 / 2000));
  });

  test("a stopped slice holds its outputs and its counter", () => {
    const to = bench();
    const startNs = start(to, 250, 999, 500, 0);
    to.board.run(startNs + 100_000);
    to.write(STAGE1.csr, 0);
    to.board.runFor(100_000);
    expect(to.board.pins.edges("nitrous1")).toEqual([{ ns: startNs, level: 1 }]);
    expect(to.read(STAGE1.ctr)).toBe(50);
  });

  test("the wrap asks for interrupt 4 where it is enabled", () => {
    const to = bench();
    to.write(PWM + 0xa8, 1 << 4);
    const startNs = start(to, 250, 999, 0, 0);
    to.board.run(startNs + 1_999_000);
    expect(to.interrupt(4)).toBe(false);
    to.board.run(startNs + 2_001_000);
    expect(to.interrupt(4)).toBe(true);
    to.write(INTR, 1 << 4);
    expect(to.interrupt(4)).toBe(false);
  });

  test("what is not modelled is refused", () => {
    const to = bench();
    expect(() => to.write(STAGE1.csr, 3)).toThrow("not modelled");
    expect(() => to.write(STAGE1.div, (250 << 4) | 1)).toThrow("fractional");
    start(to, 250, 999, 0, 0);
    expect(() => to.write(STAGE1.ctr, 1000)).toThrow("above its top");
  });
});

describe("a counter above its top", () => {
  test.prop([fc.integer({ min: 1, max: 60_000 }), fc.integer({ min: 1, max: 5_000 })], runs(10))(
    "is refused, set while the slice runs or before it is started: it would count to 65535 first",
    (top, above) => {
      const running = bench();
      start(running, 250, top, 1, 1);
      expect(() => running.write(STAGE1.ctr, top + above)).toThrow("above its top");
      const stopped = bench();
      start(stopped, 250, top + above, 1, 1);
      stopped.write(STAGE1.csr, 0);
      stopped.write(STAGE1.ctr, top + above);
      stopped.write(STAGE1.top, top);
      expect(() => stopped.write(STAGE1.csr, 1)).toThrow("above its top");
    },
  );
});
