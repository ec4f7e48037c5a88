// What a practice board shows at one moment, as data for its page and for a screen: hands, values, damage, lamps, and the controller's word.
import type { Practice } from "#host/bench/practice/hands.ts";
import { liveValues } from "#host/bench/practice/live.ts";
import type { Held } from "#host/bench/practice/practice-car.ts";
import { DRIVERS } from "#host/bench/practice/verbs.ts";
import { momentOf } from "#host/report/terminal/moment.ts";
import { headline, reasonsLeft, remedy } from "#host/report/terminal/verdict.ts";
import { formatQuantity } from "#host/units/format.ts";
import { gpioOf, LAMP_GPIO } from "#shared-schema/model/pins.ts";

/** A value at the connectors in words, and whether a hand holds it. */
export interface Shown {
  readonly text: string;
  readonly held: boolean;
}

/** What the controller says of itself. Shares are 0 to 1, by stage. */
export interface Said {
  readonly mode: string;
  readonly headline: string;
  readonly todo: string;
  readonly flows: boolean;
  readonly reasons: readonly { readonly id: string; readonly cause: string; readonly remedy: string }[];
  readonly shares: readonly number[];
}

/** One moment. `lamps` are those that would hang at the outputs: lit while current flows. */
export interface Look {
  readonly seconds: number;
  readonly power: boolean;
  readonly cable: boolean;
  /** Folder of the boot mode's volume; null in any other state. */
  readonly bootVolume: string | null;
  readonly driving: boolean;
  readonly settings: boolean;
  readonly switches: Readonly<Record<string, boolean>>;
  readonly pedal: number;
  readonly values: Readonly<Record<Held, Shown>>;
  readonly damage: Readonly<Record<string, string>>;
  readonly lamps: Readonly<Record<string, boolean>>;
  readonly said: Said | null;
}

type FaultOf = (name: string) => string;

function valuesOf({ bench }: Practice): Record<Held, Shown> {
  const { car } = bench;
  const m = car.measured;
  const texts: Record<Held, string> = {
    engine: formatQuantity<"rotation">(m.engineRpm, "rpm", 0),
    road: formatQuantity<"speed">(m.speedMS, "km/h", 0),
    manifold: `${formatQuantity<"pressure">(m.manifoldPa, "kPa", 0)} absolute`,
    bottle: `${formatQuantity<"pressure">(m.bottlePa, "kPa", 0)} gauge`,
    fuel: `${formatQuantity<"pressure">(m.fuelPa, "kPa", 0)} gauge`,
    mixture: m.lambda.toFixed(2),
    coolant: car.held.has("coolant") ? `${(car.held.get("coolant")! / 1000).toFixed(2)} V` : "warm",
    battery: formatQuantity<"voltage">(m.batteryV, "V", 1),
  };
  const names = Object.keys(texts) as Held[];
  return Object.fromEntries(
    names.map((name) => [name, { text: texts[name], held: car.held.has(name) }]),
  ) as Record<Held, Shown>;
}

function damageOf({ bench }: Practice): Record<string, string> {
  const { drivers, relay } = bench.board.harness;
  const wires = [...bench.car.wires].map(
    ([name, wire]) => [`wire ${name}`, typeof wire === "number" ? `${wire / 1000} V` : wire] as const,
  );
  const fault: FaultOf = (name) => drivers.faults[DRIVERS.indexOf(name)]!;
  const damaged = DRIVERS.filter((name) => fault(name) !== "none").map(
    (name) => [`driver ${name}`, fault(name)] as const,
  );
  const all = [...wires, ...damaged, ...(relay.fault === "none" ? [] : [["relay", relay.fault] as const])];
  return Object.fromEntries(all);
}

function lampsOf({ bench }: Practice): Record<string, boolean> {
  const { pins, harness } = bench.board;
  const output = (name: string): boolean => pins.level(gpioOf(name)) === 1;
  return {
    status: pins.level(LAMP_GPIO) === 1,
    "master relay": harness.relay.closed,
    ...Object.fromEntries(DRIVERS.map((name, n) => [name, harness.drivers.energised(n)])),
    "bottle valve": output("bottleValve"),
    purge: output("purge"),
    heater: output("heater"),
    "stage active": output("stageActive"),
  };
}

function saidBy({ bench }: Practice): Said | null {
  const values = liveValues(bench.board);
  if (!values) return null;
  const moment = momentOf(values);
  const { mode, flowing } = moment;
  return {
    mode,
    headline: headline(moment),
    todo: remedy(moment) ?? "",
    flows: flowing.length > 0,
    reasons: reasonsLeft(moment).map(({ id, cause, remedy }) => ({ id, cause, remedy })),
    shares: (values.sharePermille as number[]).map((share) => share / 1000),
  };
}

/** Looks at everything. */
export function lookAt(practice: Practice): Look {
  const { bench, cable } = practice;
  const { controls } = bench.car;
  return {
    seconds: bench.nowNs / 1e9,
    power: bench.supplied,
    cable: cable.plugged,
    bootVolume: bench.board.inBootloader ? bench.disk.folder : null,
    driving: bench.driving,
    settings: bench.settingsCrc !== undefined,
    switches: {
      arm: controls.arm,
      launch: controls.launch,
      brake: controls.hold,
      "bottle-valve": controls.bottleValve,
      purge: controls.purge,
      heater: controls.heater,
      enrich: controls.enrich,
    },
    pedal: controls.pedal,
    values: valuesOf(practice),
    damage: damageOf(practice),
    lamps: lampsOf(practice),
    said: saidBy(practice),
  };
}
