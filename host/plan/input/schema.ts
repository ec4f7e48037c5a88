/** The car file: every key with its unit and sensible range. Six keys are required; `resolve.ts` fills in the others and says so. */
import * as z from "zod";
import { ROAD_SENDERS } from "#shared-schema/settings/choices.ts";
import { partLimit, plain, pressure, quantity, tyre, whole, word } from "./field.ts";

const YES_NO = ["no", "yes"] as const;
/** What the engine speed input hangs on: every firing, one coil of its own, or one coil shared by two cylinders. */
const ENGINE_SENSORS = ["ignition", "coil", "wasted-spark-coil"] as const;
/** What a stage is for: the start, bringing the turbocharger up, the run down the track. */
export const PURPOSES = ["start", "boost", "run"] as const;
const rpm = (example: string) => quantity("rotation", "rpm", [500, 16_000], example);
const bore = (example: string) => quantity("length", "mm", [0.5, 25], example).optional();
const jets = z
  .array(quantity("length", "mm", [0.1, 6], "0.8 mm"))
  .min(1)
  .max(80)
  .optional();
const milliseconds = (range: readonly [number, number], example: string) =>
  quantity("time", "ms", range, example).optional();
const share = (range: readonly [number, number], example: string) => quantity("ratio", "%", range, example);

const engine = z.strictObject({
  power: quantity("power", "kW", [20, 2500], "150 kW"),
  "power-at": rpm("6000 rpm"),
  "rev-limiter": rpm("6800 rpm"),
  cylinders: whole([1, 16], "4").optional(),
  "torque-curve": z
    .array(z.tuple([rpm("3000 rpm"), quantity("torque", "Nm", [1, 5000], "250 Nm")]))
    .min(3)
    .optional(),
  boost: pressure([0, 100], "10 psi gauge").optional(),
  "boost-lag": milliseconds([50, 5000], "600 ms"),
  intake: word(["injected", "carburettor"]).optional(),
  efficiency: share([15, 45], "30 %").optional(),
  lambda: plain([0.6, 1.2], "0.88").optional(),
  inertia: quantity("inertia", "kg m2", [0.01, 3], "0.2 kg m2").optional(),
  idle: rpm("900 rpm").optional(),
  "braking-torque": quantity("torque", "Nm", [0, 500], "40 Nm").optional(),
  "intake-lag": milliseconds([1, 1000], "50 ms"),
  "closed-manifold": pressure([1, 15], "32 kPa absolute").optional(),
});

const fuel = z.strictObject({
  kind: word(["gasoline", "E85", "ethanol", "methanol", "own"]).optional(),
  "air-ratio": plain([3, 20], "14.6").optional(),
  "heating-value": quantity("specificEnergy", "MJ/kg", [10, 60], "43.4 MJ/kg").optional(),
  density: quantity("density", "kg/m3", [500, 1200], "745 kg/m3").optional(),
  pressure: pressure([3, 150], "43 psi gauge").optional(),
  "injector-flow": quantity("volumeFlow", "cc/min", [50, 5000], "350 cc/min").optional(),
  injectors: whole([1, 32], "4").optional(),
  "pump-flow": quantity("volumeFlow", "L/h", [20, 3000], "190 L/h").optional(),
  jets,
  "pressure-drop": quantity("pressure", "psi", [0, 60], "3 psi").optional(),
  "pressure-lag": milliseconds([1, 1000], "50 ms"),
  "ecu-enrichment": word(YES_NO).optional(),
});

const car = z.strictObject({
  mass: quantity("mass", "kg", [200, 5000], "1400 kg"),
  driven: word(["rear", "front", "all"]),
  wheelbase: quantity("length", "m", [1.5, 5], "2.6 m").optional(),
  "gravity-height": quantity("length", "m", [0.2, 1.2], "0.52 m").optional(),
  "front-weight": share([30, 70], "52 %").optional(),
  "drag-area": quantity("area", "m2", [0.2, 2], "0.70 m2").optional(),
  rolling: plain([0.004, 0.05], "0.013").optional(),
  "wheel-inertia": quantity("inertia", "kg m2", [0.1, 40], "4 kg m2").optional(),
  "pitch-lag": milliseconds([1, 1000], "150 ms"),
});

const gearbox = z.strictObject({
  ratios: z
    .array(plain([0.4, 6], "3.2"))
    .min(1)
    .max(10)
    .optional(),
  "final-drive": plain([1, 8], "3.9").optional(),
  "shift-at": rpm("6500 rpm").optional(),
  "shift-time": quantity("time", "s", [0, 2], "0.3 s").optional(),
  efficiency: share([60, 100], "88 %").optional(),
  "launch-at": rpm("3500 rpm").optional(),
  "clutch-torque": quantity("torque", "Nm", [50, 10_000], "500 Nm").optional(),
});

const tyres = z.strictObject({
  size: tyre("640 mm").optional(),
  friction: plain([0.3, 3.5], "1.0").optional(),
  "slip-curve": z
    .array(z.tuple([share([0, 100], "8 %"), plain([0.05, 3.5], "1.0")]))
    .min(2)
    .optional(),
  reserve: share([0, 50], "10 %").optional(),
  "grip-loss": share([0, 40], "10 %").optional(),
  "peak-slip": share([1, 60], "10 %").optional(),
  "sliding-friction": share([20, 100], "75 %").optional(),
});

const driver = z.strictObject({
  shift: word(["lift", "flat"]).optional(),
  "pedal-time": milliseconds([1, 1000], "80 ms"),
  "clutch-time": milliseconds([1, 2000], "150 ms"),
  clutch: share([50, 1000], "95 %").optional(),
  wheelspin: word(["held", "flat", "feather"]).optional(),
  "feather-slip": share([1, 100], "10 %").optional(),
  "reaction-time": milliseconds([1, 2000], "200 ms"),
  "late-start": milliseconds([0, 2000], "300 ms"),
});

const limits = z.strictObject({
  rods: partLimit("450 Nm").optional(),
  clutch: partLimit("400 Nm").optional(),
  gearbox: partLimit("420 Nm").optional(),
  "power-per-cylinder": quantity("power", "kW", [2, 400], "60 kW").optional(),
  retard: quantity("angle", "deg", [1, 60], "12 deg").optional(),
  lean: plain([0.6, 1.1], "0.92").optional(),
  rich: plain([0.3, 0.9], "0.45").optional(),
});

const reason = z
  .string({ error: "takes a reason in words" })
  .min(12, { error: "is no reason yet: say in a sentence why this is safe on this car" })
  .max(200, { error: "is longer than 200 letters" })
  .optional();

/** Reasons with which a person answers for what the plan would stop at. */
const acknowledged = z.strictObject({ "added-power": reason, retard: reason, "fuel-pump": reason });

const goal = z.strictObject({
  "added-power": quantity("power", "hp", [5, 2500], "100 hp").optional(),
  "quarter-mile": quantity("time", "s", [4, 25], "12.5 s").optional(),
  system: word(["best", "wet", "dry"]).optional(),
  stages: whole([1, 4], "2").optional(),
  parts: z
    .array(share([1, 100], "40 %"))
    .min(1)
    .max(4)
    .optional(),
  purposes: z.array(word(PURPOSES)).min(1).max(4).optional(),
  "boost-off": pressure([1, 100], "12 psi gauge").optional(),
  ramp: word(["best", "road-speed", "launch", "engine-speed"]).optional(),
});

const nitrous = z.strictObject({
  "bottle-pressure": pressure([400, 1300], "950 psi gauge").optional(),
  "bottle-temperature": quantity("temperature", "C", [-30, 60], "30 C").optional(),
  "bottle-window": z
    .tuple([pressure([440, 1150], "700 psi gauge"), pressure([440, 1150], "975 psi gauge")])
    .optional(),
  "flow-tolerance": share([1, 50], "20 %").optional(),
  charge: quantity("mass", "lb", [0.5, 60], "10 lb").optional(),
  volume: quantity("volume", "L", [0.3, 60], "6.7 L").optional(),
  "bottle-metal": quantity("mass", "kg", [0.3, 60], "7 kg").optional(),
  heater: quantity("power", "W", [20, 2000], "300 W").optional(),
  "jet-coefficient": plain([0.3, 1], "0.75").optional(),
  "valve-bore": bore("6 mm"),
  jets,
  "line-bore": bore("5 mm"),
  "purge-bore": bore("1.5 mm"),
  "line-length": quantity("length", "m", [0.1, 15], "4 m").optional(),
  "line-friction": plain([0.005, 0.2], "0.016").optional(),
  "solenoid-bore": bore("3 mm"),
  lambda: plain([0.4, 1], "0.70").optional(),
  efficiency: share([10, 45], "26 %").optional(),
  "solenoid-opening": milliseconds([1, 40], "11 ms"),
  "solenoid-opening-10V": milliseconds([1, 40], "14 ms"),
  "solenoid-opening-14V": milliseconds([1, 40], "9 ms"),
  "solenoid-closing": milliseconds([1, 40], "8 ms"),
  frequency: quantity("frequency", "Hz", [8, 40], "20 Hz").optional(),
  "delivery-lag": milliseconds([1, 1000], "20 ms"),
  "torque-lag": milliseconds([1, 1000], "30 ms"),
});

const controls = z.strictObject({
  "engine-sensor": word(ENGINE_SENSORS).optional(),
  "bottle-sensor": word(YES_NO).optional(),
  "bottle-sensor-reach": pressure([900, 1450], "1450 psi gauge").optional(),
  "engine-pulses": quantity("pulsesPerRevolution", "pulses/rev", [0.5, 8], "2 pulses/rev").optional(),
  "manifold-sensor-reach": pressure([15, 100], "300 kPa absolute").optional(),
  "road-pulses": quantity("pulsesPerDistance", "pulses/km", [400, 65_000], "4000 pulses/km").optional(),
  "road-sender": word(ROAD_SENDERS).optional(),
  "launch-switch": word(YES_NO).optional(),
  "launch-starts-at": word(["press", "release"]).optional(),
  "throttle-switch": word(YES_NO).optional(),
  purge: word(YES_NO).optional(),
  heater: word(YES_NO).optional(),
  "bottle-valve": word(YES_NO).optional(),
  battery: quantity("voltage", "V", [8, 18], "13.8 V").optional(),
  "battery-low": quantity("voltage", "V", [8, 18], "11.5 V").optional(),
  "battery-high": quantity("voltage", "V", [8, 18], "14.7 V").optional(),
  "solenoid-drop": quantity("voltage", "mV", [0, 1000], "50 mV").optional(),
});

const site = z.strictObject({
  height: quantity("length", "m", [-500, 4500], "150 m").optional(),
  temperature: quantity("temperature", "C", [-30, 55], "20 C").optional(),
});

const noted = z.string({ error: "takes a text" }).max(300);
/** What `headgate learn --write` has written of where values come from. */
const learned = z
  .array(
    z.strictObject({
      on: z.string({ error: "takes a day, such as 2026-05-01" }).max(40),
      raised: word(YES_NO),
      runs: z.array(noted).max(100),
      values: z.array(noted).max(20),
    }),
  )
  .max(200);

/** Schema of a car file as YAML gives it; the result holds base units. */
export const carFileSchema = z.strictObject({
  name: z.string({ error: "takes a name" }).max(60).optional(),
  engine,
  fuel: fuel.optional(),
  car,
  gearbox: gearbox.optional(),
  tyres: tyres.optional(),
  driver: driver.optional(),
  limits: limits.optional(),
  acknowledged: acknowledged.optional(),
  goal,
  nitrous: nitrous.optional(),
  controls: controls.optional(),
  site: site.optional(),
  learned: learned.optional(),
});

/** A car file as read: numbers in base units, pressures with the reference they were written with. */
export type CarFile = z.output<typeof carFileSchema>;
