// The catalogue of interlocks: cause, reaction, longest time and remedy of each, once, for core, docs, messages and tests.

/** hold-off: no flow while it lasts. trip: all off until the arm switch is cycled. lockout: all off until power-off. */
export type Reaction = "off" | "hold-off" | "trip" | "lockout" | "cut-back" | "cannot-arm" | "refused";

/** One row. Its place in the list is its number on the link and its bit in the reasons. */
export interface Interlock {
  readonly id: string;
  readonly cause: string;
  readonly reaction: Reaction;
  /** Longest time from the cause at a pin to all solenoid pins low, microseconds; undefined where nothing can be flowing. */
  readonly withinUs?: number;
  /** What is added to `withinUs`. */
  readonly plus?:
    | "engine-pulse"
    | "three-engine-pulses"
    | "lost-engine"
    | "road-pulse"
    | "cut-back"
    | "setting";
  /** Settings (document paths) that switch it on; empty: always on. */
  readonly enabledBy: readonly string[];
  readonly remedy: string;
  /** Does the control core or the board layer act on it yet? */
  readonly works: boolean;
}

type Extra = Partial<Pick<Interlock, "withinUs" | "plus" | "enabledBy">>;

function row(
  id: string,
  cause: string,
  reaction: Reaction,
  works: boolean,
  remedy: string,
  extra: Extra = {},
): Interlock {
  return { id, cause, reaction, enabledBy: [], remedy, works, ...extra };
}

const MS = 1000;
/** 2 ms, and the 4 ms between two turns of what changes slowly (docs/decisions/0026). */
const TURNS = 6 * MS;

/** All rows, in the order of their numbers. New rows go to the end. */
export const INTERLOCKS: readonly Interlock[] = [
  row(
    "ARM",
    "the arm switch is off; an edge cuts the pins at once, and when it is back within 5 ms it was noise",
    "off",
    true,
    "switch it on; look for a loose wire when it comes and goes by itself",
    { withinUs: 10 },
  ),
  row(
    "ARM-BOOT",
    "the arm switch was on when the controller started",
    "hold-off",
    true,
    "switch it off for a moment, then on again",
  ),
  row(
    "WOT",
    "the throttle is not proven wide open by every way that is fitted",
    "hold-off",
    true,
    "open the throttle fully; check switch and sensor adjustment",
    { withinUs: 2 * MS },
  ),
  row(
    "TPS-SW",
    "throttle switch and throttle position contradict each other",
    "trip",
    true,
    "check both, and their adjustment",
    { withinUs: 102 * MS, enabledBy: ["throttle.position"] },
  ),
  row("RPM-WIN", "engine speed is outside its window", "hold-off", true, "bring the engine into the window", {
    withinUs: 2 * MS,
    plus: "engine-pulse",
  }),
  row(
    "RPM-LOST",
    "engine pulses stopped while flowing",
    "trip",
    true,
    "check the engine speed wire and its sensor",
    { withinUs: 2 * MS, plus: "lost-engine" },
  ),
  row(
    "RPM-JUMP",
    "engine speed moves faster than an engine can",
    "trip",
    true,
    "look for noise on the engine speed wire",
    { withinUs: 2 * MS, plus: "three-engine-pulses", enabledBy: ["engine.jump"] },
  ),
  row(
    "SPEED-WIN",
    "road speed is outside its window",
    "hold-off",
    true,
    "check the window and the road speed pulses",
    { withinUs: 2 * MS, plus: "road-pulse", enabledBy: ["windows.roadSpeed"] },
  ),
  row(
    "MAP-WIN",
    "manifold pressure is outside its window",
    "hold-off",
    true,
    "check the window and the boost",
    { withinUs: 2 * MS, enabledBy: ["windows.manifold"] },
  ),
  row(
    "GEAR-WIN",
    "the gear is not one of those allowed",
    "hold-off",
    true,
    "check the gear ratios in the settings",
    { withinUs: 2 * MS, plus: "road-pulse", enabledBy: ["windows.gears"] },
  ),
  row(
    "OVERBOOST",
    "manifold pressure is above its trip limit",
    "trip",
    true,
    "find the cause of the boost before the next run",
    { withinUs: 2 * MS, enabledBy: ["manifold.overboost"] },
  ),
  row(
    "BOTTLE-LOW",
    "bottle pressure is under its window",
    "hold-off",
    true,
    "warm the bottle with its heater, or fill it",
    { withinUs: TURNS, enabledBy: ["bottle"] },
  ),
  row(
    "BOTTLE-HIGH",
    "bottle pressure is above its window",
    "trip",
    true,
    "let the bottle cool; never vent towards people",
    { withinUs: TURNS, enabledBy: ["bottle"] },
  ),
  row(
    "FUEL-LOW",
    "fuel pressure is under its limit in a wet stage",
    "trip",
    true,
    "check pump, filter and regulator before the next run",
    { withinUs: 20 * MS, enabledBy: ["fuel"] },
  ),
  row(
    "LEAN",
    "the mixture is leaner than its limit while flowing",
    "trip",
    true,
    "find the missing fuel before the next run",
    { withinUs: 2 * MS, plus: "setting", enabledBy: ["lambda"] },
  ),
  row(
    "ENRICH",
    "a dry stage flows and its enrichment is not confirmed",
    "trip",
    true,
    "check the enrichment wire and the engine computer",
    { withinUs: 2 * MS, plus: "setting", enabledBy: ["stages.0.enrichment"] },
  ),
  row(
    "BATT-LOW",
    "battery voltage is too low to open a valve surely",
    "hold-off",
    true,
    "charge the battery, check the earth",
    { withinUs: TURNS },
  ),
  row("COOLANT", "the engine is too cold or too hot", "hold-off", true, "wait", {
    withinUs: TURNS,
    enabledBy: ["coolant"],
  }),
  row(
    "SENSOR",
    "a sensor that an enabled rule needs is outside its plausible range",
    "trip",
    true,
    "check the sensor's wire, supply and plug",
    {
      withinUs: 10 * MS,
      enabledBy: ["throttle.position", "manifold", "bottle", "fuel", "lambda", "coolant"],
    },
  ),
  row(
    "ADC",
    "an analog converter does not answer, or not with live values",
    "trip",
    true,
    "check the converter's supply and the SPI wires",
    { withinUs: 10 * MS },
  ),
  row(
    "DRIVER",
    "a solenoid driver does not do what it is told",
    "lockout",
    true,
    "check solenoid, wire and driver",
    { withinUs: 20 * MS },
  ),
  row(
    "RELAY",
    "there is supply behind the open master relay",
    "lockout",
    true,
    "replace the relay: its contact is welded",
  ),
  row(
    "DRIVELINE",
    "the driveshaft accelerates faster than its limit",
    "cut-back",
    true,
    "less share at this place of the ramp",
    { withinUs: 10 * MS, plus: "cut-back", enabledBy: ["driveline"] },
  ),
  row(
    "TIME",
    "a stage, or the run, has flowed longer than its limit",
    "trip",
    true,
    "cycle the arm switch; check the longest times",
    { withinUs: 2 * MS },
  ),
  row("SETTINGS", "there are no valid settings for this program", "cannot-arm", true, "load a settings file"),
  row(
    "TRAP",
    "the program trapped and the chip was reset",
    "off",
    true,
    "note the place shown and report it; flash the released image again",
    { withinUs: 10 },
  ),
  row(
    "HANG",
    "the main loop missed its deadline and the watchdog reset the chip",
    "off",
    true,
    "note when it happened and report it; check the supply",
    { withinUs: 20 * MS },
  ),
  row(
    "KEEP-ALIVE",
    "the master relay does not follow: tried at arming, and no supply behind it while armed",
    "lockout",
    true,
    "check charge pump and relay",
    { withinUs: 22 * MS },
  ),
  row(
    "IMAGE",
    "the program in flash does not match its own check sum",
    "cannot-arm",
    true,
    "flash the released image again",
  ),
  row(
    "LINK",
    "something was asked over the line that is only done while off",
    "refused",
    true,
    "switch the arm switch off first",
  ),
  row(
    "VALVE",
    "the bottle valve is open and no pressure has come in its time",
    "trip",
    true,
    "check bottle, valve and wiring",
    { withinUs: 2 * MS, plus: "setting", enabledBy: ["bottleValve"] },
  ),
];

/** Number of an interlock. Throws on an unknown id: that is a mistake in the caller. */
export function interlockNumber(id: string): number {
  const number = INTERLOCKS.findIndex((i) => i.id === id);
  if (number < 0) throw new Error(`no interlock ${id}`);
  return number;
}

/** The modes, in the order of their numbers. */
export const MODES = ["off", "armed", "flowing", "tripped", "service", "arming", "locked"] as const;
