/** Merging a person's edits with a new plan: edits stay, the rest follows. */
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { equalPlain, mergePlain, type Plain } from "#host/plan/merge.ts";

const leaf = fc.oneof(fc.integer({ min: 0, max: 9 }), fc.constantFrom("yes", "no"));
const tree = fc.letrec<{ node: Plain; group: Plain }>((tie) => ({
  node: fc.oneof(
    { weight: 3, arbitrary: leaf },
    { weight: 1, arbitrary: tie("group") },
    { weight: 1, arbitrary: fc.array(tie("group"), { minLength: 1, maxLength: 3 }) },
  ),
  group: fc.dictionary(fc.constantFrom("a", "b", "c", "d"), tie("node"), { maxKeys: 4 }),
})).group;

describe("merge", () => {
  test.prop([tree, tree])("an untouched file becomes the new plan, with nothing kept", (base, planned) => {
    const merged = mergePlain(base, base, planned);
    expect(equalPlain(merged.value, planned)).toBe(true);
    expect(merged.kept).toEqual([]);
  });

  test.prop([tree, tree])("an unchanged plan keeps the whole of an edited file", (base, mine) => {
    expect(equalPlain(mergePlain(base, mine, base).value, mine)).toBe(true);
  });

  test.prop([tree, tree, tree])("merging again changes nothing more", (base, mine, planned) => {
    const once = mergePlain(base, mine, planned).value;
    expect(equalPlain(mergePlain(planned, once, planned).value, once)).toBe(true);
  });

  test("an edit, an addition and a removal stay; what the plan changed elsewhere comes in", () => {
    const base = {
      flow: { run: 12, rise: 400 },
      stages: [
        {
          kind: "wet",
          points: [
            [0, 1],
            [2, 3],
          ],
        },
      ],
      purge: { longest: 3 },
    };
    const mine = {
      flow: { run: 20, rise: 400 },
      stages: [
        {
          kind: "wet",
          points: [
            [0, 1],
            [2, 3],
          ],
        },
      ],
      lambda: { leanest: 850 },
    };
    const planned = {
      flow: { run: 14, rise: 500 },
      stages: [{ kind: "wet", points: [[0, 2]] }],
      purge: { longest: 3 },
    };
    const { value, kept } = mergePlain(base, mine, planned);
    expect(value).toEqual({
      flow: { run: 20, rise: 500 },
      stages: [{ kind: "wet", points: [[0, 2]] }],
      lambda: { leanest: 850 },
    });
    expect(kept.map((k) => [k.path.join("."), k.planned])).toEqual([
      ["flow.run", 14],
      ["purge", { longest: 3 }],
      ["lambda", undefined],
    ]);
  });
});
