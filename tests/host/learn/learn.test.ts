// What is learnt of cars that are not as their files say: grip, engine and nitrous near the truth, and a refusal where nothing tells.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { shutSettings } from "#host/learn/baseline.ts";
import type { Finding, Told } from "#host/learn/findings.ts";
import { learn } from "#host/learn/learn.ts";
import { isShut, type LearnRun } from "#host/learn/learn-run.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { plannedEntry } from "../../support/driven.ts";
import { ALL } from "../../support/effort.ts";
import { type Hidden, type HiddenRun, hiddenRun } from "../../support/hidden-car.ts";

const entry = plannedEntry(readFileSync("host/demo/street-coupe-car.yaml", "utf8"));
const shut = shutSettings(entry.settings);

/** Friction over slip, as shares of the peak's: nothing like the curve that is assumed. */
const EARLY = [
  [0, 0],
  [0.25, 0.55],
  [0.5, 0.85],
  [0.75, 0.97],
  [1, 1],
  [1.5, 0.96],
  [3, 0.85],
  [10, 0.7],
] as const;
const LATE = [
  [0, 0],
  [0.5, 0.7],
  [1, 0.95],
  [1.6, 1],
  [3, 0.97],
  [10, 0.85],
] as const;

const SPINS: Hidden = {
  grip: 0.7,
  engine: 1,
  nitrous: 1.1,
  curve: EARLY,
  lags: 1,
  stepsInMs: 3,
  noiseMv: 5,
  seed: 6,
  driver: { spin: "flat" },
};
const CARS: readonly Hidden[] = [
  SPINS,
  ...(ALL
    ? [
        { ...SPINS, curve: LATE, stepsInMs: 3 },
        { ...SPINS, grip: 0.9, engine: 0.9, nitrous: 0.9, lags: 0.7, seed: 2, driver: {} },
        { grip: 1.1, engine: 0.9, nitrous: 1.1, curve: LATE, seed: 5, noiseMv: 5 },
        { grip: 0.85, engine: 1.1, nitrous: 0.9, seed: 6, driver: { shift: "flat" as const } },
      ]
    : []),
];

const known = { car: entry.car, supplyFor: () => entry.supply };
const find = (findings: readonly Finding[], quantity: Finding["quantity"]): Finding =>
  findings.find((finding) => finding.quantity === quantity)!;

/** Asserts that a quantity is told, within a share of the truth. */
function near(
  findings: readonly Finding[],
  quantity: Finding["quantity"],
  truth: number,
  share: number,
): Told {
  const finding = find(findings, quantity);
  if (!finding.told) throw new Error(`${quantity} is not told: ${finding.why}`);
  expect(Math.abs(finding.factor / truth - 1), `${quantity} ${finding.factor} for ${truth}`).toBeLessThan(
    share,
  );
  return finding;
}

const made: { hidden: Hidden; closed: LearnRun; open: LearnRun; shutRun: HiddenRun }[] = [];
for (const hidden of CARS) {
  const closed = await hiddenRun(entry, shut, hidden, "shut.hgrun");
  const open = await hiddenRun(entry, entry.settings, hidden, "open.hgrun");
  made.push({ hidden, closed: closed.run, open: open.run, shutRun: closed });
}
const [first] = made;
const { closed, open } = first!;

describe.each(made)("a car with $hidden", ({ hidden, closed, open, shutRun }) => {
  const findings = learn([closed, open], known);

  test("moves no valve with every share at 0", () => {
    // The self-test lets each driver conduct for far less time than a valve takes to open.
    expect(shutRun.longestHighS).toBeLessThan(0.002);
    expect(shutRun.drawnKg).toBe(0);
    expect([isShut(closed), isShut(open)]).toEqual([true, false]);
  });

  test("shows its engine within 3 % and its nitrous within 5 %", () => {
    near(findings, "engine", hidden.engine ?? 1, 0.03);
    near(findings, "nitrous", hidden.nitrous ?? 1, 0.05);
    near(findings, "flow", hidden.nitrous ?? 1, 0.2);
  });

  test("shows its grip within 3 %, or says that it does not", () => {
    const grip = find(findings, "grip");
    if (!grip.told) expect(grip.why).toContain("never slipped past their best grip");
    else if (!grip.isLeast) near(findings, "grip", hidden.grip ?? 1, 0.03);
    else expect(grip.factor).toBeLessThan((hidden.grip ?? 1) * 1.03);
  });

  test("names its evidence", () => {
    const engine = near(findings, "engine", hidden.engine ?? 1, 0.03);
    expect(engine.runs).toHaveLength(1);
    expect(engine.runs[0]).toMatchObject({ run: "shut.hgrun", key: closed.key });
    expect(engine.runs[0]!.moments).toBeGreaterThan(100);
    expect(engine.runs[0]!.toS).toBeGreaterThan(engine.runs[0]!.fromS + 1);
    expect(engine.agree).toBe(false);
  });
});

test("the first of them spins its wheels, and its grip is told", () => {
  near(learn([closed, open], known), "grip", SPINS.grip!, 0.03);
});

const told = (findings: readonly Finding[]): string[] =>
  findings.filter((finding) => finding.told).map(({ quantity }) => quantity);

const why = (findings: readonly Finding[], quantity: Finding["quantity"]): string => {
  const finding = find(findings, quantity);
  return finding.told ? "told" : `${finding.why}; ${finding.todo}`;
};

test("of a car whose boost lags neither engine nor nitrous is told", () => {
  const { car } = known;
  const boost = { overRpm: [[3000, 1e5]] as const, lagS: 0.5, airPa: 1e5 };
  const findings = learn([closed, open], { ...known, car: { ...car, motion: { ...car.motion, boost } } });
  expect(why(findings, "engine")).toContain("builds the boost up with a lag");
  expect(why(findings, "nitrous")).toContain("builds the boost up with a lag");
});

const withSettings = (run: LearnRun, changes: Partial<Document>): LearnRun => ({
  ...run,
  settings: { ...run.settings, ...changes } as Document,
});

const upTo = (run: LearnRun, s: number): LearnRun => ({
  ...run,
  samples: run.samples.filter(({ time = 0 }) => time < s),
});

describe("what runs do not tell is refused", () => {
  test("without a run with the bottle shut", () => {
    const findings = learn([open], known);
    expect(told(findings)).toEqual(["grip", "flow"]);
    expect(why(findings, "nitrous")).toMatch(/bottle shut, and the share only went from .* every share at 0/);
    expect(why(findings, "engine")).toContain("--baseline");
  });

  test("with nothing but runs with the bottle shut", () => {
    const findings = learn([closed], known);
    expect(told(findings)).toContain("engine");
    expect(why(findings, "nitrous")).toContain("nothing flowed in any of these runs");
    expect(why(findings, "flow")).toContain("nothing flowed");
  });

  test.each([
    ["driveshaft", "the driveshaft"],
    ["driven-wheel", "a driven wheel"],
  ])("with a sender at the %s", (sender, words) => {
    const road = { pulsesPerKm: 8000, sender };
    const findings = learn(
      [closed, open].map((run) => withSettings(run, { road })),
      known,
    );
    expect(told(findings)).toEqual(["flow"]);
    for (const quantity of ["grip", "engine", "nitrous"] as const)
      expect(why(findings, quantity)).toMatch(new RegExp(`comes from ${words}.*undriven wheel`));
  });

  test("without a road speed, without a bottle sensor", () => {
    const bare = [closed, open].map((run) =>
      withSettings(run, { road: undefined, bottle: undefined } as never),
    );
    const findings = learn(bare, known);
    expect(told(findings)).toEqual([]);
    expect(why(findings, "grip")).toContain("has no road speed");
    expect(why(findings, "flow")).toMatch(/no bottle pressure sensor.*weigh the bottle/);
  });

  test("from runs that are too short", () => {
    const findings = learn([upTo(closed, 3), upTo(open, 3)], known);
    expect(told(findings)).toEqual([]);
    expect(why(findings, "engine")).toContain("less than a second at full throttle");
  });
});
