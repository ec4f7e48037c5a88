// The one table of settings: name, unit, limits, example and reason of each. Everything else about settings is made from it.
import { STAGES } from "./pins.ts";
import { choice, type GroupSetting, group, number, optional, type SettingNode } from "./table.ts";

/** Version of the stored layout. Raise it with every change that moves a word. */
export const LAYOUT_VERSION = 1;
/** Points that a ramp can have. */
export const RAMP_POINTS = 12;
export const RAMPS_PER_STAGE = 2;
/** What a ramp can run over. The place in this list is what is stored. */
export const AXES = ["time", "launch", "engine-speed", "road-speed", "manifold"] as const;
export const STAGE_KINDS = ["wet", "dry"] as const;
const YES_NO = ["no", "yes"] as const;

const windowReason = "flow outside this window is what breaks parts; common practice, no source";

function engineWindow(): SettingNode[] {
  return [
    number(
      "open",
      "Rpm",
      [2000, 14000, 3500],
      "flow may begin at and above this",
      "never below 2000 rpm; below 3000 rpm only when acknowledged: much charge per cycle (common practice, no source)",
    ),
    number(
      "close",
      "Rpm",
      [2500, 15000, 6700],
      "flow stops above this",
      "well under the rev limiter: a cut leaves unburnt charge (common practice, no source)",
    ),
    number(
      "hysteresis",
      "Rpm",
      [20, 1000, 100],
      "how far it must come back inside before flow may begin again",
      "keeps the valves from chattering at an edge",
    ),
  ];
}

function roadWindow(): SettingNode[] {
  return [
    number("open", "DeciKmh", [0, 4000, 250], "flow may begin at and above this", windowReason),
    number("close", "DeciKmh", [10, 6000, 3000], "flow stops above this", windowReason),
    number(
      "hysteresis",
      "DeciKmh",
      [5, 500, 20],
      "how far it must come back inside before flow may begin again",
      "keeps the valves from chattering at an edge",
    ),
  ];
}

function manifoldWindow(): SettingNode[] {
  return [
    number("open", "DeciKpa", [100, 5000, 850], "flow may begin at and above this", windowReason),
    number("close", "DeciKpa", [200, 6000, 1100], "flow stops above this", windowReason),
    number(
      "hysteresis",
      "DeciKpa",
      [5, 500, 20],
      "how far it must come back inside before flow may begin again",
      "keeps the valves from chattering at an edge",
    ),
  ];
}

function windows(): SettingNode[] {
  return [
    optional("roadSpeed", "window on road speed; needs `road`", roadWindow()),
    optional("manifold", "window on manifold pressure; needs `manifold`", manifoldWindow()),
  ];
}

function plausible(low: number, high: number): SettingNode[] {
  const reason =
    "an open or shorted wire must fall outside; about 5 % and 95 % of supply is common practice, no source";
  return [
    number("plausibleLow", "Mv", [50, 4000, low], "below this the sensor counts as failed", reason),
    number("plausibleHigh", "Mv", [1000, 4950, high], "above this the sensor counts as failed", reason),
  ];
}

function solenoid(): SettingNode[] {
  const reason = "5 to 15 ms is common practice, no source; measure your valve at your pressure";
  return [
    number("opening10V", "Us", [500, 40000, 14000], "time to open at 10 V", reason),
    number("opening12V", "Us", [500, 40000, 11000], "time to open at 12 V", reason),
    number("opening14V", "Us", [500, 40000, 9000], "time to open at 14 V", reason),
    number(
      "closing",
      "Us",
      [500, 40000, 8000],
      "time to close",
      "depends on the clamp across the coil; measure it",
    ),
  ];
}

const ramp: SettingNode[] = [
  choice(
    "over",
    AXES,
    "time",
    "what the ramp runs over: time since the stage opened, time since launch, engine speed, road speed or manifold pressure",
  ),
  {
    kind: "points",
    name: "points",
    min: 2,
    max: RAMP_POINTS,
    meaning:
      "places on the axis, rising, each with the share of the stage's full flow; straight between, ends held",
  },
];

const stage: SettingNode[] = [
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
  optional(
    "engineSpeed",
    "window of this stage on engine speed, inside the one of the system",
    engineWindow(),
  ),
  ...windows(),
  {
    kind: "list",
    name: "ramps",
    min: 1,
    max: RAMPS_PER_STAGE,
    meaning: "one or two ramps; with two the lower share rules",
    fields: ramp,
  },
];

/** The whole table, in the order in which it is stored. */
export const SETTINGS: GroupSetting = group("settings", "settings of the controller", [
  group("engine", "the engine", [
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
  ]),
  optional("road", "road or driveshaft speed pulses", [
    number(
      "pulses",
      "PerKm",
      [100, 65000, 4000],
      "pulses for each kilometre travelled",
      "slower than 100 is too coarse to control with",
    ),
  ]),
  optional("launch", "launch switch; needed for ramps over time since launch", [
    choice(
      "startsAt",
      ["press", "release"],
      "release",
      "which movement of the switch starts the time since launch",
    ),
  ]),
  group("throttle", "how a wide-open throttle is proven; at least one way", [
    choice("switch", YES_NO, "yes", "a switch that closes at wide-open throttle is fitted"),
    optional("position", "throttle position sensor; its voltage rises as the throttle opens", [
      number("closed", "Mv", [100, 4500, 600], "voltage with the throttle closed", "measure it"),
      number("open", "Mv", [500, 4900, 4200], "voltage with the throttle wide open", "measure it"),
      ...plausible(250, 4750),
      number(
        "opensAt",
        "Permille",
        [500, 1000, 900],
        "flow may begin at and above this opening",
        "only at full throttle (common practice, no source)",
      ),
      number(
        "closesAt",
        "Permille",
        [400, 990, 800],
        "flow stops below this opening",
        "only at full throttle (common practice, no source)",
      ),
    ]),
  ]),
  optional("manifold", "manifold pressure sensor; its voltage rises with pressure", [
    number(
      "lowPoint",
      "Mv",
      [100, 4500, 500],
      "voltage at the low calibration pressure",
      "from the sensor's data sheet",
    ),
    number(
      "lowPressure",
      "DeciKpa",
      [0, 3000, 200],
      "low calibration pressure, absolute",
      "from the sensor's data sheet",
    ),
    number(
      "highPoint",
      "Mv",
      [500, 4900, 4500],
      "voltage at the high calibration pressure",
      "from the sensor's data sheet",
    ),
    number(
      "highPressure",
      "DeciKpa",
      [500, 6000, 3000],
      "high calibration pressure, absolute",
      "from the sensor's data sheet",
    ),
    ...plausible(250, 4750),
  ]),
  group("windows", "where flow is allowed at all; every stage keeps to these too", [
    group("engineSpeed", "window on engine speed", engineWindow()),
    ...windows(),
  ]),
  group("flow", "how flow is made", [
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
  ]),
  {
    kind: "list",
    name: "stages",
    min: 1,
    max: STAGES,
    meaning: "the flow stages, in the order of the outputs",
    fields: stage,
  },
]);
