// The mutants of the control core: asleep they change nothing, and the core's tests notice most of a sample of them.
import { beforeAll, expect, test } from "vitest";
import { CoreRig } from "#host/bench/core/rig.ts";
import { OUTPUTS } from "#shared-schema/model/blocks.ts";
import { blockBytes } from "#shared-schema/model/layout.ts";
import { EXPLAINED, explains } from "../mutation/explained.ts";
import type { Outcome } from "../mutation/pool.ts";
import type { Mutant } from "../mutation/schemata.ts";
import { scoreTable } from "../mutation/score.ts";
import { hasSeen, wordsFor } from "../mutation/seen.ts";
import { type Prepared, prepareTrial, tryBriefly } from "../mutation/trial.ts";
import { Car } from "../oracle/car.ts";
import { arm, fullSettings, GOOD_POINT, store } from "../oracle/stand.ts";
import { freshCore } from "../support/core.ts";
import { Random } from "../support/random.ts";

/** One mutant in so many. */
const EVERY = 200;
/** Of the sample at least this share must be noticed: the whole score, less what a sample scatters and what only longer properties notice. */
const LEAST_PERCENT = 75;
const TICKS = 20_000;
/** So many of the mistakes that make no difference where they stand are woken, for so many ticks each. */
const UNSEEN = 100;
const UNSEEN_TICKS = 4_000;
const MOST_MS = 600_000;

let prepared: Prepared;
beforeAll(async () => {
  prepared = await prepareTrial();
}, MOST_MS);

/** Outputs of a core after each tick of a random course. */
function course(rig: CoreRig, ticks = TICKS): string[] {
  const settings = fullSettings();
  const random = new Random(11);
  rig.start();
  store(rig, settings);
  const car = arm(new Car(rig, settings, { ...GOOD_POINT }, 1_000_000));
  const outputs = new Uint8Array(rig.core.memory.buffer, OUTPUTS.address, blockBytes(OUTPUTS));
  return Array.from({ length: ticks }, () => {
    if (random.oneIn(100)) car.set("throttle", !random.oneIn(3));
    if (random.oneIn(900)) car.set("arm", !random.oneIn(4));
    if (random.oneIn(50)) car.point.rpm = random.between(3000, 9000);
    car.tick(random.oneIn(50) ? random.between(1, 30_000) : 1000);
    return `${outputs} ${car.mode} ${car.reasons}`;
  });
}

const rigOf = (wasm: Uint8Array): CoreRig => new CoreRig(new WebAssembly.Module(new Uint8Array(wasm)));
/** A number that a mutated core exports. */
const numberIn = (rig: CoreRig, name: string): { value: number } =>
  (rig.core as unknown as Record<string, { value: number }>)[name]!;

test("asleep or watched, they leave the core as it is", () => {
  const expected = course(freshCore());
  expect(course(rigOf(prepared.asleep))).toEqual(expected);
  expect(course(rigOf(prepared.watched))).toEqual(expected);
});

test("what is explained is there", () => {
  const gone = EXPLAINED.filter((row) => !prepared.mutants.some((mutant) => explains(row, mutant)));
  expect(gone).toEqual([]);
});

test(
  "one that makes no difference where it stands makes none at all",
  () => {
    const watched = rigOf(prepared.watched);
    const expected = course(watched, UNSEEN_TICKS);
    const words = Array.from({ length: wordsFor(prepared.mutants.length) }, (_, word) => `seen${word}`);
    const seen = words.map((name) => numberIn(watched, name).value);
    const functionOf = ({ file, where }: Mutant): string => `${file} ${where}`;
    const run = new Set(prepared.mutants.filter(({ id }) => hasSeen(seen, id)).map(functionOf));
    const unseen = prepared.mutants.filter(
      (mutant) => !hasSeen(seen, mutant.id) && run.has(functionOf(mutant)),
    );
    const module = new WebAssembly.Module(new Uint8Array(prepared.asleep));
    const step = Math.floor(unseen.length / UNSEEN);
    for (const { id, ...mutant } of unseen.filter((_, i) => i % step === 0)) {
      const rig = new CoreRig(module);
      numberIn(rig, "mutant").value = id;
      expect(course(rig, UNSEEN_TICKS), JSON.stringify(mutant)).toEqual(expected);
    }
  },
  MOST_MS,
);

test(
  "most of a sample are noticed",
  async () => {
    const chosen = prepared.mutants.filter(({ id }) => id % EVERY === 0);
    const rows: (Mutant & Outcome)[] = [];
    await tryBriefly(prepared, chosen, (outcome) => {
      rows.push({ ...prepared.mutants[outcome.mutant - 1]!, ...outcome });
    });
    process.stdout.write(`${scoreTable(rows)}\n`);
    const noticed = rows.filter(({ killedBy }) => killedBy !== undefined).length;
    expect(rows.length).toBe(chosen.length);
    expect((100 * noticed) / rows.length).toBeGreaterThanOrEqual(LEAST_PERCENT);
  },
  MOST_MS,
);
