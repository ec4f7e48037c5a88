// The inputs that the exploration tries in every state, made from the tables: a good car, and each of its single deviations.
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE, SWITCH_BITS } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { type Limits, limitsOf, type SensorName, WINDOW_NAMES, type WindowName } from "../oracle/settings.ts";
import { at, EXPLORED } from "./explored-settings.ts";

interface Patience {
  readonly ticks: number;
  readonly us: number;
}

/** What stands at all inputs while a letter lasts. Speeds are those of the n-th pulse; 0 is no pulse. */
export interface Letter {
  readonly name: string;
  readonly switches: number;
  readonly adcA: readonly number[];
  readonly rpm: (pulse: number) => number;
  readonly deciKmh: (pulse: number) => number;
  /** Its engine speed is there at once, as no engine's is. */
  readonly jumps: boolean;
  readonly adcMissing: number;
  readonly adcRuns: boolean;
  readonly relay: "sound" | "dead" | "welded";
  /** Are the solenoid pins sampled while they are high? */
  readonly sampledHigh: boolean;
  /** Drain voltages that a fault holds, by pin order. */
  readonly drainsMv: ReadonlyMap<number, number>;
  /** The board reports a cut of the pins in its first tick. */
  readonly cut: boolean;
  /** How long it is held until something changes: at most so many ticks of so many microseconds. */
  readonly patience: Patience;
}

/**
 * Past the longest time of these settings, 600 ms; the second without pulses after which a shaft stands; ten seconds of heat.
 * Ticks are late, as the watchdog allows; stages have their turn every fourth, and trust no more than 20 ms between two.
 */
const PATIENCE = {
  usual: { ticks: 156, us: 4000 },
  standing: { ticks: 260, us: 4000 },
  heater: { ticks: 520, us: 20_000 },
} as const;
/** Battery voltage in every letter but one. */
export const BATTERY_MV = 13_800;
const OPEN_LOAD_MV = 2500;
const FULL = 4095;

const channel = (name: (typeof ADC_A)[number]): number => ADC_A.indexOf(name);
const sensorCode = (mv: number): number => Math.round((mv * 1000) / SENSOR_UV_PER_CODE);

/** Code of the supply, the battery and the drains for a voltage. */
export const supplyCode = (mv: number): number => Math.round(mv / SUPPLY_MV_PER_CODE);
const CODES: Readonly<Record<(typeof ADC_A)[number], number>> = {
  throttle: sensorCode(at("throttle", 990)),
  manifold: sensorCode(at("manifold", 975)),
  bottle: sensorCode(at("bottle", 6700)),
  fuel: sensorCode(at("fuel", 3500)),
  lambda: sensorCode(at("lambda", 820)),
  battery: supplyCode(BATTERY_MV),
  coolant: sensorCode(1500),
  driverSupply: 0,
};

function closed(...names: (keyof typeof SWITCH_BITS)[]): number {
  return names.reduce((bits, name) => bits | (1 << SWITCH_BITS[name]), 0);
}

/** Everything as it must be for both stages to flow. */
export const GOOD: Letter = {
  name: "good",
  switches: closed("arm", "throttle", "enrich"),
  adcA: ADC_A.map((name) => CODES[name]),
  rpm: () => 5000,
  deciKmh: () => 790,
  jumps: false,
  adcMissing: 0,
  adcRuns: true,
  relay: "sound",
  sampledHigh: false,
  drainsMv: new Map(),
  cut: false,
  patience: PATIENCE.usual,
};

function but(name: string, change: Partial<Letter>): Letter {
  return { ...GOOD, ...change, name };
}

function withCode(name: (typeof ADC_A)[number], code: number): Pick<Letter, "adcA"> {
  return { adcA: GOOD.adcA.map((usual, n) => (n === channel(name) ? code : usual)) };
}

function switches(): Letter[] {
  const names = Object.keys(SWITCH_BITS) as (keyof typeof SWITCH_BITS)[];
  const others = names.filter((name) => name !== "arm");
  const toggled = others.map((name) => {
    const bits = GOOD.switches ^ closed(name);
    return but(`${name} ${bits & closed(name) ? "closed" : "open"}`, { switches: bits });
  });
  const lifted = withCode("throttle", sensorCode(at("throttle", 20)));
  const off = { switches: closed("throttle", "enrich") };
  return [
    ...toggled,
    but("noise at the arm switch", { cut: true }),
    but("throttle lifted, purge", { ...lifted, switches: closed("arm", "enrich", "purge") }),
    but("throttle lifted, valve", { ...lifted, switches: closed("arm", "enrich", "bottleValve") }),
    but("throttle lifted, heater", {
      ...{ switches: closed("arm", "enrich", "bottleValve", "heater"), patience: PATIENCE.heater },
      adcA: withCode("bottle", sensorCode(at("bottle", EXPLORED.heater!.onBelowKpaGauge - 20))).adcA.map(
        (code, n) => (n === channel("throttle") ? sensorCode(at("throttle", 20)) : code),
      ),
    }),
    but("off, purge and valve", { ...lifted, switches: closed("purge", "bottleValve") }),
    but("off, driver stuck", { ...off, drainsMv: new Map([[0, 0]]) }),
    but("off, converters dead", { ...off, adcRuns: false }),
    but("off, engine stands", { ...off, rpm: () => 0, deciKmh: () => 0, patience: PATIENCE.standing }),
  ];
}

/** Values of a sensor on both sides of each of its limits, and between those that have a hysteresis. */
const VALUES: Readonly<Record<SensorName, readonly number[]>> = (() => {
  const { position } = EXPLORED.throttle;
  const { bottle, fuel, lambda, manifold } = EXPLORED;
  const { lowestKpaGauge: lowest, hysteresisKpaGauge: hysteresis, highestKpaGauge: highest } = bottle!;
  const { onBelowKpaGauge, offAtKpaGauge } = EXPLORED.heater!;
  return {
    throttle: [position!.closesAtPermille - 50, (position!.closesAtPermille + position!.opensAtPermille) / 2],
    manifold: [manifold!.overboost!.aboveDeciKpa + 50],
    bottle: [
      ...[500, lowest - 50, lowest + hysteresis / 2, highest + 50],
      ...[onBelowKpaGauge - 20, offAtKpaGauge + 20],
    ],
    fuel: [fuel!.lowestDeciKpaGauge - 100],
    lambda: [lambda!.leanestMilliLambda + 50],
  };
})();

function sensors(): Letter[] {
  const names = Object.keys(VALUES) as SensorName[];
  const limits = names.flatMap((name) =>
    VALUES[name].map((value) => but(`${name} at ${value}`, withCode(name, sensorCode(at(name, value))))),
  );
  const { coldAboveMv, hotBelowMv } = EXPLORED.coolant!;
  const wires = [...names, "coolant" as const].flatMap((name) => [
    but(`${name} short to ground`, withCode(name, 0)),
    but(`${name} short to supply`, withCode(name, FULL)),
  ]);
  return [
    ...limits,
    but("coolant cold", withCode("coolant", sensorCode(coldAboveMv + 50))),
    but("coolant hot", withCode("coolant", sensorCode(hotBelowMv - 50))),
    but("battery too high", withCode("battery", supplyCode(17_000))),
    but("supply behind the relay off the battery", withCode("driverSupply", supplyCode(BATTERY_MV - 3000))),
    but("battery low", withCode("battery", supplyCode(EXPLORED.battery.lowestMv - 100))),
    ...wires,
  ];
}

/** Outside below, in the hysteresis below, in the one above, outside above. */
function around({ open, close, hysteresis }: Limits): number[] {
  return [open - 2 * hysteresis, open - hysteresis / 2, close - hysteresis / 2, close + hysteresis];
}

function inWindow(name: WindowName, value: number): Partial<Letter> {
  if (name === "engineSpeed") return { rpm: () => value };
  if (name === "roadSpeed") return { deciKmh: () => value };
  return withCode("manifold", sensorCode(at("manifold", value)));
}

function windows(): Letter[] {
  const owners = [EXPLORED.windows, ...EXPLORED.stages];
  return WINDOW_NAMES.flatMap((name) => {
    const limits = owners.map((owner) => limitsOf(owner, name)).filter((l) => l !== undefined);
    const values = [...new Set(limits.flatMap(around))];
    return values.map((value) => but(`${name} at ${value}`, inWindow(name, value)));
  });
}

function speeds(): Letter[] {
  const gears = EXPLORED.gearbox!.gears.map(({ ratioDeciRpmPerKmh }) => (100 * 5000) / ratioDeciRpmPerKmh);
  return [
    but("no engine pulses", { rpm: () => 0, patience: PATIENCE.standing }),
    but("engine speed jumps", { rpm: (n) => (n & 1 ? 3000 : 7500), jumps: true }),
    but("every second engine pulse lost", { rpm: () => 2500, jumps: true }),
    but("no road pulses", { deciKmh: () => 0, patience: PATIENCE.standing }),
    but("wheels spin", { deciKmh: (n) => 750 + 25 * (n & 3) }),
    but("first gear", { deciKmh: () => gears[0]! }),
    but("fourth gear", { deciKmh: () => gears[3]! }),
    but("no gear", { deciKmh: () => (gears[1]! + gears[2]!) / 2 }),
  ];
}

function converters(): Letter[] {
  return [
    but("converters stop", { adcRuns: false }),
    but("a channel of converter A missing", { adcMissing: 1 }),
    but("converter B missing", { adcMissing: 0xff00 }),
    but("converter A shows one pattern", { adcA: GOOD.adcA.map(() => 2000) }),
  ];
}

function drivers(): Letter[] {
  const pins = EXPLORED.stages.flatMap(({ fuelSolenoid }, s) =>
    fuelSolenoid ? [2 * s, 2 * s + 1] : [2 * s],
  );
  return [
    but("pins sampled high", { sampledHigh: true }),
    ...pins.flatMap((n) => [
      but(`driver ${n} always conducts`, { drainsMv: new Map([[n, 0]]) }),
      but(`driver ${n} has no load`, { drainsMv: new Map([[n, OPEN_LOAD_MV]]) }),
      but(`driver ${n} never conducts`, { drainsMv: new Map([[n, BATTERY_MV]]), sampledHigh: true }),
    ]),
    but("relay dead", { relay: "dead" }),
    but("relay welded", { relay: "welded" }),
  ];
}

/** The throttle closed by both ways, all else good. */
export const LIFTED: Letter = but("throttle lifted", {
  ...withCode("throttle", sensorCode(at("throttle", 20))),
  switches: closed("arm", "enrich"),
});

/** The arm switch open, all else good. */
export const ARM_OFF: Letter = but("arm open", { switches: GOOD.switches & ~closed("arm") });

/** All letters. */
export const ALPHABET: readonly Letter[] = [
  GOOD,
  ARM_OFF,
  LIFTED,
  ...switches(),
  ...sensors(),
  ...windows(),
  ...speeds(),
  ...converters(),
  ...drivers(),
];
