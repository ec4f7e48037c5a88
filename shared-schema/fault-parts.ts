// How each part of the hardware fails, what answers it, and what is left to the person: the table behind the fault analysis.

/** One way in which a part fails. */
export interface PartFault {
  readonly part: string;
  readonly failure: string;
  /** Rows of the interlock catalogue that answer it; empty when only the circuit or the person does. */
  readonly rows: readonly string[];
  /** Fault of the proof that shows it, word for word as `headgate prove` lists it, with the row that it belongs to. */
  readonly proof?: readonly [row: string, fault: string];
  /** What happens, in the program or in the circuit. */
  readonly answer: string;
  /** What nothing here can see or stop. */
  readonly left: string;
}

function f(
  part: string,
  failure: string,
  rows: string,
  answer: string,
  left: string,
  proof?: readonly [string, string],
): PartFault {
  const ids = rows === "" ? [] : rows.split(" ");
  return { part, failure, rows: ids, answer, left, ...(proof ? { proof } : {}) };
}

const WITHIN = "a value that is wrong and plausible is believed: check calibrations against a gauge";

/** Sensors, by the names of their channels; each is proved with its wire open and shorted. */
const SENSOR_WORDS: Readonly<Record<string, string>> = {
  throttle: "the throttle switch contradicts it, where both are fitted",
  manifold: WITHIN,
  bottle: WITHIN,
  fuel: WITHIN,
  lambda: "a sensor that is cold, old or far away tells late",
  coolant: WITHIN,
};

function sensorFaults(): PartFault[] {
  return Object.entries(SENSOR_WORDS).flatMap(([name, left]) => [
    f(
      `${name} sensor`,
      "signal wire open, or short to ground",
      "SENSOR",
      "reads 0 V by the input's pull-down: outside its plausible range, trip",
      left,
      ["SENSOR", `${name} sensor: wire open or short to ground`],
    ),
    f(
      `${name} sensor`,
      "signal wire short to its 5 V",
      "SENSOR",
      "reads above its plausible range, trip",
      left,
      ["SENSOR", `${name} sensor: short to 5 V`],
    ),
  ]);
}

const SWITCHES: readonly PartFault[] = [
  f(
    "arm switch",
    "wire open",
    "ARM",
    "reads off by its pull-down; the interrupt cuts every solenoid pin, and its wire also feeds the relay's coil",
    "none",
    ["ARM", "arm switch off, or its wire open"],
  ),
  f(
    "arm switch",
    "bounces, or its cable chatters",
    "ARM",
    "each edge cuts at once; shorter than 5 ms is counted as noise, and too much of it disarms",
    "look at the noise count: a wire that chatters will break",
    ["ARM", "cable chatter: arm switch off for 2 ms"],
  ),
  f(
    "arm switch",
    "short to 5 V, or contact welded",
    "ARM-BOOT",
    "a controller that starts with it on does not arm; later it looks like a driver who wants to arm",
    "switch off at the battery's disconnect; test the switch at each power-up",
    ["ARM-BOOT", "arm switch on when power comes"],
  ),
  f(
    "throttle switch",
    "wire open",
    "WOT TPS-SW",
    "not wide open: no flow at once; against an open sensor it trips",
    "none",
    ["WOT", "throttle switch open"],
  ),
  f(
    "throttle switch",
    "short to 5 V, or contact welded",
    "TPS-SW WOT",
    "the position sensor closes flow at once, and the contradiction trips",
    "without a position sensor nothing contradicts it: fit both",
    ["TPS-SW", "throttle switch short to 5 V while the throttle closes"],
  ),
  f(
    "throttle sensor",
    "frozen at wide open",
    "WOT TPS-SW",
    "the switch stops flow at once, and the contradiction trips",
    "without a switch nothing contradicts it: fit both",
    ["TPS-SW", "throttle switch open while the position sensor is frozen wide open"],
  ),
  f(
    "enrichment wire",
    "open",
    "ENRICH",
    "a dry stage trips after its time",
    "short to supply looks like a confirmation: check the engine computer's output at each service",
    ["ENRICH", "enrichment no longer confirmed, or its wire open"],
  ),
  f(
    "launch switch",
    "open, or short",
    "",
    "the ramps over time since launch start late, or never start again",
    "look at it in `headgate watch` before a run",
  ),
  f(
    "switch register",
    "dead, or its wires open",
    "",
    "all slow switches read as open: no purge, no heat, bottle valve shut, and a dry stage trips by ENRICH",
    "none",
  ),
];

const PULSES: readonly PartFault[] = [
  f("engine speed sender", "wire open", "RPM-LOST", "three missing periods trip", "none", [
    "RPM-LOST",
    "engine pulse wire open",
  ]),
  f(
    "engine speed sender",
    "wire short to 5 V",
    "RPM-LOST",
    "no more edges: three missing periods trip",
    "none",
    ["RPM-LOST", "engine pulse wire short to 5 V"],
  ),
  f(
    "engine speed sender",
    "extra pulses from interference",
    "RPM-JUMP RPM-WIN",
    "a speed that an engine cannot reach so fast trips; above the window it holds off before",
    "steady interference at a multiple of the speed that lies inside the window is believed: look at the speed in `headgate watch`",
    ["RPM-JUMP", "extra pulses on the engine wire"],
  ),
  f(
    "engine speed sender",
    "missing pulses, a broken tooth",
    "RPM-JUMP RPM-WIN",
    "jumps in the speed trip; under the window it holds off before",
    "none",
    ["RPM-JUMP", "missing pulses on the engine wire"],
  ),
  f(
    "road speed sender",
    "wire open",
    "SPEED-WIN GEAR-WIN",
    "reads as standing: outside every window that begins above 0, and in no gear",
    "without such a window flow goes on, with ramps over road speed at their first point",
    ["SPEED-WIN", "road speed under its window"],
  ),
];

const DRIVERS: readonly PartFault[] = [
  f(
    "solenoid driver",
    "shorted: always conducts",
    "DRIVER",
    "seen at arming, and under flow whenever the pin is low: lockout, the relay takes the supply away",
    "at each try to arm its valve opens for a moment: bottle shut until the controller has armed once",
    ["DRIVER", "nitrous1 driver shorted: always conducts, at arming"],
  ),
  f(
    "solenoid driver",
    "stuck: never conducts",
    "DRIVER",
    "seen under flow whenever the pin is high: lockout; for fuel it means nitrous without fuel for at most that time",
    "for that time the mixture is lean, and neither FUEL-LOW nor LEAN sees it sooner",
    ["DRIVER", "fuel1 driver stuck: never conducts"],
  ),
  f(
    "solenoid coil",
    "open, or unplugged",
    "DRIVER",
    "seen at arming, and under flow whenever the pin is low: lockout",
    "a stage that is wide open all the time shows it only when it ends",
    ["DRIVER", "nitrous1 load unplugged, at arming"],
  ),
  f(
    "solenoid valve",
    "stuck open, or leaking",
    "",
    "no current opens it, so none closes it",
    "only a closed bottle valve stops it: test for leaks, replace valves as their maker says",
  ),
  f(
    "solenoid valve",
    "does not open for fuel, or the filter is blocked",
    "LEAN FUEL-LOW",
    "the mixture leaves its limit and trips",
    "LEAN needs a lambda sensor, and exhaust takes its time to reach it",
    ["LEAN", "mixture leaner than its limit"],
  ),
  f(
    "fuel pump, line, regulator",
    "pressure missing",
    "FUEL-LOW",
    "no flow begins; a wet stage that flows trips",
    "without a sensor nothing sees it",
    ["FUEL-LOW", "fuel pressure under its limit"],
  ),
  f(
    "bottle valve",
    "opened, and no pressure comes",
    "VALVE BOTTLE-LOW",
    "nothing flows, and after its time it trips",
    "a valve that does not shut is not seen",
    ["VALVE", "bottle valve opened and no pressure comes"],
  ),
  f(
    "bottle heater",
    "its driver shorted",
    "BOTTLE-HIGH",
    "while armed the pressure limit trips, which does not switch a shorted heater off",
    "the heater's own thermostat or pressure switch must: it is the limit, this output is not",
    ["BOTTLE-HIGH", "bottle pressure above its window"],
  ),
];

const RELAY: readonly PartFault[] = [
  f(
    "master relay",
    "contact welded",
    "RELAY",
    "supply behind the open relay at the next arming: lockout",
    "until then the drivers are the only way to off: test after every short circuit",
    ["RELAY", "relay contact welded"],
  ),
  f(
    "master relay",
    "sticks when tried",
    "KEEP-ALIVE",
    "the second way to off is tried at each arming: lockout",
    "none",
    ["KEEP-ALIVE", "relay contact sticks when tried"],
  ),
  f(
    "master relay",
    "coil or contact open",
    "KEEP-ALIVE",
    "no supply at arming: lockout; no valve can open",
    "none",
    ["KEEP-ALIVE", "relay dead: never closes"],
  ),
  f(
    "master relay's fuse",
    "blows while flowing",
    "KEEP-ALIVE",
    "all valves close by themselves; lockout",
    "find the short before the next fuse",
    ["KEEP-ALIVE", "supply behind the relay lost while armed"],
  ),
  f(
    "charge pump",
    "its diode or capacitor shorted or open",
    "KEEP-ALIVE",
    "the relay does not close: lockout at arming",
    "none",
    ["KEEP-ALIVE", "relay dead: never closes"],
  ),
  f("keep-alive pin", "stuck high or low", "KEEP-ALIVE", "no edges, no pump, relay open", "none", [
    "KEEP-ALIVE",
    "supply behind the relay lost while armed",
  ]),
];

const CONVERTERS: readonly PartFault[] = [
  f("converter A", "dead, or its select wire open", "ADC", "its leading zero is missing: trip", "none", [
    "ADC",
    "converter A does not answer",
  ]),
  f("converter B", "dead, or its select wire open", "ADC", "its leading zero is missing: trip", "none", [
    "ADC",
    "converter B does not answer",
  ]),
  f("converters' data line", "open, or short to 3.3 V", "ADC", "no leading zeros: trip", "none", [
    "ADC",
    "data line of the converters open or short to 3.3 V",
  ]),
  f("converters' data line", "short to ground", "ADC", "one code on all channels: trip", "none", [
    "ADC",
    "data line of the converters short to ground",
  ]),
  f(
    "converters' reference",
    "drifts",
    "",
    "every sensor shows the same error",
    "the throttle's two proofs drift apart only by more than their gap: compare a gauge with `headgate watch`",
  ),
];

const SUPPLY: readonly PartFault[] = [
  f(
    "battery, charging",
    "voltage too low",
    "BATT-LOW",
    "holds off; opening times follow the voltage before that",
    "none",
    ["BATT-LOW", "battery voltage too low"],
  ),
  f(
    "5 V supply",
    "missing",
    "",
    "gate buffers drive nothing, the second pull-downs hold the gates low, sensors read 0 V",
    "none: nothing can open",
  ),
  f(
    "3.3 V supply",
    "brown-out",
    "",
    "the chip resets, its pins are not driven, pull-downs hold; after it the arm switch must be seen off",
    "slopes of a brown-out cannot be shown by an emulator: try it with a bench supply",
  ),
  f(
    "ground",
    "of the sensors lifted",
    "SENSOR",
    "readings rise together, out of their ranges when it is open",
    "a small lift is believed: one star point, as drawn",
  ),
];

const CHIP: readonly PartFault[] = [
  f(
    "microcontroller",
    "the program hangs",
    "HANG",
    "the watchdog resets it: pins undriven, relay open, not armed, reason kept",
    "none",
    ["HANG", "the main loop hangs"],
  ),
  f(
    "microcontroller",
    "an interrupt never ends",
    "HANG",
    "the same: feeding is not done by interrupts",
    "none",
    ["HANG", "an interrupt never ends"],
  ),
  f(
    "microcontroller",
    "runs wild into an instruction that does not exist",
    "TRAP",
    "the handler cuts pins and keep-alive, then resets",
    "none",
    ["TRAP", "an instruction that does not exist"],
  ),
  f(
    "microcontroller",
    "the core leaves its memory",
    "TRAP",
    "every access is checked: trap, pins cut, reset",
    "none",
    ["TRAP", "the core leaves its memory"],
  ),
  f(
    "microcontroller",
    "a solenoid pin stuck high",
    "DRIVER",
    "its driver conducts though not told: lockout, the relay opens",
    "none",
    ["DRIVER", "nitrous1 driver shorted: always conducts"],
  ),
  f(
    "microcontroller",
    "clock stops",
    "",
    "the watchdog stops too [from memory], pins stay as they are; the keep-alive has no edges, so the relay opens",
    "until the relay has opened a valve stays as it was; the wire of the arm switch still acts",
  ),
  f("flash", "a bit of the program flips", "IMAGE", "cannot arm", "none", [
    "IMAGE",
    "one wrong bit in the program",
  ]),
  f(
    "flash",
    "a bit of the settings flips",
    "SETTINGS",
    "the slot is not believed: an older whole one is used and told, else it cannot arm",
    "`headgate doctor` and `status` name what is in force",
    ["SETTINGS", "one wrong bit in the stored settings"],
  ),
  f("flash", "settings of another program", "SETTINGS", "cannot arm", "none", [
    "SETTINGS",
    "settings of another schema",
  ]),
  f(
    "serial line",
    "interference, or a host that asks at the wrong time",
    "LINK",
    "damaged frames are dropped; what changes anything is refused while not off",
    "none",
    ["LINK", "settings write, log erase, service or restart asked while flowing"],
  ),
];

const ENGINE: readonly PartFault[] = [
  f(
    "driveline",
    "wheelspin, or a broken shaft",
    "DRIVELINE RPM-WIN",
    "every stage is cut back for a time; the engine window holds off above it",
    "nothing steers: lift",
    ["DRIVELINE", "driveshaft runs away"],
  ),
  f(
    "boost control",
    "too much boost",
    "OVERBOOST MAP-WIN",
    "trip",
    "the engine's own protection comes first",
    ["OVERBOOST", "manifold pressure above its limit"],
  ),
  f("driver of the car", "forgets to lift", "TIME", "every stage and the run have a longest time", "none", [
    "TIME",
    "a stage flows for its longest time",
  ]),
];

/** All of them, part by part. */
export const PART_FAULTS: readonly PartFault[] = [
  ...SWITCHES,
  ...PULSES,
  ...sensorFaults(),
  ...CONVERTERS,
  ...DRIVERS,
  ...RELAY,
  ...SUPPLY,
  ...CHIP,
  ...ENGINE,
];
