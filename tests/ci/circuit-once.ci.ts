// The faults once found in the circuit, solved on that circuit and on the one of now: none is left that is bad and has no answer.
import { expect, test } from "vitest";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { foundLine, foundOnce } from "../circuit/once.ts";
import { readTimes } from "../circuit/spice/kept.ts";
import { value } from "../hardware-notes/values.ts";

/** Looked at with the others, and harmless then as now. */
const HARMLESS = [
  "a ground wire of the box broken, processor dead",
  "a sensor's ground wire open",
  "the same, arm switch off",
  "C3: 1 open",
  "D2: A shorted to K",
  "D4: A shorted to K",
];

test("each was bad but for the harmless ones; now none is bad without an answer", async () => {
  const found = await foundOnce(value, readTimes().rows);
  expect(found.filter(({ was }) => !was.bad).map(({ name }) => name)).toEqual(HARMLESS);
  expect(found.filter(({ now, answer }) => now.bad && answer === undefined).map(foundLine)).toEqual([]);
  expect(found.filter(({ was, now }) => was.bad && !now.bad).length).toBeGreaterThan(15);
  for (const { answer = "left to you" } of found) {
    const [id] = answer.split(": ");
    expect(["left to you", "stated", ...INTERLOCKS.map((one) => one.id)]).toContain(id);
  }
});
