// Every single fault in every mode and stage state: after its time nothing flows that must not, whatever was going on. All in CI, a sample elsewhere.
import { describe, expect, test } from "vitest";
import { OUTPUT_BITS } from "#shared-schema/model/blocks.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import type { Car } from "../../oracle/car.ts";
import type { Settings } from "../../oracle/settings.ts";
import { isFed, modeOf } from "../../oracle/stand.ts";
import { sample } from "../../support/effort.ts";
import { type SingleFault, singleFaults } from "../../support/fault-matrix.ts";
import { type MachineState, STATES } from "../../support/machine-states.ts";
import { PROVING } from "../../support/proving.ts";

const settings = PROVING as unknown as Settings;
const WATCH_TICKS = 360;
const EVERY = 29;
/** Where each mode may go without a fault being hidden: nothing but armed leads to flowing. */
const NEXT: Readonly<Record<string, readonly string[]>> = {
  off: ["arming", "service"],
  arming: ["armed", "off", "tripped", "locked"],
  armed: ["flowing", "off", "tripped", "locked"],
  flowing: ["armed", "off", "tripped", "locked"],
  tripped: ["off", "locked"],
  locked: [],
  service: ["off"],
};

const wet = settings.stages.map((stage) => stage.kind === "wet");

/** What is wrong in this tick, `since` ticks after the fault began to show. */
function wrongNow(
  car: Car,
  fault: SingleFault,
  state: MachineState,
  since: number,
  before: string,
): string[] {
  const pins = car.pins();
  const mode = modeOf(car);
  const relay = (car.outputFlags & (1 << OUTPUT_BITS.keepAlive)) !== 0;
  const without = isFed(car) ? wet.findIndex((is, s) => is && pins[2 * s]! > 0 && pins[2 * s + 1] === 0) : -1;
  return [
    ...(without >= 0 ? [`stage ${without + 1} has nitrous without fuel`] : []),
    ...(isFed(car) && mode !== "flowing" ? [`fed in mode ${mode}`] : []),
    ...(isFed(car) && fault.stopTicks !== undefined && since > fault.stopTicks ? ["fed after its time"] : []),
    ...(isFed(car) && !state.may && !fault.looksWanted ? ["fed though it may not"] : []),
    ...(relay && ["off", "tripped", "locked", "service"].includes(mode)
      ? [`relay held in mode ${mode}`]
      : []),
    ...(mode !== before && !NEXT[before]!.includes(mode) ? [`${before} to ${mode}`] : []),
  ];
}

/** Runs one case; the first thing that is wrong, with its tick. */
function runCase(fault: SingleFault, state: MachineState): string | undefined {
  const car = state.reach(settings);
  const name = `${fault.name}, ${state.name}`;
  fault.apply(car);
  for (let tick = 1, since = 0; tick <= WATCH_TICKS; tick++) {
    const before = modeOf(car);
    car.tick();
    since = fault.shows?.(car) === false ? 0 : since + 1;
    const wrong = wrongNow(car, fault, state, since, before);
    if (wrong.length > 0) return `${name}, tick ${tick}: ${wrong.join(", ")}`;
  }
  return undefined;
}

const faults = singleFaults(settings);
const cases = faults.flatMap((fault) => STATES.map((state) => ({ fault, state })));
const chosen = sample(cases, EVERY);

describe("the states", () => {
  test("are what they are called, and all modes are among them", () => {
    const modes = STATES.map(({ name, reach }) => [name, modeOf(reach(settings))] as const);
    for (const [name, mode] of modes) expect(name.startsWith(mode), `${name} is ${mode}`).toBe(true);
    expect(new Set(modes.map(([, mode]) => mode))).toEqual(new Set(MODES));
  });
});

describe("single faults", () => {
  test(`${chosen.length} of ${cases.length} cases: ${faults.length} faults in ${STATES.length} states`, () => {
    process.stdout.write(`single faults: ${chosen.length} of ${cases.length} cases run\n`);
    expect(
      chosen.map(({ fault, state }) => runCase(fault, state)).filter((wrong) => wrong !== undefined),
    ).toEqual([]);
  });

  test("a flow that no fault disturbs goes on: the matrix can fail", () => {
    const state = STATES.find(({ name }) => name.startsWith("flowing, 160"))!;
    const nothing: SingleFault = { name: "nothing", apply: () => {}, stopTicks: 10 };
    expect(runCase(nothing, state)).toContain("fed after its time");
  });
});
