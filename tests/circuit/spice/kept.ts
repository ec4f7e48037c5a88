// What is kept of the runs in time: a row for each, with the hash of circuit, values and models; and what the rows of a fault say together.
import { readFileSync } from "node:fs";
import { join } from "node:path";
import type { Values } from "#shared-schema/circuit/graph.ts";
import type { Circuit } from "#shared-schema/circuit/part.ts";
import { modelHash } from "../results.ts";
import type { DeadTimes } from "./dead.ts";
import type { PumpTimes } from "./pump.ts";
import { jobsOf, type Row } from "./times.ts";

export interface Times {
  readonly hash: string;
  readonly rows: readonly Row[];
  /** What each fault of way 2 does, in words. */
  readonly outcomes: Readonly<Record<string, PumpOutcome>>;
}

/** What is kept of solved rows. */
export function keptOf(circuit: Circuit, rows: readonly Row[], values: Values): Times {
  const outcomes = pumpFaults(rows).map((fault) => [fault, pumpOutcome(rows, fault, values)]);
  return { hash: timesHash(circuit, values), rows, outcomes: Object.fromEntries(outcomes) };
}

/** Where they are kept, and the page that is made of them. */
export const TIMES = join(import.meta.dirname, "../../../hardware-notes/circuit-times.json");
export const TIMES_PAGE = join(import.meta.dirname, "../../../hardware-notes/circuit-times.md");
export const readTimes = (): Times => JSON.parse(readFileSync(TIMES, "utf8")) as Times;

const MODELS = [
  "deck",
  "driver",
  "pump",
  "dead",
  "extremes",
  "extreme-cases",
  "stress",
  "inputs",
  "kick",
  "times",
].map((name) => `spice/${name}.ts`);

export const timesHash = (circuit: Circuit, values: Values): string =>
  modelHash(circuit, values, MODELS, (ask) => {
    for (const { decks } of jobsOf(circuit, ask)) decks(ask);
    ask("coil.release-current");
    ask("relay.drop-out");
  });

/** What a fault of way 2 does. */
export type PumpOutcome =
  | "works on, and lets go in time"
  | "does not hold: the relay opens"
  | "the relay is closed at rest"
  | "holds for ever once the pin is stuck high"
  | "lets go later, in the time stated for a single fault"
  | "lets go late";

/** The four profiles of one fault of way 2. Late is what takes longer than a pump with one bleeder and the clamp with one suppressor. */
export function pumpOutcome(rows: readonly Row[], fault: string, values: Values): PumpOutcome {
  const row = (profile: string): PumpTimes => {
    const found = rows.find(({ name }) => name === `way 2, ${fault}, ${profile}`);
    if (!found) throw new Error(`no run of ${fault} with ${profile}`);
    return found as Row & PumpTimes;
  };
  const [low, high] = [row("low"), row("high")];
  const [toLow, toHigh] = [row("edges then low"), row("edges then high")];
  if (low.releaseS === undefined) return "the relay is closed at rest";
  if (high.releaseS === undefined) return "holds for ever once the pin is stuck high";
  const closes = toLow.mostA > values("relay.pull-in") && (toLow.heldA ?? 0) > values("relay.drop-out");
  if (!closes) return "does not hold: the relay opens";
  const limitS = values("pump.release-limit") + values("relay.decay");
  const statedS = values("pump.release-one-bleed") + values("relay.decay");
  const slowest = Math.max(toLow.releaseS ?? Infinity, toHigh.releaseS ?? Infinity);
  if (slowest <= limitS) return "works on, and lets go in time";
  return slowest > statedS ? "lets go late" : "lets go later, in the time stated for a single fault";
}

/** Faults with which a dead processor leaves a coil its current longer than is stated, but for those that arming finds. */
export function endsLate(rows: readonly Row[], values: Values): string[] {
  const found = new Set<PumpOutcome>([
    "the relay is closed at rest",
    "holds for ever once the pin is stuck high",
  ]);
  const stated = { hangs: values("hang.shorted-driver"), stops: values("hang.single-fault") };
  const known = new Set(pumpFaults(rows).filter((fault) => found.has(pumpOutcome(rows, fault, values))));
  return rows.flatMap((row) => {
    const [, death, fault] = /^processor (hangs|stops), (.*)$/.exec(row.name) ?? [];
    if (fault === undefined || (death === "stops" && known.has(fault))) return [];
    const endS = (row as Row & DeadTimes).endS ?? Number.POSITIVE_INFINITY;
    return endS > stated[death as "hangs" | "stops"] ? [row.name] : [];
  });
}

/** Faults of way 2 that were run, in their order; `whole` is the first. */
export function pumpFaults(rows: readonly Row[]): string[] {
  const names = rows.flatMap(({ name }) => /^way 2, (.*), low$/.exec(name)?.[1] ?? []);
  return names.filter((name) => !name.endsWith("edges then"));
}
