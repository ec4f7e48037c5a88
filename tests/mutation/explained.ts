// Survivors that were looked at: why no test can, or need, tell them from the core without a mistake.
import type { Mutant } from "./schemata.ts";

/** A survivor and the reason. `source` is the beginning of what is wrong; `what` left out stands for every mistake there. */
export interface Explained {
  readonly file: string;
  readonly where: string;
  readonly source: string;
  readonly what?: readonly string[];
  readonly why: string;
}

const SHORTCUT = "saves cycles only: the way round it comes to the same";
const GUARD = "traps only when a class or the program outgrows its room, which none does";
const FRESH =
  "the core's memory is all zero when it starts here; on the chip the start-up code clears it as well";
const CONTINUOUS = "the two sides of the comparison agree where they meet";
const NOT_FITTED = "what is not fitted has zero for value and limit, and zero is not past zero";
const NO_MORE = "there are no more of them: the bit behind the last is never set";
const ONE_ROUND = "one round of turns, 4 ms, at a limit in time that is given in whole tenths of a second";
const TWICE = "a second check in the same tick says the same";

const ITS_OWN_VALUE = "the setting does not say to which side its own value belongs";
const BYTES = "costs bytes only: the reader takes what is there";

/** All of them, by file and function. */
export const EXPLAINED: readonly Explained[] = [
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
  { file: "flow.ts", where: "closeOutside", source: "!out", what: ["never"], why: SHORTCUT },
  { file: "flow.ts", where: "lookOnly", source: "state.turn >= setting", what: ["never"], why: SHORTCUT },
  {
    file: "flow.ts",
    where: "runAll",
    source: "state.turn < count",
    what: ["always", "< taken for <="],
    why: "a stage that is not configured has neither ramps nor solenoids: its turn drives nothing",
  },
  {
    file: "flow.ts",
    where: "advance",
    source: "stage.openRestUs",
    why: "less than a millisecond of the ramp, which the rounding to permille hides",
  },
  {
    file: "flow.ts",
    where: "followLaunch",
    source: "state.launchRestUs",
    why: "less than a millisecond of the ramp, which the rounding to permille hides",
  },
  { file: "hold.ts", where: "repeats", source: "hold.stopsUs", what: ["> taken for >="], why: ONE_ROUND },
  { file: "index.ts", where: "boot", source: "startLink()", why: FRESH },
  {
    file: "interlocks.ts",
    where: "throttleProven",
    source: "!setting(S.THROTTLE",
    what: ["never"],
    why: NOT_FITTED,
  },
  {
    file: "interlocks.ts",
    where: "bottleReady",
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
    why: "an eighth of a unit of the ratio, at one end of its tolerance",
  },
  {
    file: "retard.ts",
    where: "prepareRetard",
    source: "n < ",
    why: "a row behind the last is never looked at",
  },
  {
    file: "solenoids.ts",
    where: "openingUs",
    source: "mv ",
    what: [">= taken for >", "<= taken for <"],
    why: CONTINUOUS,
  },
  { file: "state.ts", where: "clearState", source: "offsetof", why: GUARD },
  { file: "state.ts", where: "clearState", source: "STAGE_STATES < ", why: GUARD },
  { file: "state.ts", where: "clearState", source: "__heap_base", why: GUARD },
  { file: "state.ts", where: "clearState", source: "unreachable()", why: GUARD },
  { file: "state.ts", where: "clearState", source: "memory.fill", what: ["statement forgotten"], why: FRESH },
  {
    file: "supply.ts",
    where: "isApart",
    source: "battery > supply",
    what: ["> taken for >="],
    why: CONTINUOUS,
  },
  {
    file: "supply.ts",
    where: "judgeSupply",
    source: "apartUs > TRIPS",
    what: ["> taken for >="],
    why: ONE_ROUND,
  },
  { file: "windows.ts", where: "prepareWindows", source: "unreachable()", why: GUARD },
  { file: "windows.ts", where: "prepareWindows", source: "S.", what: ["never"], why: GUARD },
  {
    file: "windows.ts",
    where: "bound",
    source: "EVERYTHING",
    why: "any width past all values holds everything",
  },
  {
    file: "windows.ts",
    where: "boundEngines",
    source: "EVERYTHING",
    why: "any limit past all speeds holds everything",
  },
  {
    file: "windows.ts",
    where: "boundEngines",
    source: "high >= low",
    what: [">= taken for >"],
    why: SHORTCUT,
  },
  {
    file: "windows.ts",
    where: "enginesOutside",
    source: "!(state.windowsLeft",
    what: ["never"],
    why: SHORTCUT,
  },
  {
    file: "windows.ts",
    where: "noteOthers",
    source: "(moved >> n) & 1",
    what: ["& taken for |"],
    why: "bounds worked out once more are the same",
  },
  {
    file: "flow.ts",
    where: "followLaunch",
    source: "state.launched",
    what: ["always"],
    why: "before a launch the time is full, and full time stays full",
  },
  {
    file: "flow.ts",
    where: "ownTurn",
    source: "!load<u16>(at, S.STAGE_DELAY_PRESENT)",
    what: ["never"],
    why: "a delay that is not there is one of no time",
  },
  {
    file: "flow.ts",
    where: "ownTurn",
    source: "stage.waitedUs > ",
    what: ["> taken for >="],
    why: ITS_OWN_VALUE,
  },
  {
    file: "flow.ts",
    where: "close",
    source: "~stage.bit",
    why: "which stages flow is worked out anew at the end of the tick; until then another one's flowed time misses one turn",
  },
  {
    file: "flow.ts",
    where: "closeOutside",
    source: "s < S.STAGES",
    what: ["< taken for <="],
    why: "there is no bit of a fifth stage",
  },
  {
    file: "flow.ts",
    where: "lookOnly",
    source: "state.turn >= setting",
    what: [">= taken for >"],
    why: "a stage that is not configured has neither ramps nor solenoids: its turn drives nothing",
  },
  {
    file: "lead.ts",
    where: "passLead",
    source: "store<u64>",
    what: ["statement forgotten"],
    why: "each stage that may flow writes its share into a slot in its own turn, twice before the slot is over",
  },
  {
    file: "prepare.ts",
    where: "prepareGears",
    source: "setting(S.GEARBOX_PRESENT)",
    what: ["always"],
    why: "a gearbox that is not there has no gears",
  },
  {
    file: "prepare.ts",
    where: "prepareStages",
    source: "load<u16>(at, S.STAGE_ENRICHMENT_PRESENT)",
    what: ["always"],
    why: "a confirmation that is not there is one within no time, which none is asked for",
  },
  {
    file: "prepare.ts",
    where: "addSolenoid",
    source: "min<u32>(load<u16>(at), load<u16>(at, 2))",
    what: ["min taken for max"],
    why: "by the rules a valve opens no slower at a higher voltage: the third time is the shortest",
  },
  { file: "ramps.ts", where: "axisOf", source: "axis !== ", what: ["never"], why: GUARD },
  { file: "ramps.ts", where: "secondShare", source: "isBehind(point, x)", what: ["never"], why: SHORTCUT },
  { file: "ramps.ts", where: "firstShare", source: "isBehind(point, x)", what: ["never"], why: SHORTCUT },
  {
    file: "ramps.ts",
    where: "copyRamp",
    source: "i < count",
    what: ["< taken for <="],
    why: "the point behind the last is written over at once",
  },
  {
    file: "snapshot.ts",
    where: "putLead",
    source: "lead.before > lead.now",
    what: ["> taken for >="],
    why: BYTES,
  },
  { file: "speed.ts", where: "apart", source: "a > b", what: ["> taken for >="], why: CONTINUOUS },
  {
    file: "supply.ts",
    where: "isApart",
    source: "battery > supply",
    what: ["> taken for >="],
    why: CONTINUOUS,
  },
  {
    file: "supply.ts",
    where: "judgeSupply",
    source: "apartUs > ",
    what: ["> taken for >="],
    why: ITS_OWN_VALUE,
  },
  {
    file: "trips.ts",
    where: "judgeSensors",
    source: "good && adcGood",
    what: ["never"],
    why: SHORTCUT,
  },
  {
    file: "trips.ts",
    where: "judgeBottle",
    source: "!setting(S.BOTTLE_PRESENT)",
    what: ["never"],
    why: NOT_FITTED,
  },
  {
    file: "trips.ts",
    where: "judgeBottle",
    source: "bottle < NO_PRESSURE_KPA",
    what: ["< taken for <="],
    why: ITS_OWN_VALUE,
  },
  {
    file: "windows.ts",
    where: "boundEngines",
    source: "n < AFTER_LAST",
    what: ["< taken for <="],
    why: "then none lies inside all, and each window is looked at by itself",
  },
];

/** Why a survivor survives; undefined when nobody has looked at it. */
export function explanationOf(mutant: Mutant): string | undefined {
  const { file, where, what, source } = mutant;
  const row = EXPLAINED.find(
    (each) =>
      each.file === file &&
      each.where === where &&
      source.startsWith(each.source) &&
      (each.what?.includes(what) ?? true),
  );
  return row?.why;
}
