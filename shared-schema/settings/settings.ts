// The one table of settings: name, unit, limits, example and reason of each. Everything else about settings is made from it.

import { STAGES } from "../model/pins.ts";
import { bottleValve, heater, purge } from "./bottle.ts";
import { AFTER_LIFT, RETARD_POINTS, ROAD_SENDERS, YES_NO } from "./choices.ts";
import { battery, bottle, coolant, fuel, lambda, manifold, throttle } from "./sensors.ts";
import { stageFields } from "./stages.ts";
import { choice, type GroupSetting, group, number, optional, type SettingNode } from "./table.ts";
import { engineWindow, otherWindows } from "./windows.ts";

export {
  AFTER_LIFT,
  AXES,
  GEARS,
  RAMP_POINTS,
  RAMPS_PER_STAGE,
  ROAD_SENDERS,
  STAGE_KINDS,
} from "./choices.ts";

/** Version of the stored layout. Raise it with every change that moves a word. */
export const LAYOUT_VERSION = 5;

/** The watch over the speed of most engines, which gain less even without load (chosen, no source). */
export const USUAL_JUMP = { fastestRpmPerS: 30_000, unevennessPermille: 100 };

const engine: SettingNode = group("engine", "the engine", [
  number(
    "pulses",
    "HalfPulses",
    [1, 16, 4],
    "engine speed pulses for each turn of the crankshaft",
    "half a pulse (one for two turns) to eight",
  ),
  number(
    "revLimiter",
    "Rpm",
    [3000, 16000, 7200],
    "where the engine's own rev limiter acts",
    "the close thresholds are held under it",
  ),
  choice(
    "lowSpeedAcknowledged",
    YES_NO,
    "no",
    "yes allows flow below 3000 rpm; be sure that the engine stands it",
  ),
  optional("jump", "engine speed that moves faster than this, twice running, trips", [
    number(
      "fastest",
      "RpmPerS",
      [3000, 60000, USUAL_JUMP.fastestRpmPerS],
      "fastest believable change of engine speed",
      "faster is a broken coupling or noise on the wire",
    ),
    number(
      "unevenness",
      "Permille",
      [20, 300, USUAL_JUMP.unevennessPermille],
      "how far the times between the pulses of a steady engine may differ: so much of the speed is no jump",
      "teeth and a moving ignition make pulses uneven; an extra or a missing pulse is a change of a third and more",
    ),
  ]),
]);

const gearbox: SettingNode = optional(
  "gearbox",
  "gears, identified by engine speed and road speed together; needs `road`",
  [
    number("tolerance", "Permille", [10, 150, 60], "how far the ratio may be off", "tyres slip and grow"),
    {
      kind: "list",
      name: "gears",
      min: 1,
      max: 8,
      meaning: "gears from first to top",
      fields: [
        number(
          "ratio",
          "DeciRpmPerKmh",
          [50, 6000, 1000],
          "engine speed for a road speed in this gear",
          "measure it, or 1000 / 60 x gear x final drive / tyre circumference in metres",
        ),
      ],
    },
  ],
);

const driveline: SettingNode = optional("driveline", "cut back when the driveshaft runs away; needs `road`", [
  number(
    "fastest",
    "DeciKmhPerS",
    [50, 3000, 600],
    "fastest rise of road speed that is grip",
    "faster is wheelspin",
  ),
  number(
    "cutTo",
    "Permille",
    [0, 900, 300],
    "share that no stage exceeds while cut back",
    "enough less to let the tyres bite",
  ),
  number(
    "hold",
    "Ms",
    [50, 2000, 250],
    "how long it stays cut back before it rises again",
    "tyres need a moment",
  ),
]);

const retard: SettingNode = optional("retard", "retard request to the ignition", [
  number(
    "fullSignal",
    "DeciDeg",
    [10, 600, 200],
    "degrees that a signal of full duty asks for",
    "what the ignition expects",
  ),
  number("lead", "Ms", [0, 500, 100], "how long the request runs ahead of the flow", "timing first"),
  {
    kind: "list",
    name: "table",
    min: 2,
    max: RETARD_POINTS,
    meaning: "retard over the whole flow, rising",
    fields: [
      number("flow", "Permille", [0, 1000, 0], "share of the whole flow", "all stages together are 100 %"),
      number(
        "angle",
        "DeciDeg",
        [0, 600, 0],
        "retard at this flow",
        "about 2 degrees for 50 hp is common practice, no source",
      ),
    ],
  },
]);

const flow: SettingNode = group("flow", "how flow is made", [
  number(
    "frequency",
    "Hz",
    [8, 40, 20],
    "pulses a second at each solenoid",
    "10 to 30 Hz is common practice, no source: slower is felt as blows, faster wears valves",
  ),
  number(
    "riseLimit",
    "PercentPerS",
    [10, 10000, 400],
    "fastest rise of any stage's share",
    "nothing limits a fall",
  ),
  number(
    "longestRun",
    "Ms",
    [500, 60000, 12000],
    "longest time that anything may flow in one run",
    "parts heat up and the bottle cools",
  ),
  choice(
    "afterLift",
    AFTER_LIFT,
    "restart",
    "where a ramp over time goes on after a lift: from its start, where it was, or a step before that",
  ),
  number("stepBack", "Ms", [0, 10000, 300], "the step for `step-back`", "less share than before the lift"),
]);

/** Above this drain voltage, mV, a coil has kicked: with the clamps and the dividers of hardware-notes. */
export const USUAL_KICK_MV = 18_500;

const clamps: SettingNode = optional(
  "clamps",
  "watch over the clamps: each coil must kick at switching off; leave it out while lamps stand in for coils",
  [
    number(
      "kick",
      "Mv",
      [17_800, 20_000, USUAL_KICK_MV],
      "a drain that rises above this after switching off has kicked",
      "with a shorted suppressor it stays a diode above the supply, 17.4 V at most; a channel reads to 20.48 V",
    ),
  ],
);

/** The whole table, in the order in which it is stored. */
export const SETTINGS: GroupSetting = group("settings", "settings of the controller", [
  engine,
  optional("road", "road or driveshaft speed pulses", [
    number(
      "pulses",
      "PerKm",
      [400, 65000, 4000],
      "pulses for each kilometre travelled",
      "one for each turn of a wheel is enough; pulses more than a second apart read as standing",
    ),
    choice(
      "sender",
      ROAD_SENDERS,
      "driveshaft",
      "what the sender counts: wheelspin speeds up a driveshaft and a driven wheel, so a ramp over their speed rises with it; an undriven wheel cannot show wheelspin, so `driveline` needs one of the others",
    ),
  ]),
  gearbox,
  optional("launch", "launch switch; needed for ramps over time since launch", [
    choice(
      "startsAt",
      ["press", "release"],
      "release",
      "which movement of the switch starts the time since launch",
    ),
  ]),
  throttle,
  manifold,
  bottle,
  fuel,
  lambda,
  coolant,
  battery,
  group("windows", "where flow is allowed at all; every stage keeps to these too", [
    group("engineSpeed", "window on engine speed", engineWindow()),
    ...otherWindows(),
  ]),
  flow,
  driveline,
  retard,
  purge,
  heater,
  bottleValve,
  clamps,
  {
    kind: "list",
    name: "stages",
    min: 1,
    max: STAGES,
    meaning: "the flow stages, in the order of the outputs",
    fields: stageFields,
  },
]);
