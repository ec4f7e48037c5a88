// Looks at what a fault did: mode, trip, reasons, outputs and settings as they must be for the row's reaction, then the way back.

import {
  INTERLOCKS,
  type Interlock,
  interlockNumber,
  interlocksIn,
  MODES,
} from "#shared-schema/model/interlocks.ts";
import type { Mode } from "#shared-schema/model/modes.ts";
import { gpioOf } from "#shared-schema/model/pins.ts";
import { unhandled } from "#shared-schema/model/unhandled.ts";
import { relayAllowedUs } from "./allowed.ts";
import { column, type Live } from "./board-client.ts";
import type { TestBench } from "./test-bench.ts";

const NO_TRIP = 255;

const nameOf = (trip: number): string => (trip === NO_TRIP ? "none" : (INTERLOCKS[trip]?.id ?? String(trip)));

function modeProblems(live: Live, wanted: readonly string[]): string[] {
  const mode = MODES[column(live, "mode")] ?? "unknown";
  return wanted.includes(mode) ? [] : [`mode is ${mode}, not ${wanted.join(" or ")}`];
}

function tripProblems(live: Live, wanted: string): string[] {
  const trip = nameOf(column(live, "trip"));
  return trip === wanted ? [] : [`trip is ${trip}, not ${wanted}`];
}

/** Names of the interlocks in the reasons. */
export function reasonNames(live: Live): string[] {
  return interlocksIn(column(live, "reasons")).map(({ id }) => id);
}

/** The row must be among the reasons, and nothing else but what the same cause may meet, or what holds single stages off at the point. */
export function reasonProblems(
  { heldElsewhere }: Pick<TestBench, "heldElsewhere">,
  live: Live,
  row: string,
  also: readonly string[],
): string[] {
  const names = reasonNames(live);
  const allowed = [row, ...also, ...heldElsewhere];
  const strange = names.filter((name) => !allowed.includes(name));
  return [
    ...(names.includes(row) ? [] : [`${row} is not among the reasons (${names.join(", ") || "none"})`]),
    ...strange.map((name) => `${name} holds off too`),
  ];
}

/** Outputs that must be at rest: without flow, while not armed, and after a fault, when nothing is heated either. */
const AT_REST = {
  held: ["stageActive"],
  off: ["stageActive", "purge", "bottleValve"],
  fault: ["stageActive", "purge", "bottleValve", "heater"],
} as const;

function outputProblems(bench: TestBench, when: keyof typeof AT_REST): string[] {
  const high = AT_REST[when].filter((name) => bench.board.pins.level(gpioOf(name)) === 1);
  return high.map((name) => `${name} is still on`);
}

function relayProblems(bench: TestBench, causeNs: number, mostUs: number): string[] {
  const us = bench.relayOpenAfterUs(causeNs);
  if (us === undefined) return ["the master relay is closed"];
  return us <= mostUs ? [] : [`the master relay opened after ${Math.round(us)} us`];
}

/** The mode that a latched reaction ends in. Throws for one that latches nothing: its trial must look at something else. */
function latchedMode({ id, reaction }: Interlock): Mode {
  switch (reaction) {
    case "trip":
      return "tripped";
    case "lockout":
      return "locked";
    case "off":
    case "hold-off":
    case "cut-back":
    case "cannot-arm":
    case "refused":
      throw new Error(`${id} latches nothing: its reaction is ${reaction}`);
    default:
      return unhandled(reaction);
  }
}

/** What is wrong while the fault lasts. */
export function faultProblems(
  bench: TestBench,
  row: Interlock,
  live: Live,
  causeNs: number,
  allowedUs: number,
  also: readonly string[],
): string[] {
  const relay = (): string[] => relayProblems(bench, causeNs, relayAllowedUs(row, allowedUs));
  if (row.reaction === "hold-off")
    return [
      ...modeProblems(live, ["armed"]),
      ...tripProblems(live, "none"),
      ...reasonProblems(bench, live, row.id, also),
      ...outputProblems(bench, "held"),
      ...(bench.board.harness.relay.closed ? [] : ["the master relay is open"]),
    ];
  if (row.reaction === "off")
    return [
      ...modeProblems(live, ["off"]),
      ...reasonProblems(bench, live, row.id, also),
      ...outputProblems(bench, "off"),
      ...relay(),
    ];
  return [
    ...modeProblems(live, [latchedMode(row)]),
    ...tripProblems(live, row.id),
    ...(reasonNames(live).includes(row.id) ? [] : [`${row.id} is not among the reasons`]),
    ...outputProblems(bench, "fault"),
    ...relay(),
  ];
}

function afterTrip(bench: TestBench, known: boolean): string[] {
  const wrong = known || bench.staysOff() ? [] : ["flow came back without the arm switch"];
  return bench.toFlow() ? wrong : [...wrong, "no flow after the arm switch was cycled"];
}

/** Does the arm switch alone end a lockout? */
function endsByArmSwitch(bench: TestBench): boolean {
  bench.cycleArm();
  return !bench.staysOff(300_000);
}

function afterLockout(bench: TestBench, known: boolean): string[] {
  const wrong = known || !endsByArmSwitch(bench) ? [] : ["cycling the arm switch was enough"];
  bench.powerCycle();
  return bench.toFlow() ? wrong : [...wrong, "no flow after power was cycled"];
}

/**
 * The way back once the fault is gone: by itself, by the arm switch, or by power. That nothing less than this brings flow
 * back is looked at, unless `known`: a fault's other trials strike at other moments and leave the same behind.
 */
export function wayBack(bench: TestBench, row: Interlock, known = false): string[] {
  if (row.reaction === "hold-off" || row.reaction === "cut-back")
    return bench.waitForFlow() ? [] : ["flow did not come back by itself"];
  if (row.reaction === "lockout") return afterLockout(bench, known);
  if (row.reaction === "off") return bench.toFlow() ? [] : ["no flow after the arm switch was cycled"];
  if (row.reaction === "trip") return afterTrip(bench, known);
  throw new Error(`${row.id} stops no flow: its reaction is ${row.reaction}`);
}

/** Settings and program must be what they were. */
export async function untouched(bench: TestBench): Promise<string[]> {
  const { settingsCrc } = await bench.client.hello();
  return settingsCrc === bench.settingsCrc ? [] : ["the stored settings changed"];
}

/** Row of the catalogue. */
export function rowOf(id: string): Interlock {
  return INTERLOCKS[interlockNumber(id)]!;
}
