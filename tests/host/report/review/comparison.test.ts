// Two runs in one text, and the units of a review.
import { fc, test as property } from "@fast-check/vitest";
import { expect, test } from "vitest";
import { CHANNELS } from "#host/report/review/channels.ts";
import { sameness } from "#host/report/review/comparison.ts";
import { paired } from "#host/report/review/paired.ts";
import { type StoredUnit, UNITS } from "#shared-schema/model/units.ts";
import { runs } from "../../../support/effort.ts";

const letters = fc.array(fc.constantFrom("a", "b", "c"), { maxLength: 8 });

property.prop([letters, letters], runs(100))(
  "both lists stand in the rows whole and in order, and pairs are equal",
  (one, other) => {
    const rows = paired(one, other, (letter) => letter);
    expect(rows.flatMap(([first]) => first ?? [])).toEqual(one);
    expect(rows.flatMap(([, second]) => second ?? [])).toEqual(other);
    for (const [first, second] of rows) if (first && second) expect(first).toBe(second);
  },
);

property.prop([letters], runs(20))("a list and itself are pairs alone", (one) => {
  expect(paired(one, one, (letter) => letter)).toEqual(one.map((letter) => [letter, letter]));
});

test.each([
  [
    "stage 1 gets less than its ramps ask, up to 93 points: x",
    "stage 1 gets less than its ramps ask, up to 8 points: x",
    true,
  ],
  [
    "stage 1 gets less than its ramps ask, up to 93 points: x",
    "stage 2 gets less than its ramps ask, up to 93 points: x",
    false,
  ],
  ["stages 1, 2 shut: held off by WOT", "stages 1, 3 shut: held off by WOT", false],
  [
    "held off by WOT; throttle 87.0 %, open at 92.0 %",
    "held off by WOT; throttle 3.5 %, open at 92.0 %",
    true,
  ],
])("%s and %s: the same moment is %s", (one, other, same) => {
  const of = (words: string): string => sameness({ kind: "less", words });
  expect(of(one) === of(other)).toBe(same);
});

/** The unit in which a setting is stored, by the ending of its name: the longest one that fits. */
function storedAs(name: string): StoredUnit {
  const fits = Object.values(UNITS).filter(({ suffix }) => name.endsWith(suffix));
  return fits.sort((a, b) => b.suffix.length - a.suffix.length)[0]!;
}

const limited = CHANNELS.flatMap(({ title, unit, limits }) =>
  limits.map((limit) => ({ title, unit, per: limit.per, name: limit.path.join(".") })),
);

test.each(limited)("$title is shown in the unit of $name", ({ unit, per, name }) => {
  const { written, reference, perWritten } = storedAs(name);
  expect(unit).toBe(reference === undefined ? written : `${written} ${reference}`);
  expect(per * perWritten).toBeCloseTo(1, 12);
});
