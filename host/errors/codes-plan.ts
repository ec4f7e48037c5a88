// Errors of a car file and of planning. Each names its place in the file and its remedy.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

export const PLAN_ERRORS = {
  "bad-car": {
    exit: EXIT.badSettings,
    what: "the car file has errors",
    todo: "correct each place shown, then plan again",
    long: "A car file describes a car, each number with its unit. All its errors are shown at once, each with line, column and remedy; nothing is planned or written while there is one. docs/plan.md lists the keys.",
  },
  "past-limits": {
    exit: EXIT.no,
    what: "the plan has a STOP",
    todo: "read the cautions marked STOP: each says what to change, or what has to be acknowledged",
    long: "The plan is shown, but no settings file is written for it: loading it could break the engine. A STOP may be about parts, added power, retard, mixture, fuel pump, injectors, the bottle's sensor, or a signal that the controller needs. Each stands among the cautions with what to do instead; docs/plan.md lists them, and says which can be acknowledged with a reason.",
  },
  "goal-unreachable": {
    exit: EXIT.no,
    what: "the goal cannot be reached with this car",
    todo: "choose a smaller goal, or change what the message names",
    long: "Either the car is already as quick, or its tyres and parts do not allow the goal with any amount of nitrous.",
  },
  "bad-spread": {
    exit: EXIT.badSettings,
    what: "a file is no part of this spread",
    todo: "name files that `headgate spread --out` wrote for the same settings, car, seed and tolerance",
    long: "Parts of a spread carry what they were made from: settings, car, version, seed, tolerance and number of runs. Only parts in which all of that is the same can be put together, because only then are they parts of one whole.",
  },
} as const satisfies Record<string, ErrorEntry>;
