// Every single fault of a sensor, wire, converter, driver or relay, made from the tables; and for each, how soon nothing may flow any more.
import { ADC_A, PINS, SLOW_SWITCHES } from "#shared-schema/model/pins.ts";
import type { Car, Switch } from "../oracle/car.ts";
import type { Settings } from "../oracle/settings.ts";

/**
 * One fault. `stopTicks`: ticks after which no solenoid pin may be driven, whatever flowed; undefined where flow may go on.
 * They count while `shows` holds, where a fault shows only then; else from the fault on.
 */
export interface SingleFault {
  readonly name: string;
  readonly apply: (car: Car) => void;
  readonly stopTicks?: number;
  readonly shows?: (car: Car) => boolean;
  /** It looks like the driver's own wish, which nothing can tell apart: what it starts is no fault of the controller. */
  readonly looksWanted?: true;
}

const FULL_CODE = 4095;
const OPEN_LOAD_MV = 2500;
/** Longest times of the catalogue in whole ticks, and one tick more for the one in which the fault falls. */
const TICKS = {
  at: 1,
  sensor: 10,
  adc: 10,
  lost: 62,
  turns: 6,
  driver: 60,
  wideOpen: 130,
  supply: 23,
} as const;

const FAST: Readonly<Record<string, Switch>> = {
  armSwitch: "arm",
  throttleSwitch: "throttle",
  launchSwitch: "launch",
};
/** What opens stops at once; what closes only says what the driver may say too. */
const STOPS_OPEN: readonly string[] = ["arm", "throttle"];

function fastAndSlow(): Switch[] {
  const fast = PINS.filter(({ kind }) => kind === "switch").map(({ name }) => FAST[name]!);
  return [...fast, ...SLOW_SWITCHES];
}

/** What an open wire must stop, and when. */
function opened(name: Switch, settings: Settings): Pick<SingleFault, "stopTicks" | "shows"> {
  if (STOPS_OPEN.includes(name)) return { stopTicks: TICKS.at };
  const dry = settings.stages.findIndex((stage) => stage.enrichment !== undefined);
  if (name !== "enrich" || dry < 0) return {};
  return { stopTicks: settings.stages[dry]!.enrichment!.withinMs + 3, shows: (car) => car.pin(2 * dry) > 0 };
}

function switchFaults(settings: Settings): SingleFault[] {
  return fastAndSlow().flatMap((name): SingleFault[] => [
    { name: `${name} switch wire open`, apply: (car) => car.set(name, false), ...opened(name, settings) },
    {
      name: `${name} switch short to 5 V`,
      apply: (car) => car.set(name, true),
      ...(name === "arm" ? { looksWanted: true as const } : {}),
    },
  ]);
}

const PULSE_FAULTS: readonly SingleFault[] = [
  {
    name: "engine pulse wire open",
    apply: (car) => {
      car.engineWireCut = true;
    },
    stopTicks: TICKS.lost,
  },
  {
    name: "road pulse wire open",
    apply: (car) => {
      car.point.deciKmh = 0;
    },
    stopTicks: 300,
  },
];

/** Channels whose code outside its plausible range stops; the supply behind the relay is judged by itself. */
function channelFaults(): SingleFault[] {
  return ADC_A.flatMap((name, channel): SingleFault[] => {
    const stuck = (code: number) => (car: Car) => void car.stuckCodes.set(channel, code);
    const low = name === "battery" ? TICKS.turns : name === "driverSupply" ? TICKS.supply : TICKS.sensor;
    const high = name === "battery" || name === "driverSupply" ? {} : { stopTicks: TICKS.sensor };
    return [
      { name: `${name} wire open or short to ground`, apply: stuck(0), stopTicks: low },
      { name: `${name} wire short to supply`, apply: stuck(FULL_CODE), ...high },
      { name: `${name} frozen`, apply: (car) => stuck(car.raw.adcA[channel]!)(car) },
    ];
  });
}

const CONVERTER_FAULTS: readonly SingleFault[] = [
  {
    name: "converters stop",
    apply: (car) => {
      car.adcFrozen = true;
    },
    stopTicks: TICKS.adc,
  },
  ...[0x00ff, 0xff00, 0x0001].map((missing) => ({
    name: `converter channels missing: ${missing.toString(16)}`,
    apply: (car: Car) => {
      car.raw.adcMissing = missing;
    },
    stopTicks: TICKS.adc,
  })),
];

/** A drain that a fault holds. What never conducts shows while the pin is driven, the others while it is low, in a gap at the latest. */
function driverFaults(settings: Settings): SingleFault[] {
  const solenoids = PINS.filter(({ kind }) => kind === "solenoid");
  return solenoids.flatMap(({ name }, n): SingleFault[] => {
    const stage = settings.stages[n >> 1];
    if (!stage || (n % 2 === 1 && !stage.fuelSolenoid)) return [];
    const hold = (mv: (car: Car) => number) => (car: Car) => void car.wiring.stuckDrainsMv.set(n, mv(car));
    const driven = { stopTicks: TICKS.driver, shows: (car: Car) => car.pin(n) > 0 };
    const low = { stopTicks: TICKS.wideOpen, shows: (car: Car) => car.pin(n) > 0 };
    return [
      { name: `${name} driver never conducts`, apply: hold((car) => car.point.batteryMv), ...driven },
      { name: `${name} driver always conducts`, apply: hold(() => 100), ...low },
      { name: `${name} load unplugged`, apply: hold(() => OPEN_LOAD_MV), ...low },
    ];
  });
}

const RELAY_FAULTS: readonly SingleFault[] = (["welded", "dead"] as const).map((relay) => ({
  name: `relay ${relay}`,
  apply: (car: Car) => {
    car.wiring.relay = relay;
  },
  ...(relay === "dead" ? { stopTicks: TICKS.supply } : {}),
}));

/** All single faults that a car with these settings can have. */
export function singleFaults(settings: Settings): readonly SingleFault[] {
  return [
    ...switchFaults(settings),
    ...PULSE_FAULTS,
    ...channelFaults(),
    ...CONVERTER_FAULTS,
    ...driverFaults(settings),
    ...RELAY_FAULTS,
  ];
}
