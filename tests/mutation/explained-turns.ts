// Explained survivors in what moves the stages on: flow.ts, lead.ts, solenoids.ts, ramps.ts, retard.ts, hold.ts, interlocks.ts.
import { CONTINUOUS, type Explained, GUARD, ITS_OWN_VALUE, SHORTCUT } from "./explained-why.ts";

const TWICE_ASKED = "nothing gets there that neither holds nor is bad";

/** Turns of the stages, noise at the arm switch, and the modes. */
export const OF_TURNS: readonly Explained[] = [
  {
    file: "flow.ts",
    where: "onlyNoise",
    source: "1 << N.LOCK_ARM",
    what: ["<< taken for >>"],
    why: "the arm switch is row 0: shifted by nothing, either way",
  },
  {
    file: "flow.ts",
    where: "takeTurn",
    source: "state.clearUs < N.FLOW_CLEAR_US",
    what: ["< taken for <="],
    why: "one microsecond of 20 ms, and the first tick counts as one",
  },
  {
    file: "flow.ts",
    where: "lookOnly",
    source: "shut(stage);",
    what: ["statement forgotten"],
    why: "what it got ready in its turn before, in the same noise, is as good",
  },
  {
    file: "flow.ts",
    where: "lookOnly",
    source: "false",
    what: ["false taken for true"],
    why: "it was shut just before, and so begins anew",
  },
  {
    file: "flow.ts",
    where: "stopAll",
    source: "stage.turnUs = state.nowUs;",
    what: ["statement forgotten"],
    why: "it has had turns, which set it, before it may flow",
  },
  {
    file: "flow.ts",
    where: "runAll",
    source: "false",
    what: ["false taken for true"],
    why: "where no periods are followed, none is under way that could be begun anew",
  },
  {
    file: "flow.ts",
    where: "runStages",
    source: "(flowing !== 0) !== ",
    what: ["always"],
    why: "a transition from another mode than its own changes nothing",
  },
  {
    file: "lead.ts",
    where: "prepareLead",
    source: "findSlots();",
    what: ["statement forgotten"],
    why: "they are found again with each slot, and two pass before anything may flow",
  },
  {
    file: "lead.ts",
    where: "passLead",
    source: "lead.restUs >= ",
    what: [">= taken for >"],
    why: "every slot begins a round of turns later, and is as long",
  },
];

/** Valves, ramps, the table of the retard request, and hold-offs. */
export const OF_TABLES: readonly Explained[] = [
  {
    file: "solenoids.ts",
    where: "openingUs",
    source: "mv < BETWEEN_MV",
    what: ["< taken for <="],
    why: CONTINUOUS,
  },
  { file: "ramps.ts", where: "axisOf", source: "unreachable();", what: ["statement forgotten"], why: GUARD },
  { file: "ramps.ts", where: "isBehind", source: "x >= ", what: [">= taken for >"], why: SHORTCUT },
  { file: "retard.ts", where: "prepareRetard", source: "S.RETARD_TABLE_STRIDE", what: ["never"], why: GUARD },
  {
    file: "retard.ts",
    where: "prepareRetard",
    source: "unreachable();",
    what: ["statement forgotten"],
    why: GUARD,
  },
  { file: "retard.ts", where: "tableAt", source: "flow < ", what: ["< taken for <="], why: CONTINUOUS },
  { file: "retard.ts", where: "tableAt", source: "flow >= ", what: [">= taken for >"], why: CONTINUOUS },
  {
    file: "retard.ts",
    where: "follow",
    source: "state.nowUs - state.retardSinceUs < ",
    what: ["< taken for <="],
    why: "one round of turns, 4 ms, by which timing comes back later",
  },
  { file: "hold.ts", where: "follow", source: "!bad", what: ["never"], why: TWICE_ASKED },
  { file: "hold.ts", where: "follow", source: "false", what: ["false taken for true"], why: TWICE_ASKED },
  {
    file: "hold.ts",
    where: "follow",
    source: "hold.heldUs >= ",
    what: [">= taken for >"],
    why: "rounds of 4 ms never come to just 250",
  },
  { file: "hold.ts", where: "followHold", source: "bad || ", what: ["always"], why: SHORTCUT },
  {
    file: "flow.ts",
    where: "runAll",
    source: "state.dtUs >= LATE_US",
    what: [">= taken for >"],
    why: "a tick of just 2 ms: of four stages that wait, the last is then set 6 ms later at most, in a period of 25 ms or more",
  },
  {
    file: "interlocks.ts",
    where: "holdBottle",
    source: "kpa >= enough",
    what: [">= taken for >"],
    why: ITS_OWN_VALUE,
  },
];
