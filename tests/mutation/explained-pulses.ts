// Explained survivors in pulses and flow: those of patterns.ts, and with them those of what moves the stages on.
import { OF_TABLES, OF_TURNS } from "./explained-turns.ts";
import { CONTINUOUS, type Explained, SHORTCUT } from "./explained-why.ts";

const STEP = "one counter step, 2 us, at which either way is right";
const GOES_ON =
  "where it says so too often, the stage's next turn sets the pulses anew before their period begins; too seldom costs cycles only";

/** How a share is made: kinds of patterns and the pulses of the next period. */
const OF_PATTERNS: readonly Explained[] = [
  {
    file: "patterns.ts",
    where: "fewestPeriods",
    source: "n < most",
    what: ["< taken for <="],
    why: SHORTCUT,
  },
  {
    file: "patterns.ts",
    where: "fewestPeriods",
    source: "flowing + margin <= ",
    what: ["<= taken for <"],
    why: STEP,
  },
  { file: "patterns.ts", where: "want", source: "flowing <= ", what: ["<= taken for <"], why: STEP },
  { file: "patterns.ts", where: "want", source: "flowing + stage.", what: [">= taken for >"], why: STEP },
  {
    file: "patterns.ts",
    where: "want",
    source: "both > stage.leastFlowing",
    what: ["> taken for >=", "always"],
    why: "by the rules on the valves' times more than the least can always flow in the most periods",
  },
  {
    file: "patterns.ts",
    where: "want",
    source: "stage.wantedFlow = state.periodSteps;",
    what: ["statement forgotten"],
    why: "nobody reads it while both valves are to stay open",
  },
  {
    file: "patterns.ts",
    where: "setRun",
    source: "fuel > nitrous",
    what: ["> taken for >="],
    why: CONTINUOUS,
  },
  {
    file: "patterns.ts",
    where: "endTogether",
    source: "end < longer",
    what: ["< taken for <="],
    why: CONTINUOUS,
  },
  {
    file: "patterns.ts",
    where: "beginPattern",
    source: "periods > 1",
    what: ["> taken for >=", "always"],
    why: "in one period both on-runs end within it",
  },
  {
    file: "patterns.ts",
    where: "beginFlow",
    source: "stage.wasOpen = 0;",
    what: ["statement forgotten"],
    why: "the first period sets it, before anybody reads it",
  },
  {
    file: "patterns.ts",
    where: "beginFlow",
    source: "stage.holdsOpen = 0;",
    what: ["statement forgotten"],
    why: "what has no flow was shut, and that has set it",
  },
  {
    file: "patterns.ts",
    where: "beginFlow",
    source: "NOT_BEGUN",
    why: "any number past all places in a period does",
  },
  { file: "patterns.ts", where: "nextPeriod", source: "goesOn(stage)", what: ["never"], why: SHORTCUT },
  {
    file: "patterns.ts",
    where: "shorten",
    source: "left < 2",
    what: ["< taken for <="],
    why: STEP,
  },
  {
    file: "patterns.ts",
    where: "shorten",
    source: "flowing >= stage.flow",
    what: [">= taken for >"],
    why: CONTINUOUS,
  },
];

/** Does a period go on as the one before? */
const OF_GOING_ON: readonly Explained[] = [
  {
    file: "patterns.ts",
    where: "goesOn",
    source: "periods !== stage.wanted",
    what: ["always"],
    why: SHORTCUT,
  },
  { file: "patterns.ts", where: "goesOn", source: "periods === OPEN", what: ["never"], why: SHORTCUT },
  { file: "patterns.ts", where: "goesOn", source: "OPEN", what: ["OPEN half as large again"], why: SHORTCUT },
  { file: "patterns.ts", where: "goesOn", source: "periods !== 1 || ", what: ["always"], why: SHORTCUT },
  {
    file: "patterns.ts",
    where: "goesOn",
    source: "stage.flow === flow",
    what: ["=== taken for !==", "&& taken for ||"],
    why: GOES_ON,
  },
  {
    file: "patterns.ts",
    where: "goesOn",
    source: "stage.nitrousRun === ",
    what: ["=== taken for !=="],
    why: GOES_ON,
  },
  {
    file: "patterns.ts",
    where: "goesOn",
    source: "flow + stage.nitrousOpening",
    what: ["+ taken for -", "- taken for +"],
    why: GOES_ON,
  },
  {
    file: "patterns.ts",
    where: "goesOn",
    source: "stage.fuelRun === ",
    what: ["=== taken for !=="],
    why: GOES_ON,
  },
  {
    file: "patterns.ts",
    where: "goesOn",
    source: "flow + stage.fuelOpening",
    what: ["+ taken for -", "- taken for +"],
    why: GOES_ON,
  },
];

/** When a stage rests and turns, and what it asks the ignition for. */
const OF_DRIVING: readonly Explained[] = [
  {
    file: "patterns.ts",
    where: "mustRest",
    source: "state.nowUs - stage.shutUs < ",
    what: ["< taken for <="],
    why: "one microsecond of a rest whose closing time is rounded up",
  },
  {
    file: "patterns.ts",
    where: "mustRest",
    source: "stage.wasShut = 0;",
    what: ["statement forgotten"],
    why: "only a stop brings the question up again, and that sets the time anew",
  },
  {
    file: "patterns.ts",
    where: "drive",
    source: "stage.shareX32 > 0",
    what: ["> taken for >=", "always"],
    why: SHORTCUT,
  },
  {
    file: "patterns.ts",
    where: "drive",
    source: "stage.phase + FROZEN_STEPS < ",
    what: ["< taken for <="],
    why: STEP,
  },
  {
    file: "patterns.ts",
    where: "asksOpen",
    source: "flowing + spare() > ",
    what: ["> taken for >="],
    why: STEP,
  },
  {
    file: "patterns.ts",
    where: "asksOpen",
    source: "flowing <= ",
    what: ["<= taken for <"],
    why: STEP,
  },
  { file: "patterns.ts", where: "asksOpen", source: "flowing <= ", what: ["always"], why: SHORTCUT },
  {
    file: "patterns.ts",
    where: "asksOpen",
    source: "OPEN",
    what: ["OPEN half as large again"],
    why: "more than any number of periods, either way",
  },
  {
    file: "patterns.ts",
    where: "asksOpen",
    source: "flowing > stage.leastFlowing",
    what: ["> taken for >="],
    why: STEP,
  },
  {
    file: "patterns.ts",
    where: "asksOpen",
    source: "max<u32>(nitrous, fuel) + spare() >= ",
    what: [">= taken for >"],
    why: STEP,
  },
  {
    file: "patterns.ts",
    where: "retardShare",
    source: "stage.askedX32 <= 0",
    what: ["<= taken for <", "never"],
    why: SHORTCUT,
  },
];

/** By file and function. */
export const OF_PULSES: readonly Explained[] = [
  ...OF_PATTERNS,
  ...OF_GOING_ON,
  ...OF_DRIVING,
  ...OF_TURNS,
  ...OF_TABLES,
];
