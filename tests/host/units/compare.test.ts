// Limits do not depend on the last bits of a computed value, and are no wider for it than anybody could measure.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { isAbove, isBelow } from "#host/units/compare.ts";

const limit = fc.double({ min: -1e9, max: 1e9, noNaN: true }).filter((value) => Math.abs(value) > 1e-9);
/** As many units in the last place as a long calculation may be off. */
const lastBits = fc.integer({ min: -1000, max: 1000 });

describe("a computed value against a limit", () => {
  test.prop([limit, lastBits])("off by last bits it is neither above nor below", (at, bits) => {
    const value = at * (1 + bits * Number.EPSILON);
    expect([isAbove(value, at), isBelow(value, at)]).toEqual([false, false]);
  });

  test.prop([limit, fc.double({ min: 1e-8, max: 1, noNaN: true })])("off by more it is", (at, part) => {
    const off = part * Math.abs(at);
    expect([isAbove(at + off, at), isBelow(at + off, at)]).toEqual([true, false]);
    expect([isAbove(at - off, at), isBelow(at - off, at)]).toEqual([false, true]);
  });
});
