// Settings of one flow stage: its kind, solenoids, windows, place in the order, and ramps.
import { AXES, RAMP_POINTS, RAMPS_PER_STAGE, STAGE_KINDS } from "./choices.ts";
import { choice, group, number, optional, type SettingNode } from "./table.ts";
import { engineWindow, otherWindows } from "./windows.ts";

/** Opening times by the volts behind the master relay, and what is done between and beyond them. */
const OPENING = {
  10: "time to open with 10 V behind the master relay; below that this time goes on being used, so less flows than is asked for",
  12: "time to open with 12 V behind the master relay; between 10, 12 and 14 V the times lie on straight lines",
  14: "time to open with 14 V behind the master relay; up to 16.5 V this time goes on being used, so a little more flows than is asked for; above that nothing flows",
} as const;

function solenoid(): SettingNode[] {
  const reason = "5 to 15 ms is common practice, no source; measure your valve at your pressure";
  return [
    number("opening10V", "Us", [500, 40000, 14000], OPENING[10], reason),
    number("opening12V", "Us", [500, 40000, 11000], OPENING[12], reason),
    number("opening14V", "Us", [500, 40000, 9000], OPENING[14], reason),
    number(
      "closing",
      "Us",
      [500, 40000, 8000],
      "time to close",
      "depends on the clamp across the coil; measure it",
    ),
  ];
}

const OVER =
  "what the ramp runs over: time since the stage opened, time since launch, engine speed, road speed or manifold pressure";
const POINTS =
  "places on the axis, rising, each with the share of the stage's full flow; straight between, ends held";

const ramp: SettingNode[] = [
  choice("over", AXES, "time", OVER),
  { kind: "points", name: "points", min: 2, max: RAMP_POINTS, meaning: POINTS },
];

/** Fields of a stage, in stored order. */
export const stageFields: readonly SettingNode[] = [
  choice(
    "kind",
    STAGE_KINDS,
    "wet",
    "wet: fuel through the stage's own solenoid; dry: fuel added by the engine computer",
  ),
  number(
    "longest",
    "Ms",
    [500, 30000, 8000],
    "longest time this stage may flow in one run",
    "parts heat up and the bottle cools; a stuck sensor must not feed an engine for ever",
  ),
  number(
    "portion",
    "Permille",
    [10, 1000, 250],
    "this stage's part of the whole flow; parts are set against their sum",
    "the retard request follows the whole flow",
  ),
  group("nitrousSolenoid", "times of the nitrous solenoid", solenoid()),
  optional(
    "fuelSolenoid",
    "times of the fuel solenoid; a wet stage must have it, a dry one must not",
    solenoid(),
  ),
  optional("enrichment", "a dry stage must have its enrichment confirmed by the engine computer", [
    number(
      "within",
      "Ms",
      [20, 500, 100],
      "longest time from the first flow to the confirmation",
      "nitrous without added fuel melts pistons (common practice, no source)",
    ),
  ]),
  optional("follows", "the stage waits for the one before it; the first stage then waits for ever", [
    number(
      "share",
      "Permille",
      [50, 1000, 1000],
      "share that the stage before must have reached",
      "stages in order load the tyres in order",
    ),
  ]),
  optional("delay", "the stage waits after everything else allows it", [
    number("wait", "Ms", [10, 20000, 300], "how long it waits", "spreads the stages of a launch"),
  ]),
  optional(
    "engineSpeed",
    "window of this stage on engine speed, inside the one of the system",
    engineWindow(),
  ),
  ...otherWindows(),
  {
    kind: "list",
    name: "ramps",
    min: 1,
    max: RAMPS_PER_STAGE,
    meaning: "one or two ramps; with two the lower share rules",
    fields: ramp,
  },
];
