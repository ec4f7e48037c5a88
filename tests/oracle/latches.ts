// What must have tripped or locked by now: causes that have surely lasted long enough, each kept until it may be forgotten.
import { OUTPUT_BITS, WATCHDOG_US } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, interlockNumber } from "#shared-schema/model/interlocks.ts";
import { ClampWatch } from "./clamp-watch.ts";
import { surely, TURN_US } from "./conditions.ts";
import { DriverWatch } from "./driver-watch.ts";
import { isOn, type Raw } from "./raw.ts";
import { supplyMv } from "./self-test.ts";
import type { Settings } from "./settings.ts";

/** What a latch looks at in one tick. */
export interface Seen {
  readonly raw: Raw;
  /** Microseconds since the tick before. */
  readonly us: number;
  /** Surely armed since the tick before, and the sensors are surely believed. */
  readonly armed: boolean;
  readonly believed: boolean;
  /** Pulses and flags that the tick before commanded. */
  readonly pulse: readonly number[];
  readonly flags: number;
}

interface Cause {
  readonly id: string;
  /** It trips when it has lasted longer than this, in at least so many ticks in a row. */
  readonly mostUs: number;
  readonly ticks: number;
  readonly bad: (seen: Seen) => boolean;
}

interface Lasting {
  us: number;
  ticks: number;
}

const FUEL_US = 20_000;
const CONTRADICT_US = 100_000;
/** 22 ms of the catalogue, and ticks that come late. */
const NO_KEEP_ALIVE_US = 30_000;
const NO_SUPPLY_MV = 1_000;
const NO_PRESSURE_KPA = 1_000;
/** Turns of four ticks: one for the cause to be looked at, and three in a row for fuel. */
const [TURN_TICKS, FUEL_TICKS] = [6, 20];
const ROUND_TICKS = 4;

const flows = ({ pulse }: Seen): boolean => pulse.some((width, i) => i % 2 === 0 && width > 0);

function contradicts({ raw }: Seen, settings: Settings): boolean {
  const { opensAtPermille, closesAtPermille } = settings.throttle.position!;
  return isOn(raw, "throttle")
    ? surely(raw, settings, "throttle", -1, closesAtPermille)
    : surely(raw, settings, "throttle", 1, opensAtPermille);
}

function ofBottle(settings: Settings): Cause[] {
  const { bottle, bottleValve } = settings;
  if (!bottle) return [];
  const { highestKpaGauge } = bottle;
  const high: Cause = {
    ...{ id: "BOTTLE-HIGH", mostUs: 0, ticks: TURN_TICKS },
    bad: ({ raw }) => surely(raw, settings, "bottle", 1, highestKpaGauge),
  };
  if (!bottleValve) return [high];
  const empty = ({ raw, flags }: Seen): boolean =>
    (flags & (1 << OUTPUT_BITS.bottleValve)) !== 0 && surely(raw, settings, "bottle", -1, NO_PRESSURE_KPA);
  return [
    high,
    { id: "VALVE", mostUs: 1000 * bottleValve.opensWithinMs + TURN_US, ticks: TURN_TICKS, bad: empty },
  ];
}

function ofMixture(settings: Settings): Cause[] {
  const { fuel, lambda, stages } = settings;
  const causes: Cause[] = [];
  if (lambda) {
    const lean = ({ raw }: Seen): boolean => surely(raw, settings, "lambda", 1, lambda.leanestMilliLambda);
    const bad = (seen: Seen): boolean => flows(seen) && lean(seen);
    causes.push({ id: "LEAN", mostUs: 1000 * lambda.withinMs + TURN_US, ticks: TURN_TICKS, bad });
  }
  if (fuel) {
    // The core begins to count in its turn, while a wet stage flows: that is sure after a whole round of both.
    let round = 0;
    const bad = ({ raw, pulse }: Seen): boolean => {
      const low = surely(raw, settings, "fuel", -1, fuel.lowestDeciKpaGauge);
      const fed = stages.some(({ kind }, s) => kind === "wet" && (pulse[2 * s] ?? 0) > 0);
      if (!low) round = 0;
      else if (round < ROUND_TICKS) round = fed ? round + 1 : 0;
      return round === ROUND_TICKS;
    };
    causes.push({ id: "FUEL-LOW", mostUs: FUEL_US + TURN_US, ticks: FUEL_TICKS, bad });
  }
  return causes;
}

function causesOf(settings: Settings): Cause[] {
  const { throttle, manifold } = settings;
  const causes = [...ofBottle(settings), ...ofMixture(settings)];
  if (throttle.position && throttle.switch === "yes") {
    const bad = (seen: Seen): boolean => contradicts(seen, settings);
    causes.push({ id: "TPS-SW", mostUs: CONTRADICT_US + TURN_US, ticks: TURN_TICKS, bad });
  }
  const { overboost } = manifold ?? {};
  if (overboost) {
    const bad = ({ raw }: Seen): boolean => surely(raw, settings, "manifold", 1, overboost.aboveDeciKpa);
    causes.push({ id: "OVERBOOST", mostUs: 0, ticks: 3, bad });
  }
  const unsupplied = ({ raw }: Seen): boolean => supplyMv(raw) < NO_SUPPLY_MV;
  causes.push({ id: "KEEP-ALIVE", mostUs: NO_KEEP_ALIVE_US, ticks: 24, bad: unsupplied });
  return causes;
}

/** Follows the causes in front of one core. */
export class Latches {
  private readonly causes: readonly (Cause & { lasting: Lasting })[];
  private readonly drivers: DriverWatch;
  private readonly clamps: ClampWatch;
  private trip: string | undefined;
  private lockout: string | undefined;

  constructor(settings: Settings) {
    this.causes = causesOf(settings).map((cause) => ({ ...cause, lasting: { us: 0, ticks: 0 } }));
    this.drivers = new DriverWatch(settings);
    this.clamps = new ClampWatch(settings);
  }

  /** Takes in a tick. */
  update(seen: Seen): void {
    for (const { id, mostUs, ticks, bad, lasting } of this.causes) {
      if (!bad(seen) || !seen.armed || !seen.believed) lasting.us = lasting.ticks = 0;
      else if (++lasting.ticks > 1) lasting.us += Math.min(seen.us, WATCHDOG_US);
      if (lasting.ticks >= ticks && lasting.us > mostUs) this.latch(id);
    }
    this.drivers.update(seen);
    if (this.drivers.broken) this.latch("DRIVER");
    this.clamps.update(seen);
    if (this.clamps.broken) this.latch("CLAMP");
  }

  /** Something has tripped, or locks out, by the reaction that the catalogue has for it. The first one counts. */
  latch(id: string): void {
    if (INTERLOCKS[interlockNumber(id)]!.reaction === "lockout") this.lockout ??= id;
    else this.trip ??= id;
  }

  /** The arm switch has been off for its time: a trip is over. A lockout is not. */
  cycled(): void {
    this.trip = undefined;
  }

  /** What must keep everything off now. */
  get latched(): string | undefined {
    return this.lockout ?? this.trip;
  }
}
