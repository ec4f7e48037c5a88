// The bits of a tick: how it differs from what the tick before lets expect. One description for writing and reading.
import { TICK_US } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { type Bits, flag, middling } from "./bits.ts";
import { Group } from "./group.ts";
import { copyOf, type Tick, type Train } from "./tick.ts";

const WORD_BITS = 32;
const HALF_BITS = 16;
const PIN_BITS = 8;
const PWM_STEP_SHIFT = 1;
const BATTERY = ADC_A.indexOf("battery");
const SUPPLY = ADC_A.indexOf("driverSupply");
const u32 = (value: number): number => value >>> 0;

/** Follows a stream of ticks. Both ends begin with the same tick. */
export class TickCoder {
  private before: Tick;
  private readonly a: Group;
  private readonly b: Group;
  private readonly period: number;

  /** `first`: the tick before the stream. `period`: counter steps of a period of the slices. */
  constructor(first: Tick, period: number) {
    this.before = copyOf(first);
    this.a = new Group(ofSensors(first.adcA));
    this.b = new Group(first.adcB.map((code) => code - first.adcA[SUPPLY]!));
    this.period = period;
  }

  /** Writes a tick, or reads one into it. */
  code(io: Bits, tick: Tick): void {
    const { before } = this;
    const late = (tick.nowUs - before.nowUs - TICK_US) | 0;
    tick.nowUs = u32(before.nowUs + TICK_US + (flag(io, late !== 0) ? middling(io, late) : 0));
    this.codeSeldom(io, tick);
    codeTrain(io, before.engine, tick.engine);
    codeTrain(io, before.road, tick.road);
    this.codePhases(io, tick);
    const moved = tick.solenoidPins ^ before.solenoidPins;
    tick.solenoidPins = before.solenoidPins ^ (flag(io, moved !== 0) ? io.bits(PIN_BITS, moved) : 0);
    this.codeSensors(io, tick);
    this.codeDrains(io, tick);
    this.before = copyOf(tick);
  }

  /** What stays for thousands of ticks: one bit for all of it. */
  private codeSeldom(io: Bits, tick: Tick): void {
    const { before } = this;
    const rounds = (before.adcRounds + 1) & 0xffff;
    const usual =
      tick.switches === before.switches &&
      tick.armCuts === before.armCuts &&
      tick.adcMissing === before.adcMissing &&
      tick.adcRounds === rounds;
    const other = flag(io, !usual);
    tick.switches = other ? io.bits(WORD_BITS, tick.switches) : before.switches;
    tick.armCuts = other ? io.bits(WORD_BITS, tick.armCuts) : before.armCuts;
    tick.adcMissing = other ? io.bits(HALF_BITS, tick.adcMissing) : before.adcMissing;
    tick.adcRounds = other ? io.bits(HALF_BITS, tick.adcRounds) : rounds;
  }

  /** All slices count the same clock: their counters move on together, until one is begun anew. */
  private codePhases(io: Bits, tick: Tick): void {
    const { before, period } = this;
    const steps = (tick.nowUs >>> PWM_STEP_SHIFT) - (before.nowUs >>> PWM_STEP_SHIFT);
    const expected = before.phase.map((phase) => (phase + steps + period) % period);
    const other = flag(
      io,
      tick.phase.some((phase, s) => phase !== expected[s]),
    );
    tick.phase.forEach((phase, s) => {
      tick.phase[s] = other ? codePhase(io, phase, expected[s]!, before.phase[s]!) : expected[s]!;
    });
  }

  /** The supply behind the relay follows the battery: what both lose and gain together is told once. */
  private codeSensors(io: Bits, tick: Tick): void {
    const numbers = ofSensors(tick.adcA);
    this.a.code(io, numbers, 0);
    numbers.forEach((number, n) => {
      tick.adcA[n] = n === SUPPLY ? number + tick.adcA[BATTERY]! : number;
    });
  }

  /** A drain whose pin is low stands at the supply; while it is high, near ground. */
  private codeDrains(io: Bits, tick: Tick): void {
    const { adcA, adcB, solenoidPins } = tick;
    const pulledUp = (n: number): number => ((solenoidPins >> n) & 1 ? 0 : adcA[SUPPLY]!);
    const numbers = adcB.map((code, n) => code - pulledUp(n));
    this.b.code(io, numbers, solenoidPins);
    numbers.forEach((number, n) => {
      adcB[n] = number + pulledUp(n);
    });
  }
}

/** One counter: as expected, as it was before, or how far it is from what was expected. */
function codePhase(io: Bits, phase: number, expected: number, before: number): number {
  if (!flag(io, phase !== expected)) return expected;
  return flag(io, phase !== before) ? expected + middling(io, phase - expected) : before;
}

/** Codes of the sensors, that of the supply against the battery's. */
const ofSensors = (codes: readonly number[]): number[] =>
  codes.map((code, n) => (n === SUPPLY ? code - codes[BATTERY]! : code));

/** One bit while nothing came; else how many, when against the last period, and the period where it is not the time between. */
function codeTrain(io: Bits, before: Train, train: Train): void {
  const same =
    train.pulses === before.pulses && train.edgeUs === before.edgeUs && train.periodUs === before.periodUs;
  if (!flag(io, !same)) {
    train.pulses = before.pulses;
    train.edgeUs = before.edgeUs;
    train.periodUs = before.periodUs;
    return;
  }
  const more = (train.pulses - before.pulses - 1) | 0;
  train.pulses = u32(before.pulses + 1 + (flag(io, more !== 0) ? middling(io, more) : 0));
  const expected = before.edgeUs + before.periodUs;
  train.edgeUs = u32(expected + middling(io, (train.edgeUs - expected) | 0));
  const between = u32(train.edgeUs - before.edgeUs);
  train.periodUs = flag(io, train.periodUs !== between) ? io.bits(WORD_BITS, train.periodUs) : between;
}
