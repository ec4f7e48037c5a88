// What the check of a document finds that no row of words could hold.
import { describe, expect, test } from "vitest";
import { checkDocument } from "#shared-schema/settings/document.ts";
import { fullDocument, smallDocument } from "../../support/documents.ts";

type Tree = { [key: string]: unknown };

describe("checkDocument", () => {
  test("refuses a number that would wrap into its limits when stored", () => {
    const document = smallDocument();
    (document.engine as Tree).revLimiterRpm = 7200 + 65536;
    expect(checkDocument(document).map(({ path, rule }) => `${path} ${rule}`)).toEqual([
      "engine.revLimiterRpm limit",
    ]);
  });

  test("refuses a limit that its sensor cannot tell: what never shows can never trip", () => {
    const spoils: [string, (document: Tree) => void][] = [
      [
        "lambda.highMilliLambda lambda-reach",
        ({ lambda }) => Object.assign(lambda as Tree, { highMilliLambda: 900, leanestMilliLambda: 890 }),
      ],
      [
        "manifold.highDeciKpa boost-reach",
        ({ manifold }) =>
          Object.assign((manifold as Tree).overboost as Tree, {
            aboveDeciKpa: (manifold as Tree).highDeciKpa,
          }),
      ],
    ];
    for (const [finding, spoil] of spoils) {
      const document = fullDocument();
      spoil(document);
      expect(checkDocument(document).map(({ path, rule }) => `${path} ${rule}`)).toEqual([finding]);
    }
  });

  test("refuses fractions, unknown keys, wrong words, missing groups, short pairs and long lists as wrong form", () => {
    const wrong: [string, (document: Tree) => void][] = [
      ["engine.revLimiterRpm", (d) => Object.assign(d.engine as Tree, { revLimiterRpm: 7000.5 })],
      ["engine", (d) => Object.assign(d.engine as Tree, { colour: 1 })],
      ["throttle.switch", (d) => Object.assign(d.throttle as Tree, { switch: "maybe" })],
      ["flow", (d) => delete d.flow],
      [
        "stages.0.ramps.0.points.0",
        (d) => Object.assign(((d.stages as Tree[])[0]!.ramps as Tree[])[0]!, { points: [[5], [9, 9]] }),
      ],
      ["stages", (d) => Object.assign(d, { stages: Array(5).fill((d.stages as Tree[])[0]) })],
    ];
    for (const [path, spoil] of wrong) {
      const document = fullDocument();
      spoil(document);
      expect(checkDocument(document).map((f) => f.path)).toContain(path);
    }
  });
});
