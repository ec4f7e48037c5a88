// Which interlocks a document switches on: exactly those of its groups, whatever the groups are.
import fc from "fast-check";
import { expect, test } from "vitest";
import { exampleDocument } from "#host/settings/example.ts";
import { OPTIONAL_GROUPS, withGroup } from "#host/settings/groups.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { isEnabled, notEnabled, valueAt } from "#shared-schema/settings/enabled.ts";
import { World } from "../../host/cli/world.ts";
import { runs } from "../../support/effort.ts";

test("an interlock is on exactly when one of its groups is there", () => {
  fc.assert(
    fc.property(fc.subarray([...OPTIONAL_GROUPS]), fc.integer({ min: 1, max: 4 }), (groups, stages) => {
      const document = groups.reduce(withGroup, exampleDocument(stages));
      const off = notEnabled(document);
      for (const row of INTERLOCKS) {
        const there = row.enabledBy.filter((path) => valueAt(document, path) !== undefined);
        const always = row.enabledBy.length === 0;
        expect(isEnabled(row, document), row.id).toBe(always || there.length > 0);
        expect(off.includes(row), row.id).toBe(!always && there.length === 0);
      }
    }),
    runs(100),
  );
});

test("`new` says what its settings do not watch: a manifold sensor alone is no limit of boost", async () => {
  const sensor = await new World().run("new", "my.yaml", "--with", "manifold");
  expect(sensor.stdout.replace(/\s+/g, " ")).toMatch(/do not watch: .*OVERBOOST \(manifold\.overboost\)/);
  const limit = await new World().run("new", "my.yaml", "--with", "manifold.overboost", "--json");
  const { notWatched } = limit.json() as { notWatched: string[] };
  expect(notWatched).toContain("LEAN");
  expect(notWatched).not.toContain("OVERBOOST");
});
