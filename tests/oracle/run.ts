// One random sequence: right settings stored, a car with chaos in front of it, every tick judged by the oracle.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import type { Random } from "../support/random.ts";
import { aimed, aimedDocument, favour } from "./aimed.ts";
import { AIMS, type Aim } from "./aims.ts";
import { Car, type Point } from "./car.ts";
import { Chaos } from "./chaos.ts";
import { Device } from "./device.ts";
import { operatingPoint } from "./operating-point.ts";
import { Oracle } from "./oracle.ts";
import { rightDocument } from "./right-documents.ts";
import type { Settings } from "./settings.ts";

const NO_TRIP = 255;
const LOCKED = MODES.indexOf("locked");
/** One of so many sequences is chaos alone. */
const CHAOS_EVERY = 4;
/** So often settings are drawn anew that leave no place for flow; in one of so many sequences never. */
const REDRAWN = 4;
const ANYWHERE_IN = 8;
/** So long a lockout is tried: arm switch cycled, and everything as for flow. */
const LOCKED_TICKS = 150;

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
      `${this.ticks} ticks, ${((100 * this.flowed) / this.ticks).toFixed(1)} % flowing`,
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
  private readonly aim: Aim | undefined;

  /** `turn` says what it aims at: one row of the catalogue after the other, and chaos between them. */
  constructor(random: Random, rig: CoreRig, counts: Counts, turn: number) {
    this.aim = aimOf(turn);
    const { settings, words, point } = drawn(random, this.aim);
    const start = random.oneIn(2) ? 2 ** 32 - random.below(3_000_000) : random.below(2 ** 31);
    rig.start();
    new Device(rig).store(words);
    this.settings = settings;
    this.car = new Car(rig, settings, point, start);
    this.oracle = new Oracle(settings, start);
    this.counts = counts;
  }

  /** One tick; returns the clauses that the outputs break. */
  tick(us: number): string[] {
    const { car, oracle } = this;
    const tripBefore = car.trip;
    car.tick(us);
    this.counts.add(car, tripBefore);
    return oracle.judge(car.raw, car.commanded);
  }

  /** Runs `ticks` ticks, fewer when the core locks itself. Returns the first broken clauses with the tick, or undefined. */
  run(random: Random, ticks: number): { tick: number; broken: string[] } | undefined {
    const chaos = new Chaos(random, this.car, this.settings);
    const script = this.aim ? aimed(this.aim, chaos) : chaotic(chaos);
    for (let tick = 0, left = ticks; tick < left; tick++) {
      const broken = this.tick(script.next().value);
      if (broken.length > 0) return { tick, broken };
      if (this.car.mode === LOCKED) left = Math.min(left, tick + LOCKED_TICKS);
    }
    return undefined;
  }
}

/** The `n`th turn that aims at a row of the catalogue. Throws when nothing does. */
export function turnFor(id: string, n: number): number {
  for (let turn = 0, left = n; turn < CHAOS_EVERY * AIMS.length * (n + 1); turn++)
    if (aimOf(turn)?.id === id && left-- === 0) return turn;
  throw new Error(`nothing aims at ${id}`);
}

/** Chaos alone in one of so many turns, and the rows of the catalogue one after the other in those between. */
function aimOf(turn: number): Aim | undefined {
  if (turn % CHAOS_EVERY === 0) return undefined;
  return AIMS[(turn - 1 - Math.floor(turn / CHAOS_EVERY)) % AIMS.length];
}

/** Settings, and where the car stands: in most cases where a stage may flow. */
function drawn(
  random: Random,
  aim: Aim | undefined,
): { settings: Settings; words: Uint16Array; point: Point } {
  const shape = random.oneIn(3) ? undefined : (settings: Settings): void => favour(random, settings);
  for (let left = random.oneIn(ANYWHERE_IN) ? 0 : REDRAWN; ; left--) {
    const { settings, words } = aim ? aimedDocument(random, aim) : rightDocument(random, shape);
    const { point, insideStage } = operatingPoint(random, settings, aim && 0);
    if (left <= 0 || (insideStage && (aim?.fits(settings) ?? true))) return { settings, words, point };
  }
}

/** Ticks, in microseconds, for ever: chaos, and the arm switch cycled where it must be. */
function* chaotic(chaos: Chaos): Generator<number, never> {
  for (yield* chaos.rearm(); ; ) {
    if (chaos.stopped && chaos.random.oneIn(10)) yield* chaos.rearm();
    yield chaos.next();
  }
}
