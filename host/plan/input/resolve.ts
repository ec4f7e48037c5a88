/** Car file to plan input: gaps filled, contradictions found, each with its position in the file. */
import { toUnit } from "#host/units/format.ts";
import { absolutePa, gaugePa } from "#host/units/pressure.ts";
import { type Air, airAt } from "../engine/atmosphere.ts";
import type { PartLimit } from "../engine/limits.ts";
import { blockingContradictions, type Contradiction, inputContradictions } from "./checks.ts";
import { Defaults } from "./defaults.ts";
import type {
  Acknowledged,
  ChargeLimits,
  ControlInput,
  EngineInput,
  GoalInput,
  PlanInput,
  Switched,
} from "./plan-input.ts";
import { type CarFileError, readCarFile } from "./read.ts";
import { resolveCar } from "./resolve-car.ts";
import { resolveDriver, resolveHold, resolveLags } from "./resolve-motion.ts";
import { resolveFuel, resolveNitrous } from "./resolve-nitrous.ts";
import { sensorReach, withWindowEdges } from "./resolve-window.ts";
import type { CarFile } from "./schema.ts";

type RoadSender = ControlInput["roadSender"];

/** Margin of the closing speed below the rev limiter, rpm (the settings demand at least 100). */
const LIMITER_MARGIN_RPM = 300;
const HYSTERESIS_RPM = 100;

/** A plan input, or every error of the file. */
export type LoadedCar =
  | { readonly ok: true; readonly input: PlanInput }
  | { readonly ok: false; readonly errors: readonly CarFileError[] };

function resolveEngine(file: CarFile, defaults: Defaults): EngineInput {
  const { engine } = file;
  return {
    powerW: engine.power,
    cylinders: defaults.plain(
      "engine.cylinders",
      engine.cylinders,
      engine.power > 150e3 ? 8 : 4,
      "guessed from the power",
    ),
    limiterRpm: engine["rev-limiter"],
    boostPa: engine.boost === undefined ? 0 : gaugePa(engine.boost, "gauge"),
    carburettor: engine.intake === "carburettor",
    efficiency: defaults.quantity<"ratio">(
      "engine.efficiency",
      engine.efficiency,
      0.3,
      "%",
      0,
      "usual at full load",
    ),
    lambda: defaults.plain("engine.lambda", engine.lambda, 0.88, "usual at full load"),
  };
}

/** Part of the full boost at which a stage that brings it up goes off (ours, no source). */
const OFF_SHARE = 0.8;

function boostOff({ goal, engine }: CarFile, air: Air, defaults: Defaults): number | undefined {
  if (!goal.purposes?.includes("boost") || engine.boost === undefined) return undefined;
  const given = goal["boost-off"];
  if (given !== undefined) return absolutePa(given, "gauge", air.pressurePa);
  const offPa = OFF_SHARE * gaugePa(engine.boost, "gauge");
  defaults.note("goal.boost-off", `${toUnit(offPa, "psi").toFixed(1)} psi gauge`, "80 % of the full boost");
  return offPa + air.pressurePa;
}

function resolveGoal(file: CarFile, air: Air, defaults: Defaults): GoalInput {
  const { goal } = file;
  const axis = goal.ramp === "best" ? undefined : goal.ramp;
  return {
    addedW: goal["added-power"],
    quarterS: goal["quarter-mile"],
    system: goal.system ?? "best",
    stages: goal.stages ?? goal.purposes?.length,
    purposes: goal.purposes,
    boostOffPa: boostOff(file, air, defaults),
    parts: goal.parts && wholeOf(goal.parts),
    axis,
  };
}

/** Parts that are written in whole percent, together exactly 1. */
function wholeOf(parts: readonly number[]): number[] {
  const all = parts.reduce((sum, part) => sum + part, 0);
  return parts.map((part) => part / all);
}

/** A sender that the file does not name counts as one at the driveshaft, the more cautious reading. */
function roadSender(controls: NonNullable<CarFile["controls"]>, defaults: Defaults): RoadSender {
  const said = controls["road-sender"];
  if (controls["road-pulses"] === undefined) return said ?? "driveshaft";
  return defaults.plain<RoadSender>(
    "controls.road-sender",
    said,
    "driveshaft",
    "a driven part: wheelspin speeds it up",
  );
}

/** Pulses of a sensor that does not count every firing; a four-stroke engine fires every cylinder in two revolutions. */
const SENSOR_PULSES = { coil: 0.5, "wasted-spark-coil": 1 } as const;

function enginePulses(file: CarFile, defaults: Defaults): number | undefined {
  const { cylinders } = file.engine;
  const { "engine-pulses": given, "engine-sensor": sensor = "ignition" } = file.controls ?? {};
  if (given === undefined && sensor === "ignition" && cylinders === undefined) return undefined;
  const derived = sensor === "ignition" ? (cylinders ?? 0) / 2 : SENSOR_PULSES[sensor];
  const why =
    sensor === "ignition"
      ? `${cylinders} cylinders, four-stroke, one pulse each firing`
      : `sensor at a ${sensor}`;
  return defaults.quantity<"pulsesPerRevolution">(
    "controls.engine-pulses",
    given,
    derived,
    "pulses/rev",
    1,
    `${why}; with a wrong number the window lies at the wrong speed`,
  );
}

/** Firings in a revolution, where the file says the cylinders and nothing of a sensor that counts less. */
function firings({ engine, controls }: CarFile): number | undefined {
  const sensor = controls?.["engine-sensor"] ?? "ignition";
  return engine.cylinders === undefined || sensor !== "ignition" ? undefined : engine.cylinders / 2;
}

const MANIFOLD_REACH_PA = 300e3;

/** Upper end of the manifold pressure sensor, absolute Pa, where a stage needs one. */
function manifoldReach({ goal, controls }: CarFile, air: Air, defaults: Defaults): number | undefined {
  if (!goal.purposes?.includes("boost")) return undefined;
  const given = controls?.["manifold-sensor-reach"];
  if (given !== undefined) return absolutePa(given, "absolute", air.pressurePa);
  const why = "what it reads at 4.5 V, and 20 kPa at 0.5 V; a wrong one ends the stage at another boost";
  defaults.note("controls.manifold-sensor-reach", "300 kPa absolute", why);
  return MANIFOLD_REACH_PA;
}

function switched(c: NonNullable<CarFile["controls"]>): Switched[] {
  return [
    ...(c.purge === "yes" ? (["purge"] as const) : []),
    ...(c.heater === "yes" ? (["heater"] as const) : []),
    ...(c["bottle-valve"] === "yes" ? (["bottleValve"] as const) : []),
  ];
}

function resolveControl(file: CarFile, air: Air, defaults: Defaults): ControlInput {
  const c = file.controls ?? {};
  const yes = (key: "launch-switch" | "throttle-switch", why: string) =>
    defaults.plain(`controls.${key}`, c[key], "yes", why) === "yes";
  return {
    pulsesPerRev: enginePulses(file, defaults),
    firingsPerRev: firings(file),
    bottleReachPa: sensorReach(file, defaults),
    manifoldReachPa: manifoldReach(file, air, defaults),
    pulsesPerM: c["road-pulses"],
    roadSender: roadSender(c, defaults),
    launchSwitch: yes("launch-switch", "clutch switch or button"),
    launchStartsAt: c["launch-starts-at"] ?? "release",
    throttleSwitch: yes("throttle-switch", "the simplest proof of full throttle"),
    switches: switched(c),
  };
}

function partLimits(file: CarFile): PartLimit[] {
  const { limits } = file;
  return (["rods", "clutch", "gearbox"] as const).flatMap((part) => {
    const limit = limits?.[part];
    return limit === undefined ? [] : [{ part, ...limit }];
  });
}

const LEAN = "leanest lambda allowed in the nitrous charge at the edges (ours, no source)";
const RICH = "richest lambda allowed in it (ours, no source)";
const RETARD = "most retard at full flow; more is an engine for its builder (common practice, no source)";

function chargeLimits(file: CarFile, defaults: Defaults): ChargeLimits {
  const { lean, rich, retard } = file.limits ?? {};
  return {
    lean: defaults.plain("limits.lean", lean, 0.92, LEAN),
    rich: defaults.plain("limits.rich", rich, 0.45, RICH),
    retardDeg: defaults.quantity<"angle">("limits.retard", retard, 12, "deg", 0, RETARD),
  };
}

/** The reasons that were given, by name. */
function acknowledgedBy({ acknowledged }: CarFile): Acknowledged {
  const given = Object.entries(acknowledged ?? {}).filter(([, reason]) => reason !== undefined);
  return Object.fromEntries(given) as Acknowledged;
}

/** Fills in defaults for a file without contradictions. */
export function resolve(file: CarFile): PlanInput {
  const defaults = new Defaults();
  const air = airAt(file.site?.height ?? 0, file.site?.temperature);
  if (file.site === undefined) defaults.note("site", "sea level, 15 C", "standard atmosphere");
  const engine = resolveEngine(file, defaults);
  const control = resolveControl(file, air, defaults);
  return {
    name: file.name ?? "unnamed car",
    heightM: file.site?.height ?? 0,
    air,
    engine,
    fuel: resolveFuel(file, engine.boostPa, engine.cylinders, defaults),
    car: resolveCar(file, air, defaults),
    driver: resolveDriver(file, defaults),
    hold: resolveHold(file, defaults),
    lags: resolveLags(file, defaults),
    limits: partLimits(file),
    perCylinderW: file.limits?.["power-per-cylinder"],
    charge: chargeLimits(file, defaults),
    acknowledged: acknowledgedBy(file),
    goal: resolveGoal(file, air, defaults),
    nitrous: resolveNitrous(file, air, control.bottleReachPa !== undefined, defaults),
    control,
    closeRpm: engine.limiterRpm - LIMITER_MARGIN_RPM,
    hysteresisRpm: HYSTERESIS_RPM,
    assumptions: defaults.used,
  };
}

/** From the text of a car file to a plan input, or all its errors in file order. */
export function loadCar(text: string): LoadedCar {
  const read = readCarFile(text);
  if (!read.ok) return read;
  const { file, locate } = read;
  const blocking = blockingContradictions(file);
  const place = (found: readonly Contradiction[]): LoadedCar => {
    const errors = found.map((c) => ({ ...locate(c.path), ...c }));
    return { ok: false, errors: errors.sort((a, b) => a.line - b.line || a.column - b.column) };
  };
  if (blocking.length > 0) return place(blocking);
  const input = resolve(file);
  const found = inputContradictions(file, input);
  return found.length > 0 ? place(found) : { ok: true, input: withWindowEdges(input) };
}
