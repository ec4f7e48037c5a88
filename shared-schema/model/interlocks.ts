// The catalogue of interlocks: cause, reaction, longest time and remedy of each, once, for core, docs, messages and tests.
import { type Interlock, type Reaction, row } from "./interlock.ts";

export type { Interlock, Reaction } from "./interlock.ts";
export { MODES } from "./modes.ts";

const MS = 1000;
/** 2 ms, and the 4 ms between two turns of what changes slowly (docs/decisions/0026). */
const TURNS = 6 * MS;

/** Bits of the reasons: rows whose number is no bit never hold flow off, and no run ever tripped by them. */
export const REASON_BITS = 32;
const NO_REASON: readonly Reaction[] = ["off", "cut-back", "refused"];

/** All rows, in the order of their numbers; the first 32 are bits of the reasons. A new row that needs a bit takes the place of one that
 * needs none, which moves to the end (DEVELOPERS.md). */
export const INTERLOCKS: readonly Interlock[] = [
  row(
    "ARM",
    "the arm switch is off; an edge cuts the pins at once, and when it is back within 5 ms it was noise",
    "off",
    "switch it on; look for a loose wire when it comes and goes by itself",
    { withinUs: 10 },
  ),
  row(
    "ARM-BOOT",
    "the arm switch was on when the controller started",
    "hold-off",
    "switch it off for a moment, then on again",
  ),
  row(
    "WOT",
    "the throttle is not proven wide open by every way that is fitted",
    "hold-off",
    "open the throttle fully; check switch and sensor adjustment",
    { withinUs: 2 * MS },
  ),
  row(
    "TPS-SW",
    "throttle switch and throttle position contradict each other",
    "trip",
    "check both, and their adjustment",
    { reads: "throttle", withinUs: 102 * MS, enabledBy: ["throttle.position"] },
  ),
  row("RPM-WIN", "engine speed is outside its window", "hold-off", "bring the engine into the window", {
    withinUs: 2 * MS,
    plus: "engine-pulse",
  }),
  row(
    "RPM-LOST",
    "engine pulses stopped while flowing",
    "trip",
    "check the engine speed wire and its sensor",
    {
      withinUs: 2 * MS,
      plus: "lost-engine",
      beforeFlow: {
        cause: "no engine pulses come: the engine stands",
        remedy: "start it; when it runs, check the engine speed wire and its sensor",
      },
    },
  ),
  row(
    "RPM-JUMP",
    "engine speed moves faster than an engine can; a speed read so holds off until it has come back or the engine has stood",
    "trip",
    "look for noise or lost pulses on the engine speed wire; stop the engine for a second when its speed is right again",
    { withinUs: 2 * MS, plus: "three-engine-pulses", enabledBy: ["engine.jump"] },
  ),
  row(
    "SPEED-WIN",
    "road speed is outside its window",
    "hold-off",
    "check the window and the road speed pulses",
    { withinUs: 2 * MS, plus: "road-pulse", enabledBy: ["windows.roadSpeed"] },
  ),
  row("MAP-WIN", "manifold pressure is outside its window", "hold-off", "check the window and the boost", {
    reads: "manifold",
    withinUs: 2 * MS,
    enabledBy: ["windows.manifold"],
  }),
  row(
    "GEAR-WIN",
    "the gear is not one of those allowed",
    "hold-off",
    "check the gear ratios in the settings",
    { withinUs: 2 * MS, plus: "road-pulse", enabledBy: ["windows.gears"] },
  ),
  row(
    "OVERBOOST",
    "manifold pressure is above its trip limit",
    "trip",
    "find the cause of the boost before the next run",
    { reads: "manifold", withinUs: 2 * MS, enabledBy: ["manifold.overboost"] },
  ),
  row(
    "BOTTLE-LOW",
    "bottle pressure is under its window; held for 250 ms at least, and a third time within seconds trips",
    "hold-off",
    "open the bottle's own valve fully; warm the bottle with its heater, or fill it",
    { reads: "bottle", withinUs: TURNS, enabledBy: ["bottle"], lasting: "trip" },
  ),
  row(
    "BOTTLE-HIGH",
    "bottle pressure is above its window",
    "trip",
    "let the bottle cool; never vent towards people",
    { reads: "bottle", withinUs: TURNS, enabledBy: ["bottle"] },
  ),
  row(
    "FUEL-LOW",
    "fuel pressure is under its limit in a wet stage: held off at once, trips when it lasts or comes again",
    "trip",
    "check pump, filter and regulator before the next run",
    { reads: "fuel", withinUs: 20 * MS, enabledBy: ["fuel"] },
  ),
  row(
    "LEAN",
    "the mixture is leaner than its limit while flowing",
    "trip",
    "find the missing fuel before the next run",
    { reads: "lambda", withinUs: 2 * MS, plus: "setting", enabledBy: ["lambda"] },
  ),
  row(
    "ENRICH",
    "a dry stage flows and its enrichment is not confirmed",
    "trip",
    "check the enrichment wire and the engine computer",
    { withinUs: 2 * MS, plus: "setting", enabledBy: ["stages.0.enrichment"] },
  ),
  row(
    "BATT-LOW",
    "battery voltage is too low to open a valve surely; held for 250 ms at least, and a third time within seconds trips",
    "hold-off",
    "charge the battery, check the earth",
    { reads: "battery", withinUs: TURNS, lasting: "trip" },
  ),
  row("COOLANT", "the engine is too cold or too hot", "hold-off", "wait", {
    reads: "coolant",
    withinUs: TURNS,
    enabledBy: ["coolant"],
  }),
  row(
    "SENSOR",
    "a sensor that an enabled rule needs is outside its plausible range",
    "trip",
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
    "check the converter's supply and the SPI wires",
    { withinUs: 10 * MS },
  ),
  row(
    "DRIVER",
    "a solenoid driver does not do what it is told",
    "lockout",
    "shut the bottle valve first, since a solenoid may be open or may not shut; then check solenoid, wire and driver",
    { withinUs: 20 * MS },
  ),
  row(
    "RELAY",
    "there is supply behind the open master relay",
    "lockout",
    "shut the bottle valve first; then replace the relay: its contact is welded",
  ),
  row(
    "DRIVELINE",
    "the driveshaft accelerates faster than its limit",
    "cut-back",
    "less share at this place of the ramp",
    { withinUs: 10 * MS, plus: "cut-back", enabledBy: ["driveline"] },
  ),
  row(
    "TIME",
    "a stage, or the run, has flowed longer than its limit",
    "trip",
    "check the longest times of stages and run in the settings",
    { withinUs: 2 * MS },
  ),
  row("SETTINGS", "there are no valid settings for this program", "cannot-arm", "load a settings file"),
  row(
    "LIFT",
    "lift once: the throttle has not been seen closed for 50 ms since the arm switch went on",
    "hold-off",
    "lift the throttle fully once; if that does not help, its switch or sensor is stuck",
    { hint: "lift once" },
  ),
  row(
    "HANG",
    "the main loop missed its deadline and the watchdog reset the chip",
    "off",
    "note when it happened and report it; check the supply",
    { withinUs: 20 * MS },
  ),
  row(
    "KEEP-ALIVE",
    "the master relay does not follow: tried at arming, and no supply behind it while armed",
    "lockout",
    "shut the bottle valve first; then check charge pump and relay",
    { withinUs: 22 * MS },
  ),
  row(
    "IMAGE",
    "the program in flash does not match its own check sum",
    "cannot-arm",
    "flash the released image again",
  ),
  row(
    "CLAMP",
    "a solenoid coil did not kick when it was switched off: its suppressor is shorted, and its valve closes late",
    "lockout",
    "shut the bottle valve first; then replace the suppressor of its clamp; where the load is no coil, leave `clamps` out of the settings",
    { withinUs: 4 * MS, plus: "four-pulses", enabledBy: ["clamps"] },
  ),
  row(
    "VALVE",
    "the bottle valve is open and no pressure has come in its time",
    "trip",
    "check bottle, valve and wiring",
    { reads: "bottle", withinUs: 2 * MS, plus: "setting", enabledBy: ["bottleValve"] },
  ),
  row(
    "SUPPLY",
    "the supply behind the relay is more than 2 V off the battery for 50 ms, or one of them is above 16.5 V; held for 250 ms at least; half a second of the difference, or a third time within seconds, trips",
    "hold-off",
    "check relay contact, fuse and wiring to the drivers; above 16.5 V the charging system or a jump start",
    { reads: "driverSupply", withinUs: 50 * MS + TURNS, lasting: "trip" },
  ),
  row(
    "TRAP",
    "the program trapped and the chip was reset",
    "off",
    "note the place shown and report it; flash the released image again",
    { withinUs: 10 },
  ),
  row(
    "LINK",
    "something was asked over the line that is only done while off",
    "refused",
    "switch the arm switch off first",
  ),
];

const tooFar = INTERLOCKS.slice(REASON_BITS).filter(({ reaction }) => !NO_REASON.includes(reaction));
if (tooFar.length > 0)
  throw new Error(
    `no bit of the reasons is left for ${tooFar.map(({ id }) => id)}: move a row whose reaction is ${NO_REASON.join(", ")} to the end in its place`,
  );

/** The interlocks that are set in the reasons of a controller. */
export function interlocksIn(reasons: number): Interlock[] {
  return INTERLOCKS.slice(0, REASON_BITS).filter((_, n) => (reasons >>> n) & 1);
}

/** Id of an interlock, with its hint where it has one. */
export function hintedId({ id, hint }: Pick<Interlock, "id" | "hint">): string {
  return hint === undefined ? id : `${id} (${hint})`;
}

/** Number of an interlock. Throws on an unknown id: that is a mistake in the caller. */
export function interlockNumber(id: string): number {
  const number = INTERLOCKS.findIndex((i) => i.id === id);
  if (number < 0) throw new Error(`no interlock ${id}`);
  return number;
}
