// Host and core give the same verdict on settings: same answer, same field, same rule.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { RULE_IDS } from "#shared-schema/generated/fingerprint.ts";
import { validate } from "#shared-schema/rules/validate.ts";
import { checkDocument, documentSchema } from "#shared-schema/settings/document.ts";
import { pack, unpack } from "#shared-schema/settings/pack.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { freshCore } from "../../support/core.ts";
import { fullDocument, randomDocument, smallDocument } from "../../support/documents.ts";
import { ALL } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";

const core = freshCore();
/** All of them in CI; a spread-out twentieth elsewhere. */
const SEEDS = ALL ? 200 : 2;
const DOCUMENTS_PER_SEED = 500;
/** The whole check, which also asks zod and judges, is compared for one document in so many. */
const WHOLE_EVERY = 10;

function coreVerdict(words: Uint16Array): string {
  const fault = core.judge(words);
  return fault === undefined ? "right" : `${WORDS[fault.word]?.path} ${RULE_IDS[fault.rule]}`;
}

function hostVerdict(findings: ReturnType<typeof validate>): string {
  const first = findings[0];
  return first === undefined ? "right" : `${first.path} ${first.rule}`;
}

const counts = { right: 0, limit: 0, rule: 0 };

function compare(random: Random, number: number): void {
  const document = randomDocument(random, random.below(5));
  const words = pack(document);
  const findings = validate(words);
  const host = hostVerdict(findings);
  expect(host).toBe(coreVerdict(words));
  const limits = findings.some((f) => f.rule === "limit");
  expect(documentSchema.safeParse(document).success).toBe(!limits);
  if (number % WHOLE_EVERY === 0) expect(checkDocument(document)).toEqual(findings);
  counts[host === "right" ? "right" : limits ? "limit" : "rule"] += 1;
}

describe("documents", () => {
  test("the examples of the table make right documents", () => {
    for (const document of [fullDocument(), smallDocument()]) {
      expect(checkDocument(document)).toEqual([]);
      expect(coreVerdict(pack(document))).toBe("right");
      expect(unpack(pack(document))).toEqual(document);
    }
  });

  test(`${SEEDS * DOCUMENTS_PER_SEED} random and boundary documents get the same verdict from zod and from the core`, async () => {
    const seed = fc.integer({ min: 1, max: 2 ** 31 - 1 });
    const many = fc.property(seed, (s) => {
      const random = new Random(s);
      for (let i = 0; i < DOCUMENTS_PER_SEED; i++) compare(random, i);
    });
    await fc.assert(many, { numRuns: SEEDS, endOnFailure: true });
    process.stdout.write(`verdicts compared: ${JSON.stringify(counts)}\n`);
    expect(Math.min(counts.right, counts.limit, counts.rule)).toBeGreaterThan(
      SEEDS * DOCUMENTS_PER_SEED * 0.05,
    );
  });
});

describe("raw words", () => {
  test.prop([fc.integer(), fc.integer({ min: 0, max: 6 })])(
    "random words get the same verdict, and right ones unpack and pack alike",
    (seed, changes) => {
      const random = new Random(seed);
      const words = pack(randomDocument(random, 1));
      for (let i = 0; i < changes; i++)
        words[random.below(words.length)] = random.pick([0, 1, 65535, random.below(65536)]);
      const host = hostVerdict(validate(words));
      expect(host).toBe(coreVerdict(words));
      if (host === "right") expect(pack(unpack(words))).toEqual(words);
    },
  );
});
