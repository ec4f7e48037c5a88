// Survivors that were looked at: why no test can, or need, tell them from the core without a mistake.
import { IN_LINK_AND_STORAGE } from "./explained-link.ts";
import { OF_PULSES } from "./explained-pulses.ts";
import { IN_THE_REST } from "./explained-rest.ts";
import { OF_SPEEDS } from "./explained-speeds.ts";
import { OF_STAGES } from "./explained-stages.ts";
import {
  CHANNEL_0,
  CONTINUOUS,
  type Explained,
  GEAR_EDGE,
  NO_MORE,
  NOT_FITTED,
  NUMBER_0,
  ONE_ROUND,
  SHORTCUT,
  TWICE,
} from "./explained-why.ts";
import { OF_WINDOWS } from "./explained-windows.ts";
import type { Mutant } from "./schemata.ts";

/** All of them, by file and function. */
export const EXPLAINED: readonly Explained[] = [
  ...IN_LINK_AND_STORAGE,
  ...IN_THE_REST,
  ...OF_PULSES,
  ...OF_SPEEDS,
  ...OF_STAGES,
  ...OF_WINDOWS,
  { file: "bottle.ts", where: "heaterAllowed", source: "!sensorsGood", why: TWICE },
  { file: "bottle.ts", where: "heats", source: "!setting(S.HEATER_PRESENT)", why: NOT_FITTED },
  {
    file: "bottle.ts",
    where: "bottleAllowed",
    source: "!flowing &&",
    why: "nothing flows in any other mode",
  },
  {
    file: "drivers.ts",
    where: "watchDrains",
    source: "disagree || doubted()",
    what: ["always"],
    why: SHORTCUT,
  },
  {
    file: "drivers.ts",
    where: "driversAtRest",
    source: "channel < ",
    what: ["< taken for <="],
    why: NO_MORE,
  },
  { file: "drivers.ts", where: "weigh", source: "channel < ", what: ["< taken for <="], why: NO_MORE },
  {
    file: "drivers.ts",
    where: "fellLate",
    source: "!(state.turn & 1)",
    what: ["! forgotten"],
    why: "every second tick all the same",
  },
  { file: "exact.ts", where: "passPhases", source: "all < period", what: ["never"], why: SHORTCUT },
  { file: "exact.ts", where: "putPhases", source: "s < 4", what: ["< taken for <="], why: NO_MORE },
  { file: "hold.ts", where: "repeats", source: "hold.stopsUs", what: ["> taken for >="], why: ONE_ROUND },
  {
    file: "throttle.ts",
    where: "throttleProven",
    source: "!setting(S.THROTTLE",
    what: ["never"],
    why: NOT_FITTED,
  },
  {
    file: "interlocks.ts",
    where: "holdBottle",
    source: "!setting(S.BOTTLE",
    what: ["never"],
    why: NOT_FITTED,
  },
  {
    file: "interlocks.ts",
    where: "coolantGood",
    source: "!setting(S.COOLANT",
    what: ["never"],
    why: NOT_FITTED,
  },
  {
    file: "kept-sensors.ts",
    where: "beginSensors",
    source: "1 << B.ADC_THROTTLE",
    what: ["<< taken for >>"],
    why: CHANNEL_0,
  },
  {
    file: "lamp.ts",
    where: "lampOn",
    source: "state.lampUs >= ",
    what: [">= taken for >"],
    why: "4 ms of one blink",
  },
  {
    file: "measure.ts",
    where: "engineLost",
    source: "periodUs < ",
    what: ["< taken for <="],
    why: CONTINUOUS,
  },
  {
    file: "measure.ts",
    where: "isGear",
    source: "GEAR_BOUNDS + ",
    what: ["+ taken for -"],
    why: "saves cycles only: in front of the bounds no ratio fits but after minutes of one hold-off",
  },
  {
    file: "measure.ts",
    where: "isGear",
    source: "load<u16>(at, 2) * road",
    what: ["* taken for +"],
    why: SHORTCUT,
  },
  { file: "measure.ts", where: "measureGear", source: "isGear", what: ["never"], why: SHORTCUT },
  {
    file: "measure.ts",
    where: "gearOf",
    source: "ratio >= ",
    what: [">= taken for >"],
    why: GEAR_EDGE,
  },
  {
    file: "measure.ts",
    where: "measureSensors",
    source: "FITTABLE",
    what: ["FITTABLE half as large again"],
    nth: 1,
    why: SHORTCUT,
  },
  {
    file: "measure.ts",
    where: "measureShaft",
    source: "shaft.trust < 2",
    what: ["< taken for <="],
    nth: 1,
    why: SHORTCUT,
  },
  {
    file: "measure.ts",
    where: "convertersLive",
    source: "STALE_TICKS",
    what: ["STALE_TICKS half as large again"],
    nth: 1,
    why: "a count that is past its limit is past it all the same",
  },
  {
    file: "trips.ts",
    where: "counted",
    source: "BAD",
    what: ["BAD half as large again"],
    nth: 2,
    why: "the count has tripped by then, and ends with that trip",
  },
  {
    file: "speed.ts",
    where: "followRoad",
    source: "road.judgedUs = inputs.roadEdgeUs;",
    what: ["statement forgotten"],
    nth: 1,
    why: "the next pulse is compared with nothing, whenever the last one was",
  },
  {
    file: "interlocks.ts",
    where: "armReasons",
    source: "1 << N.LOCK_ARM",
    what: ["<< taken for >>"],
    nth: 1,
    why: NUMBER_0,
  },
  {
    file: "interlocks.ts",
    where: "armReasons",
    source: "1 << N.LOCK_ARM",
    what: ["<< taken for >>"],
    nth: 2,
    why: NUMBER_0,
  },
];

/** Is a row about this mistake? */
export function explains(row: Explained, { file, where, what, source, nth }: Mutant): boolean {
  return (
    row.file === file &&
    row.where === where &&
    (row.nth === undefined ? source.startsWith(row.source) : source === row.source && nth === row.nth) &&
    (row.what?.includes(what) ?? true)
  );
}

/** Why a survivor survives; undefined when nobody has looked at it. */
export function explanationOf(mutant: Mutant): string | undefined {
  return EXPLAINED.find((row) => explains(row, mutant))?.why;
}
