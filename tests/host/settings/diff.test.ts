// Differences: none between equals, all of them between others, and ramps with their curves.
import { fc, test } from "@fast-check/vitest";
import { expect } from "vitest";
import { diffDocuments } from "#host/settings/diff.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsHash } from "#host/settings/hash.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { legalDocument } from "./documents.ts";

test.prop([legalDocument, legalDocument])(
  "there are differences exactly when the stored words differ",
  (a, b) => {
    expect(diffDocuments(a, a)).toEqual([]);
    expect(diffDocuments(a, b).length > 0).toBe(settingsHash(a) !== settingsHash(b));
  },
);

test.prop([legalDocument, legalDocument])("turned round, old and new change places", (a, b) => {
  const turned = diffDocuments(b, a).map(({ field, before, after }) => ({
    field,
    before: after,
    after: before,
  }));
  const plain = diffDocuments(a, b).map(({ field, before, after }) => ({ field, before, after }));
  expect(turned).toEqual(plain);
});

test("a changed number stands in people's units, under the file's own key", () => {
  const after = structuredClone(exampleDocument()) as { flow: { frequencyHz: number } } & Document;
  after.flow.frequencyHz = 25;
  expect(diffDocuments(exampleDocument(), after)).toEqual([
    { field: "flow.frequency", before: "20 Hz", after: "25 Hz" },
  ]);
});

test("a changed ramp comes with both curves and the ends of its axis", () => {
  const after = structuredClone(exampleDocument()) as {
    stages: { ramps: { points: number[][] }[] }[];
  } & Document;
  after.stages[0]!.ramps[0]!.points = [
    [200, 300],
    [2500, 1000],
  ];
  const [change] = diffDocuments(exampleDocument(), after);
  expect(change).toMatchObject({ field: "stages.1.ramps.1.points", ramp: { left: "0 s", right: "2.5 s" } });
});

test("a part that is gone is told with all that was in it", () => {
  const changes = diffDocuments(exampleDocument(2), exampleDocument(1));
  expect(changes[0]).toEqual({ field: "stages.2", before: "there" });
  expect(changes.every(({ field }) => field.startsWith("stages.2"))).toBe(true);
});

test.prop([fc.constantFrom(1, 2, 3, 4)])("against nothing everything is new", (stages) => {
  expect(diffDocuments(undefined, exampleDocument(stages)).every(({ before }) => before === undefined)).toBe(
    true,
  );
});
