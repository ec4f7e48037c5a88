// Sequences that aim at one row of the catalogue after another: into flow under plausible conditions, then the cause, now and then two at once.
import { INTERLOCKS, interlockNumber, MODES } from "#shared-schema/model/interlocks.ts";
import { fullDocument } from "../support/documents.ts";
import type { Random } from "../support/random.ts";
import { AIMS, type Aim } from "./aims.ts";
import type { Chaos } from "./chaos.ts";
import { rightDocument } from "./right-documents.ts";
import type { Settings } from "./settings.ts";

const NONE = 255;
const [ARMED, FLOWING] = [MODES.indexOf("armed"), MODES.indexOf("flowing")];
/** From the arm switch to flow: the self-test, the pedal, and a slow ramp. */
const READY_US = 900_000;
/** So long it may flow in peace before the cause. */
const CALM_TICKS = 700;
/** Other rows before a lockout, which ends a sequence. */
const MOST_BEFORE = 2;

/** Leaves its windows to the first stage or takes them away, and gives it a ramp that begins with much flow. */
export function favour(random: Random, settings: Settings): void {
  const first = settings.stages[0]!;
  delete first.follows;
  delete first.delay;
  if (random.oneIn(2)) delete settings.retard;
  if (!random.oneIn(4)) for (const name of ["roadSpeed", "manifold", "gears"] as const) delete first[name];
  if (random.oneIn(4)) return;
  const most = random.between(500, 1000);
  const ramp = (): [number, number][] => [
    [0, random.between(500, most)],
    [random.between(1, 1500), most],
  ];
  first.ramps = [{ over: "time", points: ramp() }];
}

/** What decides how soon the first pulse comes; drawn anew in one of so many documents only. */
const SOON = /^flow\.(rise|freq)|^retard\.lead|Solenoid\./;
const SLOW_IN = 4;

/** A right document that an aim fits, as far as the numbers drawn allow it, and its words. */
export function aimedDocument(random: Random, aim: Aim): ReturnType<typeof rightDocument> {
  const adapt = (settings: Settings): void => {
    favour(random, settings);
    aim.adapt?.(settings, fullDocument() as unknown as Settings);
  };
  const kept = [aim.kept, random.oneIn(SLOW_IN) ? undefined : SOON].filter((k) => k !== undefined);
  return rightDocument(
    random,
    adapt,
    kept.length > 0 ? new RegExp(kept.map((k) => k.source).join("|")) : undefined,
  );
}

const locksOut = ({ id }: Aim): boolean => INTERLOCKS[interlockNumber(id)]!.reaction === "lockout";

/** Ticks, in microseconds, for ever: the aim itself, then others that fit; before a lockout some of them. */
export function* aimed(aim: Aim, chaos: Chaos): Generator<number, never> {
  const { random, settings } = chaos;
  const others = AIMS.filter((other) => other.fits(settings) && !locksOut(other));
  if (locksOut(aim))
    for (let i = random.below(MOST_BEFORE); i > 0; i--) yield* attempt(random.pick(others), chaos);
  const next = (): Aim => (locksOut(aim) || random.oneIn(2) ? aim : random.pick(others));
  for (yield* attempt(aim, chaos); ; ) yield* attempt(next(), chaos);
}

function* attempt(aim: Aim, chaos: Chaos): Generator<number> {
  const { random, car, settings } = chaos;
  const begin = (): void => {
    if (aim.fits(settings)) aim.cause(chaos);
    if (random.oneIn(5)) secondOf(aim, chaos)?.cause(chaos);
  };
  if (aim.when === "off") yield* chaos.rearm(begin);
  else {
    yield* chaos.rearm();
    yield* waitFor(aim.when, chaos);
    const noisy = random.oneIn(4);
    for (let i = random.below(CALM_TICKS); i > 0 && car.trip === NONE; i--)
      yield noisy ? chaos.next() : chaos.tickUs();
    if (aim.when === "flow" && car.mode !== FLOWING) return;
    begin();
  }
  for (let ms = 0; ms < aim.withinMs(settings) && car.trip === NONE; ms++) {
    aim.goesOn?.(chaos, ms);
    yield chaos.tickUs();
  }
  for (let i = random.between(1, 20); i > 0; i--) yield chaos.tickUs();
}

/** Ticks until it is armed, or a stage is fed, or something stopped it. */
function* waitFor(when: Aim["when"], chaos: Chaos): Generator<number> {
  const { car } = chaos;
  for (let us = READY_US; us > 0 && car.trip === NONE; us -= 1000) {
    if (car.mode === FLOWING || (when === "armed" && car.mode === ARMED)) return;
    yield chaos.tickUs();
  }
}

/** Another cause at the same moment, of those that fit and may come while armed. */
function secondOf(aim: Aim, { random, settings }: Chaos): Aim | undefined {
  const other = random.pick(AIMS);
  return other !== aim && other.when !== "off" && other.fits(settings) ? other : undefined;
}
