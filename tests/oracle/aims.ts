// For each trip and lockout of the catalogue, how a car brings it about: what the settings need, when it can be begun, and its cause.
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { Random } from "../support/random.ts";
import type { Car } from "./car.ts";
import { lineOf, mvAt, type SensorName, type Settings, type Stage } from "./settings.ts";

/** A car, its settings and the stage that is to flow. */
export interface Scene {
  readonly random: Random;
  readonly car: Car;
  readonly settings: Settings;
}

/** A way to one row of the catalogue. */
export interface Aim {
  readonly id: string;
  /** `flow`: once a stage is fed. `armed`: any time after arming. `off`: while the switch is off; shows at arming. */
  readonly when: "flow" | "armed" | "off";
  /** Milliseconds that it may take with these settings, from its cause on. */
  readonly withinMs: (settings: Settings) => number;
  /** Can it happen with these settings? */
  readonly fits: (settings: Settings) => boolean;
  /** Changes the settings so that it fits and soon happens, by parts of whole ones. */
  readonly adapt?: (settings: Settings, whole: Settings) => void;
  /** Words of the settings, as in their paths, that may not be drawn anew. */
  readonly kept?: RegExp;
  readonly cause: (scene: Scene) => void;
  /** What goes on happening, so many milliseconds after the cause. */
  readonly goesOn?: (scene: Scene, ms: number) => void;
}

const SENSORS: readonly SensorName[] = ["throttle", "manifold", "bottle", "fuel", "lambda"];
const [DIP_EVERY_MS, DIP_MS] = [330, 25];
const SAG_KPA = 60;
const soon = (): number => 60;
const always = (): boolean => true;

/** Sets a sensor to a value, at most to where it is still plausible. True when it is there. */
function put({ car, settings }: Scene, name: SensorName, value: number): void {
  const line = lineOf(settings, name);
  const sensor = name === "throttle" ? settings.throttle.position : settings[name];
  if (!line || !sensor) return;
  const [low, high] = [sensor.plausibleLowMv + 5, sensor.plausibleHighMv - 5];
  car.point[`${name}Mv`] = Math.min(high, Math.max(low, mvAt(line, value)));
}

/** Is a value of a sensor, and some room beyond it, among what it can plausibly show? */
function shows(settings: Settings, name: SensorName, value: number, sign: 1 | -1): boolean {
  const line = lineOf(settings, name);
  const sensor = name === "throttle" ? settings.throttle.position : settings[name];
  if (!line || !sensor) return false;
  const mv = mvAt(line, value);
  return sign > 0 ? mv < sensor.plausibleHighMv - 20 : mv > sensor.plausibleLowMv + 20;
}

const has = (kind: Stage["kind"], { stages }: Settings): boolean => stages[0]?.kind === kind;

function keepWet(settings: Settings, { stages }: Settings): void {
  const [first] = settings.stages;
  first!.kind = "wet";
  first!.fuelSolenoid ??= structuredClone(stages[0]!.fuelSolenoid!);
}

function keepDry(settings: Settings, { stages }: Settings): void {
  const [first] = settings.stages;
  first!.kind = "dry";
  delete first!.fuelSolenoid;
  first!.enrichment = { ...structuredClone(stages[0]!.enrichment ?? stages[3]!.enrichment!), withinMs: 100 };
}

const give =
  (...names: ("manifold" | "bottle" | "bottleValve" | "fuel" | "lambda")[]) =>
  (settings: Settings, whole: Settings): void => {
    for (const name of names) Object.assign(settings, { [name]: structuredClone(whole[name]) });
  };

function deadConverter({ random, car }: Scene): void {
  const kind = random.below(3);
  if (kind === 0) car.adcFrozen = true;
  else if (kind === 1) car.raw.adcMissing = random.pick([1 << random.below(16), 0xffff]);
  else for (let i = 0, code = random.below(4096); i < 8; i++) car.stuckCodes.set(i, code);
}

function brokenSensor({ random, car, settings }: Scene): void {
  const { throttle, coolant } = settings;
  const fitted = SENSORS.filter((name) => (name === "throttle" ? throttle.position : settings[name]));
  const channel = random.pick([...fitted, ...(coolant ? (["coolant"] as const) : [])]);
  car.stuckCodes.set(ADC_A.indexOf(channel), random.pick([0, 4095]));
}

function brokenDriver({ random, car, settings }: Scene): void {
  const used = settings.stages.flatMap(({ kind }, s) => (kind === "wet" ? [2 * s, 2 * s + 1] : [2 * s]));
  const count = random.oneIn(4) ? 2 : 1;
  for (let i = 0; i < count; i++)
    car.wiring.stuckDrainsMv.set(random.pick(used), random.pick([0, 100, 2500, 3000]));
}

/** The first stage in pulses that are long enough to be looked at. */
function pulsing(settings: Settings, { clamps }: Settings): void {
  settings.clamps = structuredClone(clamps!);
  settings.stages[0]!.ramps = [
    {
      over: "time",
      points: [
        [0, 500],
        [1, 500],
      ],
    },
  ];
}

function contradiction(scene: Scene): void {
  const { car, random } = scene;
  if (random.oneIn(2)) car.set("throttle", false);
  else put(scene, "throttle", 0);
}

/** The battery dips as a bad contact makes it: for a moment, and again when flow is allowed once more. */
function dips({ car, settings }: Scene, ms: number): void {
  car.point.batteryMv = settings.battery.lowestMv + (ms % DIP_EVERY_MS < DIP_MS ? -600 : 900);
}

/** A bottle whose pressure sags again and again, and comes back past its hysteresis. */
function sags(scene: Scene, ms: number): void {
  const { lowestKpaGauge, hysteresisKpaGauge } = scene.settings.bottle!;
  const is = ms % DIP_EVERY_MS < DIP_MS ? -SAG_KPA : hysteresisKpaGauge + SAG_KPA;
  put(scene, "bottle", lowestKpaGauge + is);
}

/** One row for each trip and lockout that a core can come to. */
export const AIMS: readonly Aim[] = [
  {
    ...{ id: "TPS-SW", when: "armed", withinMs: () => 130 },
    fits: ({ throttle }) => throttle.switch === "yes" && throttle.position !== undefined,
    adapt: (settings, { throttle }) => {
      settings.throttle = structuredClone(throttle);
    },
    cause: contradiction,
  },
  {
    ...{ id: "RPM-LOST", when: "flow", withinMs: () => 80, fits: always },
    cause: ({ car }) => {
      car.engineWireCut = true;
    },
  },
  {
    ...{ id: "RPM-JUMP", when: "armed", withinMs: soon },
    fits: ({ engine }) => engine.jump !== undefined,
    adapt: (settings, { engine }) => {
      settings.engine.jump = structuredClone(engine.jump!);
    },
    kept: /^engine\.jump/,
    cause: ({ car, random }) => {
      car.point.rpm *= random.pick([0.4, 2, 3]);
    },
  },
  {
    ...{ id: "OVERBOOST", when: "armed", withinMs: soon },
    fits: (s) => !!s.manifold?.overboost && shows(s, "manifold", s.manifold.overboost.aboveDeciKpa + 20, 1),
    adapt: give("manifold"),
    cause: (scene) =>
      put(scene, "manifold", scene.settings.manifold!.overboost!.aboveDeciKpa + scene.random.between(9, 60)),
  },
  {
    ...{ id: "BOTTLE-HIGH", when: "armed", withinMs: soon },
    fits: (s) => !!s.bottle && shows(s, "bottle", s.bottle.highestKpaGauge + 100, 1),
    adapt: give("bottle"),
    cause: (scene) =>
      put(scene, "bottle", scene.settings.bottle!.highestKpaGauge + scene.random.between(30, 300)),
  },
  {
    ...{ id: "FUEL-LOW", when: "flow", withinMs: soon },
    fits: (s) => has("wet", s) && !!s.fuel && shows(s, "fuel", s.fuel.lowestDeciKpaGauge - 100, -1),
    adapt: (settings, whole) => {
      give("fuel")(settings, whole);
      keepWet(settings, whole);
    },
    cause: (scene) =>
      put(scene, "fuel", scene.settings.fuel!.lowestDeciKpaGauge - scene.random.between(30, 300)),
  },
  {
    ...{ id: "LEAN", when: "flow", withinMs: ({ lambda }) => 60 + 2 * (lambda?.withinMs ?? 0) },
    fits: (s) => !!s.lambda && shows(s, "lambda", s.lambda.leanestMilliLambda + 40, 1),
    adapt: give("lambda"),
    kept: /^lambda\.withinMs/,
    cause: (scene) =>
      put(scene, "lambda", scene.settings.lambda!.leanestMilliLambda + scene.random.between(20, 200)),
  },
  {
    ...{ id: "ENRICH", when: "flow" },
    withinMs: ({ stages }) => 60 + 2 * (stages[0]!.enrichment?.withinMs ?? 0),
    fits: (s) => has("dry", s) && s.stages[0]!.enrichment !== undefined,
    adapt: keepDry,
    kept: /enrichment\.withinMs/,
    cause: ({ car }) => car.set("enrich", false),
  },
  {
    ...{ id: "SENSOR", when: "armed", withinMs: soon },
    fits: (s) => SENSORS.some((name) => (name === "throttle" ? s.throttle.position : s[name])),
    cause: brokenSensor,
  },
  { ...{ id: "ADC", when: "armed", withinMs: soon, fits: always }, cause: deadConverter },
  { ...{ id: "DRIVER", when: "armed", withinMs: () => 300, fits: always }, cause: brokenDriver },
  { ...{ id: "DRIVER", when: "off", withinMs: () => 500, fits: always }, cause: brokenDriver },
  {
    ...{ id: "CLAMP", when: "flow", fits: ({ clamps }) => clamps !== undefined },
    withinMs: ({ flow }) => 8000 / flow.frequencyHz,
    adapt: pulsing,
    kept: /^clamps|^flow\.freq|Solenoid\.|ramps/,
    cause: ({ car }) => {
      car.wiring.kickless = 0xff;
    },
  },
  {
    ...{ id: "RELAY", when: "off", withinMs: () => 300, fits: always },
    cause: ({ car }) => {
      car.wiring.relay = "welded";
    },
  },
  {
    ...{ id: "TIME", when: "flow", fits: ({ stages }) => stages[0]!.longestMs <= 700 },
    withinMs: ({ stages }) => stages[0]!.longestMs + 60,
    adapt: (settings) => {
      settings.stages[0]!.longestMs = 500;
    },
    kept: /^stages\.0\.longestMs/,
    cause: () => {},
  },
  {
    ...{ id: "KEEP-ALIVE", when: "off", withinMs: () => 500, fits: always },
    cause: ({ car }) => {
      car.wiring.relay = "dead";
    },
  },
  {
    ...{ id: "KEEP-ALIVE", when: "armed", withinMs: () => 100, fits: always },
    cause: ({ car }) => {
      car.wiring.relay = "dead";
    },
  },
  {
    ...{ id: "SUPPLY", when: "armed", withinMs: () => 700, fits: always },
    cause: ({ car, random }) => {
      car.wiring.dropMv = random.between(2500, 5000);
    },
  },
  {
    ...{ id: "BATT-LOW", when: "flow", withinMs: () => 5 * DIP_EVERY_MS, fits: always },
    cause: (scene) => dips(scene, 0),
    goesOn: dips,
  },
  {
    ...{ id: "BOTTLE-LOW", when: "flow", withinMs: () => 5 * DIP_EVERY_MS },
    fits: (s) => !!s.bottle && shows(s, "bottle", s.bottle.lowestKpaGauge - SAG_KPA, -1),
    adapt: give("bottle"),
    kept: /^bottle\./,
    cause: (scene) => sags(scene, 0),
    goesOn: sags,
  },
  {
    ...{ id: "VALVE", when: "armed", withinMs: ({ bottleValve }) => 60 + (bottleValve?.opensWithinMs ?? 0) },
    fits: (s) => !!s.bottle && !!s.bottleValve && shows(s, "bottle", 700, -1),
    adapt: (settings, whole) => {
      give("bottle", "bottleValve")(settings, whole);
      settings.bottleValve!.opensWithinMs = 200;
    },
    kept: /^bottleValve|^bottle\.(low|plaus|high)/,
    cause: (scene) => {
      put(scene, "bottle", scene.random.between(200, 700));
      scene.car.set("bottleValve", true);
    },
  },
];
