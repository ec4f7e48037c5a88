// The random row of a run: the same for the same seed and run, another for any other, spread as it says.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { RunRandom } from "#host/bench/loop/random.ts";

const seed = fc.integer({ min: 0, max: 2 ** 31 - 1 });
const run = fc.integer({ min: 0, max: 100_000 });
const row = (s: number, r: number, count: number): number[] => {
  const random = new RunRandom(s, r);
  return Array.from({ length: count }, () => random.unit());
};

test.prop([seed, run])("repeats for a seed and a run, and differs for the next of either", (s, r) => {
  expect(row(s, r, 5)).toEqual(row(s, r, 5));
  expect(row(s, r, 5)).not.toEqual(row(s, r + 1, 5));
  expect(row(s, r, 5)).not.toEqual(row(s + 1, r, 5));
});

test.prop([seed])("first numbers of many runs fill the whole range evenly", (s) => {
  const tenths = new Array(10).fill(0);
  for (let r = 0; r < 2000; r++) tenths[Math.floor(new RunRandom(s, r).unit() * 10)]++;
  for (const count of tenths) expect(Math.abs(count - 200)).toBeLessThan(90);
});

test.prop([seed, run])("about normal: mean 0, deviation 1, never beyond 3", (s, r) => {
  const random = new RunRandom(s, r);
  const values = Array.from({ length: 4000 }, () => random.normal());
  const mean = values.reduce((sum, v) => sum + v, 0) / values.length;
  const variance = values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / values.length;
  expect(Math.abs(mean)).toBeLessThan(0.09);
  expect(Math.abs(variance - 1)).toBeLessThan(0.12);
  expect(Math.max(...values.map(Math.abs))).toBeLessThanOrEqual(3);
});
