/** Fills in what only the stepped motion asks for: turning parts, tyres past their peak, lags, driver. */
import { ASSUMED_MOTION, type BoostData, type CarData, type MotionData } from "#host/car/car.ts";
import { ASSUMED_DRIVER, type Driver } from "#host/car/driver.ts";
import { ASSUMED_LAGS, type SupplyLags } from "#host/car/supply-data.ts";
import type { TorqueCurve } from "#host/car/torque-curve.ts";
import { absolutePa } from "#host/units/pressure.ts";
import type { Air } from "../engine/atmosphere.ts";
import type { Defaults } from "./defaults.ts";
import type { HoldInput } from "./plan-input.ts";
import type { CarFile } from "./schema.ts";

/** Engine and flywheel, and all four wheels; small beside the car's mass. */
const ENGINE_INERTIA_KG_M2 = 0.2;
const WHEEL_INERTIA_KG_M2 = 4;
/** Part of the surrounding pressure that reaches the manifold past an open throttle. */
const OPEN_SHARE = 0.97;
/** What a day at a track may bring, as `headgate spread` has it. */
export const GRIP_LOSS = 0.1;
const LATE_S = 0.3;
const GUESS = "usual order of magnitude; decides a rehearsed run, not the jets";

/** Inertia of engine and wheels. */
export function inertias(
  { engine, car }: CarFile,
  defaults: Defaults,
): Pick<CarData, "wheelInertiaKgM2" | "engineInertiaKgM2"> {
  const inertia = (key: string, given: number | undefined, value: number, why: string) =>
    defaults.quantity<"inertia">(key, given, value, "kg m2", 1, why);
  return {
    engineInertiaKgM2: inertia("engine.inertia", engine.inertia, ENGINE_INERTIA_KG_M2, "engine and flywheel"),
    wheelInertiaKgM2: inertia(
      "car.wheel-inertia",
      car["wheel-inertia"],
      WHEEL_INERTIA_KG_M2,
      "all four wheels",
    ),
  };
}

type Time = (key: string, given: number | undefined, value: number) => number;

const timesOf =
  (defaults: Defaults): Time =>
  (key, given, value) =>
    defaults.quantity<"time">(key, given, value, "ms", 0, GUESS);

const sharesOf =
  (defaults: Defaults): Time =>
  (key, given, value) =>
    defaults.quantity<"ratio">(key, given, value, "%", 0, GUESS);

function resolveTyres({ tyres }: CarFile, defaults: Defaults): Pick<MotionData, "peakSlip" | "slidingShare"> {
  const share = sharesOf(defaults);
  const { peakSlip, slidingShare } = ASSUMED_MOTION;
  return {
    peakSlip:
      tyres?.["slip-curve"] === undefined
        ? share("tyres.peak-slip", tyres?.["peak-slip"], peakSlip)
        : peakSlip,
    slidingShare: share("tyres.sliding-friction", tyres?.["sliding-friction"], slidingShare),
  };
}

/** Most torque that the clutch carries, Nm. */
function clutchNm({ gearbox }: CarFile, defaults: Defaults): number {
  const given = gearbox?.["clutch-torque"];
  if (given === undefined)
    defaults.note("gearbox.clutch-torque", "no limit", "once home, the clutch does not slip");
  return given ?? ASSUMED_MOTION.clutchNm;
}

/** Time constant with which boost builds up behind an open throttle, s (common practice, no source). */
const BOOST_LAG_S = 0.6;

/**
 * Steady boost over engine speed: torque goes with the absolute manifold pressure, so below the speed of the highest torque the
 * given torque curve says how much of the full boost there is.
 */
function boostOf(
  { engine }: CarFile,
  torque: TorqueCurve,
  air: Air,
  defaults: Defaults,
): BoostData | undefined {
  if (engine.boost === undefined) return undefined;
  const fullPa = absolutePa(engine.boost, "gauge", air.pressurePa);
  const most = Math.max(...torque.map(([, torqueNm]) => torqueNm));
  const peakRpm = torque.find(([, torqueNm]) => torqueNm === most)![0];
  const share = (rpm: number, torqueNm: number) => (rpm < peakRpm ? torqueNm / most : 1);
  defaults.note(
    "engine.boost over engine speed",
    "from the torque curve",
    "torque goes with the absolute manifold pressure, up to the highest torque",
  );
  return {
    overRpm: torque.map(([rpm, torqueNm]) => [
      rpm,
      Math.max(0, fullPa * share(rpm, torqueNm) - air.pressurePa),
    ]),
    lagS: defaults.quantity<"time">(
      "engine.boost-lag",
      engine["boost-lag"],
      BOOST_LAG_S,
      "ms",
      0,
      "how slowly boost follows an open throttle (common practice, no source)",
    ),
    airPa: air.pressurePa,
  };
}

/** Motion data of the car; pressures from the air around it. */
export function resolveMotion(file: CarFile, torque: TorqueCurve, air: Air, defaults: Defaults): MotionData {
  const { engine, car } = file;
  const time = timesOf(defaults);
  const closed = engine["closed-manifold"];
  if (closed === undefined) defaults.note("engine.closed-manifold", "32 kPa absolute", "usual at idle");
  return {
    ...resolveTyres(file, defaults),
    axleLagS: time("car.pitch-lag", car["pitch-lag"], ASSUMED_MOTION.axleLagS),
    intakeS: time("engine.intake-lag", engine["intake-lag"], ASSUMED_MOTION.intakeS),
    brakingNm: defaults.quantity<"torque">(
      "engine.braking-torque",
      engine["braking-torque"],
      ASSUMED_MOTION.brakingNm,
      "Nm",
      0,
      GUESS,
    ),
    clutchNm: clutchNm(file, defaults),
    idleRpm: defaults.quantity<"rotation">(
      "engine.idle",
      engine.idle,
      ASSUMED_MOTION.idleRpm,
      "rpm",
      0,
      "usual",
    ),
    limiterRpm: engine["rev-limiter"],
    closedManifoldPa:
      closed === undefined ? ASSUMED_MOTION.closedManifoldPa : absolutePa(closed, "absolute", air.pressurePa),
    openManifoldPa: air.pressurePa * OPEN_SHARE,
    boost: boostOf(file, torque, air, defaults),
  };
}

/** The driver. */
export function resolveDriver({ driver }: CarFile, defaults: Defaults): Driver {
  const [time, share] = [timesOf(defaults), sharesOf(defaults)];
  const assumed = ASSUMED_DRIVER;
  return {
    shift: defaults.plain("driver.shift", driver?.shift, assumed.shift, "usual with a manual gearbox"),
    pedalS: time("driver.pedal-time", driver?.["pedal-time"], assumed.pedalS),
    takeUpS: time("driver.clutch-time", driver?.["clutch-time"], assumed.takeUpS),
    clutchShare: share("driver.clutch", driver?.clutch, assumed.clutchShare),
    spin: defaults.plain(
      "driver.wheelspin",
      driver?.wheelspin,
      assumed.spin,
      "only nitrous makes the wheels spin",
    ),
    featherSlip: share("driver.feather-slip", driver?.["feather-slip"], assumed.featherSlip),
    reactionS: time("driver.reaction-time", driver?.["reaction-time"], assumed.reactionS),
  };
}

/** What ramps must hold at: what a day at a track may take of the grip, and a driver of the start. */
export function resolveHold({ tyres, driver }: CarFile, defaults: Defaults): HoldInput {
  return {
    gripLoss: defaults.quantity<"ratio">(
      "tyres.grip-loss",
      tyres?.["grip-loss"],
      GRIP_LOSS,
      "%",
      0,
      "the ramps hold with so much less grip (common practice, no source)",
    ),
    lateS: defaults.quantity<"time">(
      "driver.late-start",
      driver?.["late-start"],
      LATE_S,
      "ms",
      0,
      "the ramps hold when the car goes so much later than its launch switch",
    ),
    reserve: tyres?.reserve,
  };
}

const WEAK = "a weak battery that nothing charges, without load by the valves (common practice, no source)";
const CHARGED = "the most that a charging system gives (common practice, no source)";

/** Lags and firmness of the supply. */
export function resolveLags({ nitrous, fuel, controls }: CarFile, defaults: Defaults): SupplyLags {
  const time = timesOf(defaults);
  const assumed = ASSUMED_LAGS;
  type Key = "battery" | "battery-low" | "battery-high" | "solenoid-drop";
  const volts = (key: Key, value: number, digits: number, why = GUESS) =>
    defaults.quantity<"voltage">(`controls.${key}`, controls?.[key], value, "V", digits, why);
  const batteryV = volts("battery", assumed.batteryV, 1);
  return {
    deliveryS: time("nitrous.delivery-lag", nitrous?.["delivery-lag"], assumed.deliveryS),
    torqueLagS: time("nitrous.torque-lag", nitrous?.["torque-lag"], assumed.torqueLagS),
    fuelDroopPa: defaults.quantity<"pressure">(
      "fuel.pressure-drop",
      fuel?.["pressure-drop"],
      assumed.fuelDroopPa,
      "psi",
      1,
      "at the full fuel flow of all stages",
    ),
    fuelLagS: time("fuel.pressure-lag", fuel?.["pressure-lag"], assumed.fuelLagS),
    batteryV,
    batteryLowV: volts("battery-low", Math.min(assumed.batteryLowV, batteryV), 1, WEAK),
    batteryHighV: volts("battery-high", Math.max(assumed.batteryHighV, batteryV), 1, CHARGED),
    dropVPerSolenoid: volts("solenoid-drop", assumed.dropVPerSolenoid, 2),
  };
}
