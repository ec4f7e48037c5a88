// The ticks of a stream: how each differs from what the tick before lets expect; firmware/core/exact.ts writes them.
import { TICK_US } from "#shared-schema/model/blocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { type BitReader, Numbers } from "./bits.ts";
import { drainCodes } from "./drains.ts";
import { SensorReader } from "./sensors.ts";
import { copyOf, type Tick, type Train } from "./tick.ts";

const SUPPLY = ADC_A.indexOf("driverSupply");
const WORD_BITS = 32;
const HALF_BITS = 16;
const [CAME_BITS, OTHER_BITS, PIN_BITS, PHASE_BITS, DRAIN_BITS] = [3, 6, 8, 4, 24] as const;
/** Bits of what came, and of what else is not as expected. */
const [ENGINE, ROAD, OTHER] = [1, 2, 4] as const;
const [LATE, MOVED, BEGUN, DRAINED, SELDOM, READS] = [1, 2, 4, 8, 16, 32] as const;
const u32 = (value: number): number => value >>> 0;

/** Pulses of one input: how many more than one, when the last came, the time between the last two. */
class TrainReader {
  private readonly more = new Numbers();
  private readonly edge = new Numbers();
  private readonly period = new Numbers();

  next(reader: BitReader, train: Train): void {
    const { edgeUs, periodUs } = train;
    const count = u32(1 + this.more.next(reader));
    train.pulses = u32(train.pulses + count);
    const between = u32(Math.imul(count, periodUs) + this.edge.next(reader));
    train.edgeUs = u32(edgeUs + between);
    train.periodUs = u32((count === 1 ? between : periodUs) + this.period.next(reader));
  }
}

/** Reads tick after tick. */
export class TickReader {
  private readonly reader: BitReader;
  private readonly tick: Tick;
  private readonly period: number;
  private readonly engine = new TrainReader();
  private readonly road = new TrainReader();
  private readonly sensors: SensorReader;
  private drains = 0;

  /** `first`: the tick before the stream. `period`: counter steps of a period of the slices. */
  constructor(reader: BitReader, first: Tick, period: number) {
    this.reader = reader;
    this.tick = copyOf(first);
    this.period = period;
    this.sensors = new SensorReader(reader, first.adcA);
  }

  /** The next tick. Throws a RangeError behind the end. */
  next(): Tick {
    const { reader, tick } = this;
    const came = reader.bits(CAME_BITS);
    if (came & ENGINE) this.engine.next(reader, tick.engine);
    if (came & ROAD) this.road.next(reader, tick.road);
    const other = came & OTHER ? this.readOther() : 0;
    this.passTime(other & LATE ? reader.bits(WORD_BITS) : 0);
    if (other & MOVED) tick.solenoidPins ^= reader.bits(PIN_BITS);
    if (other & BEGUN) this.readPhases();
    if (other & DRAINED) this.drains = reader.bits(DRAIN_BITS);
    tick.adcRounds = (tick.adcRounds + 1) & 0xffff;
    if (other & SELDOM) this.readSeldom();
    if (other & READS) this.sensors.toggle();
    this.sensors.next(tick.adcA);
    tick.adcB.splice(0, tick.adcB.length, ...drainCodes(tick.solenoidPins, this.drains, tick.adcA[SUPPLY]!));
    return copyOf(tick);
  }

  /** Mostly it is pins alone. */
  private readOther(): number {
    return this.reader.bits(1) ? this.reader.bits(OTHER_BITS) : MOVED;
  }

  /** All slices count the same clock: their counters move on together. */
  private passTime(late: number): void {
    const { tick, period } = this;
    const before = tick.nowUs;
    tick.nowUs = u32(before + TICK_US + late);
    const steps = (((tick.nowUs >>> 1) - (before >>> 1)) & 0x7fff_ffff) % period;
    tick.phase.forEach((phase, s) => {
      const to = phase + steps;
      tick.phase[s] = to >= period ? to - period : to;
    });
  }

  private readPhases(): void {
    const others = this.reader.bits(PHASE_BITS);
    this.tick.phase.forEach((_, s) => {
      if ((others >> s) & 1) this.tick.phase[s] = this.reader.bits(HALF_BITS);
    });
  }

  private readSeldom(): void {
    const { reader, tick } = this;
    tick.switches = reader.bits(HALF_BITS);
    tick.armCuts = reader.bits(WORD_BITS);
    tick.adcMissing = reader.bits(HALF_BITS);
    tick.adcRounds = reader.bits(HALF_BITS);
  }
}
