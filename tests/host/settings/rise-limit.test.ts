// Where the rise limit rules: told for ramps over time alone, at the part that is too steep, never where the ramp is slower.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { heldRises } from "#host/settings/rise-limit.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

type Pairs = [number, number][];

/** One stage with one ramp, and the rise limit in %/s. */
function withRamp(over: string, points: Pairs, limit: number): Document {
  const document = structuredClone(exampleDocument(1)) as {
    flow: { riseLimitPercentPerS: number };
    stages: { ramps: { over: string; points: Pairs }[] }[];
  } & Document;
  document.flow.riseLimitPercentPerS = limit;
  document.stages[0]!.ramps[0] = { over, points };
  return document;
}

test("the part that is too steep, and the first share", () => {
  const found = heldRises(
    withRamp(
      "time",
      [
        [0, 300],
        [500, 400],
        [600, 1000],
      ],
      400,
    ),
  );
  expect(found).toEqual([
    {
      field: "stages.1.ramps.1",
      text: "stages.1.ramps.1 begins at 30 %; the rise limit of 400 %/s takes 0.075 s to get there",
    },
    {
      field: "stages.1.ramps.1",
      text: "stages.1.ramps.1 rises by 600 %/s from 0.5 s to 0.6 s; the rise limit of 400 %/s rules there, not the ramp",
    },
  ]);
});

test("over launch as over time; over an axis that the car moves along nothing can be told", () => {
  const steep: Pairs = [
    [0, 0],
    [100, 1000],
  ];
  expect(heldRises(withRamp("launch", steep, 400))).toHaveLength(1);
  for (const over of ["engine-speed", "road-speed", "manifold"])
    expect(heldRises(withRamp(over, steep, 400))).toEqual([]);
});

test.prop([
  fc.integer({ min: 1, max: 5000 }),
  fc.integer({ min: 1, max: 1000 }),
  fc.integer({ min: 10, max: 10_000 }),
])("told exactly when the ramp asks for more than the limit gives in that time", (ms, permille, limit) => {
  const given = (limit * ms) / 100;
  expect(
    heldRises(
      withRamp(
        "time",
        [
          [0, 0],
          [ms, permille],
        ],
        limit,
      ),
    ).length > 0,
  ).toBe(permille > given);
});
