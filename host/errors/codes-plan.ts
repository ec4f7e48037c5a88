// Errors of a car file and of planning. Each names its place in the file and its remedy.
import type { ErrorEntry } from "./entry.ts";
import { EXIT } from "./exit.ts";

export const PLAN_ERRORS = {
  "bad-car": {
    exit: EXIT.badSettings,
    what: "the car file has errors",
    todo: "mend each place shown, then plan again",
    long: "A car file says what is known of a car, in units as people write them. All its errors are shown at once, each with line, column and remedy; nothing is planned or written while there is one. docs/plan.md lists the keys.",
  },
  "past-limits": {
    exit: EXIT.no,
    what: "the goal is past what the parts are said to stand",
    todo: "see the cautions marked STOP, and lower the goal or change the parts",
    long: "The plan is shown, but no settings file is written for it: loading it could break the engine. Each reason stands among the cautions with what to do instead.",
  },
  "goal-unreachable": {
    exit: EXIT.no,
    what: "the goal cannot be reached with this car",
    todo: "see the reason beside it, and choose another goal",
    long: "Either the car is as quick already, or its tyres and parts do not allow the goal with any amount of nitrous.",
  },
} as const satisfies Record<string, ErrorEntry>;
