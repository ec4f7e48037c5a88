// The codes of the sensors' converter out of a stream, each against the slow mean of those before it; firmware/core/kept-sensors.ts writes them.
import { ADC_A } from "#shared-schema/model/pins.ts";
import { type BitReader, Numbers } from "./bits.ts";

const channel = (name: (typeof ADC_A)[number]): number => ADC_A.indexOf(name);
const FAST = [channel("battery"), channel("driverSupply"), channel("throttle"), channel("manifold")];
/** The others, by the turn in which a tick reads them. */
const SLOW = [channel("bottle"), channel("fuel"), channel("lambda"), channel("coolant")];
const TURNS = SLOW.length;

const FAR = 24;
const PART_SHIFT = 4;
const HALF = 1 << (PART_SHIFT - 1);
const WEIGHT_SHIFT = 3;
const CHANNEL_BITS = 8;
const TURN_BITS = 2;

/** Begins with the codes before the stream, and what it says of sensors and turn. */
export class SensorReader {
  private readonly reader: BitReader;
  private readonly means: number[];
  private readonly sizes = ADC_A.map(() => new Numbers());
  private readonly fitted: number;
  private turn: number;
  private every = false;

  constructor(reader: BitReader, codes: readonly number[]) {
    this.reader = reader;
    this.means = codes.map((code) => code << PART_SHIFT);
    this.fitted = reader.bits(CHANNEL_BITS);
    this.turn = reader.bits(TURN_BITS);
  }

  /** From this tick on every channel is written, or no longer. */
  toggle(): void {
    this.every = !this.every;
  }

  /** Puts what the next tick reads in the place of the codes before. */
  next(codes: number[]): void {
    this.turn = (this.turn + 1) % TURNS;
    for (let n = 0; n < ADC_A.length; n++) if (this.reads(n)) codes[n] = this.code(n);
  }

  private reads(n: number): boolean {
    const usual = ((this.fitted >> n) & 1) === 1 && (FAST.includes(n) || n === SLOW[this.turn]);
    return this.every || usual;
  }

  private code(n: number): number {
    const before = this.means[n]!;
    const off = this.sizes[n]!.next(this.reader);
    const code = ((before + HALF) >> PART_SHIFT) + off;
    const exact = code << PART_SHIFT;
    this.means[n] = Math.abs(off) > FAR ? exact : before + ((exact - before) >> WEIGHT_SHIFT);
    return code;
  }
}
