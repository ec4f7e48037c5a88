/** Fills in the car: torque curve, gearbox, tyres and body. */

import { type CarData, type Driven, speedAtRpm, type TyreGrip } from "#host/car/car.ts";
import { quarterMileRules } from "#host/car/quarter-mile.ts";
import { assumedCurve, scaledCurve, type TorqueCurve } from "#host/car/torque-curve.ts";
import { MILE_M } from "#host/units/constants.ts";
import { type Air, SEA_LEVEL_DENSITY_KG_M3 } from "../engine/atmosphere.ts";
import type { Defaults } from "./defaults.ts";
import { GRIP_LOSS, inertias, resolveMotion } from "./resolve-motion.ts";
import type { CarFile } from "./schema.ts";

const RATIOS = [3.4, 2.1, 1.45, 1.1, 0.85];
const FRONT_WEIGHT: Readonly<Record<Driven, number>> = { rear: 0.52, front: 0.6, all: 0.56 };
const TYPICAL = "typical road car";

function torqueCurve(file: CarFile, air: Air, defaults: Defaults): TorqueCurve {
  const { engine } = file;
  const given = engine["torque-curve"];
  if (given === undefined)
    defaults.note("engine.torque-curve", "from peak power", "usual shape for a naturally aspirated engine");
  const curve = given ?? assumedCurve(engine.power, engine["power-at"], engine["rev-limiter"]);
  return engine.boost === undefined ? scaledCurve(curve, air.densityKgM3 / SEA_LEVEL_DENSITY_KG_M3) : curve;
}

function grip(file: CarFile, defaults: Defaults): TyreGrip {
  const { tyres } = file;
  const reserve = tyres?.reserve ?? tyres?.["grip-loss"] ?? GRIP_LOSS;
  const curve = tyres?.["slip-curve"];
  if (curve !== undefined) return { curve: [...curve].sort((a, b) => a[0] - b[0]), reserve };
  const friction = defaults.plain(
    "tyres.friction",
    tyres?.friction,
    1.0,
    "warm road tyre on a clean dry road",
  );
  return { curve: [[0, friction]], reserve };
}

type Gearing = Pick<
  CarData,
  "gears" | "finalDrive" | "shiftRpm" | "shiftS" | "efficiency" | "launchRpm" | "tyreRadiusM"
>;

function gearing(file: CarFile, defaults: Defaults): Gearing {
  const { gearbox, engine } = file;
  if (gearbox?.ratios === undefined)
    defaults.note("gearbox.ratios", RATIOS.join(", "), "a usual five-speed gearbox");
  const gears = gearbox?.ratios ?? RATIOS;
  const limiter = engine["rev-limiter"];
  const speed = (key: "shift-at" | "launch-at", value: number, why: string) =>
    defaults.quantity<"rotation">(`gearbox.${key}`, gearbox?.[key], value, "rpm", 0, why);
  const shiftAt = Math.max(limiter - 400, Math.min(engine["power-at"], limiter - 350));
  const shiftRpm = speed("shift-at", shiftAt, "under the closing speed");
  const tyreRadiusM = defaults.quantity<"length">("tyres.size", file.tyres?.size, 0.64, "m", 3, TYPICAL) / 2;
  const likely = likelyFinal(file, gears, shiftRpm, tyreRadiusM);
  const why = "so that the run ends in the last gear but one";
  const losses = "gearbox, shafts, tyres";
  return {
    gears,
    finalDrive: defaults.plain("gearbox.final-drive", gearbox?.["final-drive"], likely, why),
    shiftRpm,
    tyreRadiusM,
    shiftS: defaults.quantity<"time">(
      "gearbox.shift-time",
      gearbox?.["shift-time"],
      0.3,
      "s",
      1,
      "a quick shift by hand",
    ),
    efficiency: defaults.quantity<"ratio">("gearbox.efficiency", gearbox?.efficiency, 0.87, "%", 0, losses),
    launchRpm: speed("launch-at", Math.round(engine["power-at"] * 0.055) * 10, "held by a slipping clutch"),
  };
}

/** Final drive that puts the end speed of a quarter mile (Hale's rule) at the shift speed of the last gear but one. */
function likelyFinal(file: CarFile, gears: readonly number[], shiftRpm: number, tyreRadiusM: number): number {
  const [rule] = quarterMileRules(file.car.mass, file.engine.power * 1.2);
  const speed = ((rule?.mph ?? 100) * MILE_M) / 3600;
  const gear = Math.max(0, gears.length - 2);
  const unit = { gears, finalDrive: 1, tyreRadiusM } as CarData;
  return Math.round((10 * speedAtRpm(unit, gear, shiftRpm)) / speed) / 10;
}

/** The whole car. */
export function resolveCar(file: CarFile, air: Air, defaults: Defaults): CarData {
  const { car } = file;
  const front = defaults.quantity<"ratio">(
    "car.front-weight",
    car["front-weight"],
    FRONT_WEIGHT[car.driven],
    "%",
    0,
    `usual for ${car.driven} drive`,
  );
  const torque = torqueCurve(file, air, defaults);
  const wheelbaseM = defaults.quantity<"length">("car.wheelbase", car.wheelbase, 2.6, "m", 2, TYPICAL);
  return {
    massKg: car.mass,
    driven: car.driven,
    wheelbaseM,
    gravityHeightM: defaults.quantity<"length">(
      "car.gravity-height",
      car["gravity-height"],
      0.52,
      "m",
      2,
      TYPICAL,
    ),
    gravityBehindFrontM: (1 - front) * wheelbaseM,
    grip: grip(file, defaults),
    dragAreaM2: defaults.quantity<"area">("car.drag-area", car["drag-area"], 0.7, "m2", 2, TYPICAL),
    rolling: defaults.plain("car.rolling", car.rolling, 0.013, "road tyres"),
    airDensityKgM3: air.densityKgM3,
    ...inertias(file, defaults),
    ...gearing(file, defaults),
    torque,
    motion: resolveMotion(file, torque, air, defaults),
  };
}
