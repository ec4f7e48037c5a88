// One random sequence: right settings stored, a car with chaos in front of it, every tick judged by the oracle.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import type { Random } from "../support/random.ts";
import { Car } from "./car.ts";
import { Chaos } from "./chaos.ts";
import { Device } from "./device.ts";
import { operatingPoint } from "./operating-point.ts";
import { Oracle } from "./oracle.ts";
import { rightDocument } from "./right-documents.ts";
import type { Settings } from "./settings.ts";

const NO_TRIP = 255;
const ARMING = MODES.indexOf("arming");
const ARMED = MODES.indexOf("armed");
const FLOWING = MODES.indexOf("flowing");
const LOCKED = MODES.indexOf("locked");

/** What happened in all sequences so far. */
export class Counts {
  ticks = 0;
  flowed = 0;
  readonly modes = new Map<string, number>();
  readonly trips = new Map<string, number>();
  readonly holds = new Map<string, number>();

  add(car: Car, tripBefore: number): void {
    this.ticks++;
    if (car.runs !== 0) this.flowed++;
    bump(this.modes, MODES[car.mode] ?? `mode ${car.mode}`);
    if (car.trip !== NO_TRIP && car.trip !== tripBefore)
      bump(this.trips, INTERLOCKS[car.trip]?.id ?? "unknown");
    for (let bits = car.reasons, i = 0; bits !== 0; bits >>>= 1, i++)
      if (bits & 1) bump(this.holds, INTERLOCKS[i]?.id ?? "unknown");
  }

  get text(): string {
    const list = (map: Map<string, number>): string => [...map].map(([k, n]) => `${k} ${n}`).join(", ");
    return [
      `${this.ticks} ticks, ${this.flowed} flowed`,
      `modes: ${list(this.modes)}`,
      `trips: ${list(this.trips)}`,
      `ticks held off: ${list(this.holds)}`,
    ].join("\n");
  }
}

function bump(map: Map<string, number>, key: string): void {
  map.set(key, (map.get(key) ?? 0) + 1);
}

/** A car with stored settings in front of a started core, and its oracle. */
export class Sequence {
  readonly settings: Settings;
  readonly car: Car;
  readonly oracle: Oracle;
  private readonly counts: Counts;

  constructor(random: Random, rig: CoreRig, counts: Counts) {
    const { settings, words } = rightDocument(random);
    const start = random.oneIn(2) ? 2 ** 32 - random.below(3_000_000) : random.below(2 ** 31);
    rig.start();
    new Device(rig).store(words);
    this.settings = settings;
    this.car = new Car(rig, settings, operatingPoint(random, settings).point, start);
    this.oracle = new Oracle(settings, start);
    this.counts = counts;
  }

  /** One tick; returns the clauses that the outputs break. */
  tick(us: number): string[] {
    const { car, oracle } = this;
    const tripBefore = car.trip;
    car.tick(us);
    this.counts.add(car, tripBefore);
    const armed = car.mode === ARMED || car.mode === FLOWING;
    return oracle.judge(car.raw, {
      pulse: car.fedPins(),
      edges: car.edges,
      runs: car.runs,
      ...{ armed, up: armed || car.mode === ARMING },
    });
  }

  /** Runs `ticks` ticks of chaos, fewer when the core locks itself. Returns the first broken clauses with the tick, or undefined. */
  run(random: Random, ticks: number): { tick: number; broken: string[] } | undefined {
    const chaos = new Chaos(random, this.car, this.settings);
    let waiting: Generator<number> | undefined = chaos.rearm();
    for (let tick = 0; tick < ticks; tick++) {
      const next: number | undefined = waiting?.next().value;
      if (next === undefined) waiting = chaos.stopped && random.oneIn(10) ? chaos.rearm() : undefined;
      const broken = this.tick(next ?? chaos.next());
      if (broken.length > 0) return { tick, broken };
      if (this.car.mode === LOCKED) return undefined;
    }
    return undefined;
  }
}
