// The discrete part of the core's memory: latches as they are, counters and times only as 0, between, or at their limit.
import { OUTPUT_BITS, OUTPUTS } from "#shared-schema/model/blocks.ts";
import { place } from "#shared-schema/model/layout.ts";
import { type CoreMap, type HeldOff, stateWord } from "./core-map.ts";
import { EXPLORED } from "./explored-settings.ts";

/*
 * Left out, because nothing is decided by which value they have between two limits: speeds, voltages and values of sensors
 * (their windows and limits are latches of their own), shares, pulses, ramps' places, the lead's ring, portions and all that
 * is worked out from the settings; the clock, whose wrap has tests of its own; `turn`, which every state is expanded through;
 * lamp, log ring and link, which are told what was decided and decide nothing here.
 */

/** Kinds of disturbance: a state tells how many of them are under way. */
export type Cause =
  | "arm"
  | "measured"
  | "converters"
  | "drivers"
  | "bottle"
  | "wheels"
  | "enrichment"
  | "launch";

/** One part of the abstract state. */
export interface Part {
  readonly name: string;
  /** Index of its word. */
  readonly at: number;
  /** A time or count is told apart at these; a latch has none and is taken as it is, its low 16 bits. */
  readonly limits?: readonly number[] | undefined;
  /** Nothing hangs on whether it has begun: 0 counts as between. */
  readonly begun?: boolean | undefined;
  /** In the place of its word: what a part of another form is. Below 65536. */
  readonly of?: ((words: Uint32Array) => number) | undefined;
  /** Told apart only once flow may begin: before that it is measured anew, many times over, until anything can flow. */
  readonly readyOnly: boolean;
  /** What is under way while it is not as in calm flow; undefined where that is no disturbance. */
  readonly cause?: Cause | undefined;
}

const MS = 1000;
/** After arming nothing may flow for this long. */
export const SETTLED_US = 50 * MS;
/** What is judged in turns of four ticks counts a limit as reached one turn before. */
const TURN = 4 * MS;
/** Engine pulses at 5000 rpm lie 1.5 ms apart; three of these are the longest silence. */
const SILENT = 4.5 * MS;
const STILL = 1000 * MS;

/** What a part is now: a latch itself, a time or count 0, 1 between, 2 and more at its limits. */
export function partValue({ at, limits, of, begun }: Part, words: Uint32Array): number {
  if (of) return of(words);
  const value = words[at]!;
  if (!limits) return value & 0xffff;
  if (value === 0) return begun ? 1 : 0;
  let reached = 0;
  while (reached < limits.length && value >= limits[reached]!) reached++;
  return reached + 1;
}

/** The core at rest, arming, and what holds through a whole armed period. */
function arm(): Part[] {
  const latches = ["mode", "trip", "armReady", "bootHold", "keepAlive", "heaterOn", "heaterSpent", "armStep"];
  const tries = ["tryChannel", "triesFailed", "trying"];
  const timed = (field: string, ...limits: number[]): Part => ({
    ...{ name: field, at: stateWord(field), limits, readyOnly: false },
  });
  return [
    ...[...latches, ...tries].map((name): Part => ({ name, at: stateWord(name), readyOnly: false })),
    { ...timed("armOnUs", 5 * MS), cause: "arm" },
    { ...timed("armOffUs", 5 * MS, 200 * MS), cause: "arm" },
    timed("armStepUs", 3 * MS, 6 * MS, 60 * MS),
    timed("armedUs", SETTLED_US),
    { ...timed("liftUs", 50 * MS), begun: true },
    timed("heaterUs", EXPLORED.heater!.longestS * 1000 * MS),
    { ...timed("runNoiseCuts", 3), cause: "arm" },
  ];
}

/** Latches and debounces of what holds off, trips and cuts back, by cause. */
function disturbances(map: CoreMap): Part[] {
  const { lambda, bottleValve, purge } = EXPLORED;
  const latch = (cause: Cause, name: string, at = stateWord(name)): Part => ({
    ...{ name, at, readyOnly: true, cause },
  });
  const timed = (cause: Cause, name: string, ...limits: number[]): Part => ({
    ...latch(cause, name),
    limits,
  });
  const misread = map.ofShaft("engine", "misreadSpeed");
  return [
    ...["throttleIn", "engineLostWatch"].map(
      (name): Part => ({ name, at: stateWord(name), readyOnly: true }),
    ),
    ...["slowReasons", "windowsLeft", "sensorsGood"].map((f) => latch("measured", f)),
    timed("measured", "sensorBad", 6),
    timed("measured", "contradictUs", 100 * MS - TURN),
    timed("measured", "leanUs", lambda!.withinMs * MS - TURN),
    timed("measured", "fuelLowTurns", 6),
    timed("measured", "supplyApartUs", 50 * MS - TURN, 500 * MS - TURN),
    ...hold(map, "battery"),
    ...hold(map, "fuel"),
    ...hold(map, "supply"),
    ...hold(map, "bottle"),
    timed("converters", "adcBad", 6),
    timed("converters", "adcStaleTicks", 4),
    latch("measured", "enginesOut"),
    timed("wheels", "cutBackUs"),
    timed("bottle", "valveOpenUs", bottleValve!.opensWithinMs * MS - TURN),
    timed("bottle", "purgeUs", purge!.longestMs * MS),
    ...shaft(map, "engine", [SILENT, 60 * MS, STILL]),
    { ...latch("measured", "evenPulses", map.ofShaft("engine", "evenPulses")), limits: [8] },
    { ...latch("measured", "engine doubted", misread), of: (words) => (words[misread] === 0 ? 0 : 1) },
    ...shaft(map, "road", [STILL]),
    { name: "supplyDoubts", at: 0, of: supplyDoubts(map.driverDoubts), readyOnly: true, cause: "drivers" },
    { name: "driverDoubts", at: 0, of: driverDoubts(map.driverDoubts), readyOnly: true, cause: "drivers" },
  ];
}

/** How long one that must not hunt has held, and how many of its stops of a flow count. */
function hold(map: CoreMap, which: HeldOff): Part[] {
  const part = (field: string, limits?: readonly number[]): Part => {
    const at = map.ofHold(which, field);
    return { name: `${which} ${field}`, at, readyOnly: true, cause: "measured", ...(limits && { limits }) };
  };
  return [
    part("holds"),
    { ...part("heldUs", [250 * MS]), begun: true },
    part("stopsUs", [10_000 * MS, 20_000 * MS]),
  ];
}

function shaft(map: CoreMap, which: "engine" | "road", ages: readonly number[]): Part[] {
  const part = (field: string, limits?: readonly number[]): Part => {
    const at = map.ofShaft(which, field);
    return { name: `${which} ${field}`, at, readyOnly: true, cause: "measured", ...(limits && { limits }) };
  };
  return [part("trust"), part("tooFast", [2]), { ...part("ageUs", ages), begun: true }];
}

/** How far flow has come. */
function flow(map: CoreMap): Part[] {
  const { flow: run, purge } = EXPLORED;
  const launch = (field: string): Part => ({
    name: field,
    at: stateWord(field),
    readyOnly: true,
    cause: "launch",
  });
  const timed = (field: string, ...limits: number[]): Part => ({
    ...{ name: field, at: stateWord(field), limits, readyOnly: true },
  });
  const [press, most] = [purge!.longestMs * MS, purge!.eachMinuteMs * MS];
  return [
    { name: "flowing", at: stateWord("flowing"), readyOnly: true },
    launch("launched"),
    launch("launchSwitch"),
    timed("clearUs", 20 * MS),
    { ...timed("runFlowedUs", run.longestRunMs * MS), begun: true },
    { ...timed("purgeSpentUs", 0.5 * press, 1.5 * press, most - 2 * TURN), cause: "bottle" },
    ...EXPLORED.stages.flatMap((_, s) => stage(map, s)),
    outputs(),
  ];
}

function stage(map: CoreMap, s: number): Part[] {
  const { longestMs, enrichment, delay } = EXPLORED.stages[s]!;
  const part = (field: string): Part => ({
    ...{ name: `stage ${s + 1} ${field}`, at: map.ofStage(s, field), readyOnly: true },
  });
  const parts: Part[] = [
    part("closed"),
    { ...part("flowedUs"), limits: [longestMs * MS - 2 * TURN], begun: true },
  ];
  if (delay) parts.push({ ...part("waitedUs"), limits: [delay.waitMs * MS] });
  if (!enrichment) return parts;
  return [
    ...parts,
    { ...part("unconfirmedUs"), limits: [enrichment.withinMs * MS - TURN], cause: "enrichment" },
  ];
}

/** All outputs but the solenoids', which are judged by themselves, and the lamp. */
function outputs(): Part {
  const flags = (OUTPUTS.address + place(OUTPUTS).find(({ field }) => field.name === "flags")!.offset) >> 2;
  const mask = 0xffff & ~(1 << OUTPUT_BITS.lamp);
  return { name: "outputs", at: flags, of: (words) => words[flags]! & mask, readyOnly: true };
}

/** A doubt that four of weigh too much: none, some, or so much that one more is too much. */
const DOUBT = 16;
const doubt = (sum: number): number => (sum >= 3 * DOUBT ? 2 : sum > 0 ? 1 : 0);

function byteOf(words: Uint32Array, address: number): number {
  return (words[address >> 2]! >>> (8 * (address & 3))) & 0xff;
}

function supplyDoubts(address: number): (words: Uint32Array) => number {
  return (words) => doubt(byteOf(words, address + 16));
}

/** The worst of the eight drivers' counters, one for each level of its pin. */
function driverDoubts(address: number): (words: Uint32Array) => number {
  return (words) => {
    let low = 0;
    let high = 0;
    for (let n = 0; n < 8; n++) {
      low = Math.max(low, byteOf(words, address + n));
      high = Math.max(high, byteOf(words, address + 8 + n));
    }
    return doubt(low) + 3 * doubt(high);
  };
}

/** All parts, for a core whose memory is mapped; all of one form, which makes looking at them quick. */
export function discreteParts(map: CoreMap): readonly Part[] {
  const parts = [...arm(), ...disturbances(map), ...flow(map)];
  const form = { limits: undefined, begun: undefined, of: undefined, cause: undefined };
  return parts.map((part) => ({ ...form, ...part }));
}
