// What the valves of each wet stage let through, by valves with a state and the edges of their pins: nitrous never more than its fuel.
import { openingUs } from "./pulse-model.ts";
import type { PinEdge } from "./pwm.ts";
import type { Settings, Solenoid, Stage } from "./settings.ts";
import { Valve } from "./valve.ts";

/** Rounding of a pulse's two times, microseconds. */
const ROUNDING_US = 10;
/** Voltages of this long before a pulse may have decided its width: two longest patterns. */
const MEMORY_US = 250_000;
/** Between ticks further apart the board would have restarted. */
const LATE_US = 19_000;

interface Reading {
  readonly us: number;
  readonly mv: number;
}

/** The two valves of a stage, and what flowed since both were shut. */
class Pair {
  readonly nitrous: Valve;
  readonly fuel: Valve;
  pulses = 0;
  cut = false;
  doubtful = false;
  private readonly stage: Stage;

  constructor(stage: Stage, us: number) {
    this.stage = stage;
    this.nitrous = new Valve({ openingUs: 0, closingUs: stage.nitrousSolenoid.closingUs }, us);
    this.fuel = new Valve({ openingUs: 0, closingUs: stage.fuelSolenoid!.closingUs }, us);
  }

  setVoltage(mv: number): void {
    const at = (solenoid: Solenoid) => ({
      openingUs: openingUs(solenoid, mv),
      closingUs: solenoid.closingUs,
    });
    this.nitrous.times = at(this.stage.nitrousSolenoid);
    this.fuel.times = at(this.stage.fuelSolenoid!);
  }

  drive({ pin, level, us }: PinEdge): void {
    if (pin % 2 === 0 && level) this.pulses++;
    (pin % 2 === 0 ? this.nitrous : this.fuel).drive(level, us);
  }

  get atRest(): boolean {
    return this.nitrous.atRest && this.fuel.atRest;
  }

  /** Most nitrous, in microseconds of flow, that may have come without its fuel, given the voltages that were read. */
  private excessUs(low: number, high: number): number {
    const { nitrousSolenoid, fuelSolenoid } = this.stage;
    const moved = [nitrousSolenoid, fuelSolenoid!].map((s) => openingUs(s, low) - openingUs(s, high));
    const tolerance = this.pulses * (ROUNDING_US + moved[0]! + moved[1]!);
    if (!this.cut) return tolerance;
    const apart = [low, high].map((mv) => openingUs(fuelSolenoid!, mv) - openingUs(nitrousSolenoid, mv));
    const later = Math.max(0, ...apart);
    // Cut between the two openings, the nitrous valve has opened and has yet to close, and the fuel valve never opens.
    const closes = later > 0 ? 0 : fuelSolenoid!.closingUs;
    // The core does not wait for the valves to close before it opens a stage again after a cut: each time, the nitrous valve
    // may still be open while the fuel valve has to open anew. This is allowed here, and is a gap in what the core promises.
    const again = (this.pulses - 1) * (openingUs(fuelSolenoid!, low) + nitrousSolenoid.closingUs);
    return tolerance + later + Math.max(0, nitrousSolenoid.closingUs - closes) + Math.max(0, again);
  }

  /** Once both valves are shut: by how much, in microseconds, the nitrous that flowed exceeds its fuel beyond what is explained. */
  settle(low: number, high: number): number {
    const over = this.nitrous.flowedUs - this.fuel.flowedUs - this.excessUs(low, high);
    const result = this.doubtful ? 0 : over;
    this.nitrous.flowedUs = this.fuel.flowedUs = 0;
    this.pulses = 0;
    this.cut = this.doubtful = false;
    return result;
  }
}

/** Follows all wet stages of one car. */
export class Mixture {
  private readonly pairs: readonly (Pair | undefined)[];
  private readings: Reading[] = [];
  private nowUs: number;
  /** Flow of all stretches that were compared, microseconds. */
  compared = 0;

  constructor(settings: Settings, us: number) {
    this.nowUs = us;
    this.pairs = settings.stages.map((stage) => (stage.fuelSolenoid ? new Pair(stage, us) : undefined));
  }

  /** Takes in what the pins did until `nowUs`; `mv` is the battery as it was read, `runs` the stages that go on. Names stages whose mixture was wrong. */
  update(nowUs: number, edges: readonly PinEdge[], mv: number, runs: number): string[] {
    const late = nowUs - this.nowUs > LATE_US;
    this.nowUs = nowUs;
    this.readings.push({ us: nowUs, mv });
    while (this.readings[0]!.us < nowUs - MEMORY_US) this.readings.shift();
    return this.pairs.flatMap((pair, s) => {
      if (!pair) return [];
      pair.setVoltage(mv);
      for (const edge of edges) if (edge.pin >> 1 === s) pair.drive(edge);
      pair.nitrous.pass(nowUs);
      pair.fuel.pass(nowUs);
      if (!((runs >> s) & 1)) pair.cut = true;
      if (late) pair.doubtful = true;
      return pair.atRest ? this.settled(pair, s) : [];
    });
  }

  private settled(pair: Pair, s: number): string[] {
    this.compared += pair.fuel.flowedUs;
    const voltages = this.readings.map(({ mv }) => mv);
    const over = pair.settle(Math.min(...voltages), Math.max(...voltages));
    return over > 0 ? [`stage ${s + 1}: ${Math.round(over)} us of nitrous without its fuel`] : [];
  }
}
