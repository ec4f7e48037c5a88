// How each setting protects: every entry of the settings table must stand here, or the tool does not start.
import { ENTRIES } from "#shared-schema/settings/entries.ts";

/**
 * What a change of a setting does to the protection that it gives.
 * `lower`, `higher`: the lower or the higher value protects more, so that a change the other way allows more.
 * `meaning`: any change alters what is measured or asked for, and with it every limit that builds on it.
 * `presence`: an optional group that is itself a protection; to leave it out takes it away.
 * `none`: no protection: it shapes the flow as a ramp does, or only holds other settings.
 */
export type Guard = "lower" | "higher" | "meaning" | "presence" | "none";

type Table = Readonly<Record<string, Guard>>;

/** The same entries below several paths. */
const below = (paths: readonly string[], entries: Table): Table =>
  Object.fromEntries(
    paths.flatMap((path) =>
      Object.entries(entries).map(([name, guard]): [string, Guard] => [
        name === "" ? path : `${path}.${name}`,
        guard,
      ]),
    ),
  );

const PLAUSIBLE: Table = { plausibleLowMv: "higher", plausibleHighMv: "lower" };

const sensor = (path: string, unit: string): Table =>
  below([path], {
    "": "presence",
    lowPointMv: "meaning",
    [`low${unit}`]: "meaning",
    highPointMv: "meaning",
    [`high${unit}`]: "meaning",
    ...PLAUSIBLE,
  });

const window = (unit: string): Table => ({
  [`open${unit}`]: "higher",
  [`close${unit}`]: "lower",
  [`hysteresis${unit}`]: "higher",
});

const windows = (path: string): Table => ({
  ...below([`${path}.engineSpeed`], { "": "presence", ...window("Rpm") }),
  ...below([`${path}.roadSpeed`], { "": "presence", ...window("DeciKmh") }),
  ...below([`${path}.manifold`], { "": "presence", ...window("DeciKpa") }),
  ...below([`${path}.gears`], { "": "presence", lowest: "higher", highest: "lower" }),
});

const SOLENOID: Table = {
  "": "none",
  opening10VUs: "meaning",
  opening12VUs: "meaning",
  opening14VUs: "meaning",
  closingUs: "meaning",
};

const SENSORS: Table = {
  throttle: "none",
  "throttle.switch": "higher",
  ...below(["throttle.position"], {
    "": "presence",
    closedMv: "meaning",
    openMv: "meaning",
    ...PLAUSIBLE,
    opensAtPermille: "higher",
    closesAtPermille: "higher",
  }),
  ...sensor("manifold", "DeciKpa"),
  "manifold.overboost": "presence",
  "manifold.overboost.aboveDeciKpa": "lower",
  ...sensor("bottle", "KpaGauge"),
  "bottle.lowestKpaGauge": "higher",
  "bottle.highestKpaGauge": "lower",
  "bottle.hysteresisKpaGauge": "higher",
  ...sensor("fuel", "DeciKpaGauge"),
  "fuel.lowestDeciKpaGauge": "higher",
  ...sensor("lambda", "MilliLambda"),
  "lambda.leanestMilliLambda": "lower",
  "lambda.withinMs": "lower",
  // A thermistor's voltage falls as it warms.
  ...below(["coolant"], { "": "presence", ...PLAUSIBLE, coldAboveMv: "lower", hotBelowMv: "higher" }),
  battery: "none",
  "battery.lowestMv": "higher",
};

const STAGE: Table = {
  "stages.N.kind": "meaning",
  "stages.N.longestMs": "lower",
  "stages.N.portionPermille": "meaning",
  ...below(["stages.N.nitrousSolenoid", "stages.N.fuelSolenoid"], SOLENOID),
  "stages.N.enrichment": "presence",
  "stages.N.enrichment.withinMs": "lower",
  "stages.N.follows": "none",
  "stages.N.follows.sharePermille": "none",
  "stages.N.delay": "none",
  "stages.N.delay.waitMs": "none",
  ...windows("stages.N"),
  "stages.N.ramps": "none",
  "stages.N.ramps.N.over": "none",
  "stages.N.ramps.N.points": "none",
};

/** Every setting by its document path, list places as N. */
export const GUARDS: Table = {
  engine: "none",
  "engine.pulsesHalfPulses": "meaning",
  "engine.revLimiterRpm": "lower",
  "engine.lowSpeedAcknowledged": "lower",
  ...below(["engine.jump"], { "": "presence", fastestRpmPerS: "lower", unevennessPermille: "lower" }),
  ...below(["road"], { "": "none", pulsesPerKm: "meaning", sender: "meaning" }),
  ...below(["gearbox"], { "": "none", tolerancePermille: "lower", gears: "meaning" }),
  "gearbox.gears.N.ratioDeciRpmPerKmh": "meaning",
  ...below(["launch"], { "": "none", startsAt: "none" }),
  ...SENSORS,
  ...windows("windows"),
  windows: "none",
  "windows.engineSpeed": "none",
  ...below(["flow"], {
    "": "none",
    frequencyHz: "none",
    riseLimitPercentPerS: "lower",
    longestRunMs: "lower",
    afterLift: "none",
    stepBackMs: "higher",
  }),
  ...below(["driveline"], {
    "": "presence",
    fastestDeciKmhPerS: "lower",
    cutToPermille: "lower",
    holdMs: "higher",
  }),
  ...below(["retard"], { "": "presence", fullSignalDeciDeg: "meaning", leadMs: "higher", table: "meaning" }),
  ...below(["retard.table.N"], { flowPermille: "meaning", angleDeciDeg: "meaning" }),
  ...below(["purge"], { "": "none", longestMs: "lower", eachMinuteMs: "lower" }),
  ...below(["heater"], { "": "none", onBelowKpaGauge: "none", offAtKpaGauge: "lower", longestS: "lower" }),
  ...below(["bottleValve"], { "": "presence", opensWithinMs: "lower" }),
  ...below(["clamps"], { "": "presence", kickMv: "higher" }),
  stages: "none",
  ...STAGE,
};

/** How a setting protects. Throws for one that nobody has thought about. */
export function guardOf(path: string): Guard {
  const guard = GUARDS[path];
  if (guard === undefined) throw new Error(`protection-table.ts does not say how ${path} protects`);
  return guard;
}

for (const { path } of ENTRIES) guardOf(path);
