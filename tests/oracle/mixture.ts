// What the valves of each wet stage let through, by valves with a state and the edges of their pins: neither more than the other.
import type { PinEdge } from "#host/bench/core/slice.ts";
import { openingUs } from "./pulse-model.ts";
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
  /** On-runs that were held for a period or longer: after "open" the valve that opened first is ahead of the other. */
  private held = 0;
  private roseUs = 0;
  private readonly stage: Stage;
  private readonly periodUs: number;

  constructor(stage: Stage, frequencyHz: number, us: number) {
    this.stage = stage;
    this.periodUs = 1e6 / frequencyHz;
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
    if (pin % 2 === 0 && level) {
      this.pulses++;
      this.roseUs = us;
    } else if (pin % 2 === 0 && us - this.roseUs >= this.periodUs) this.held++;
    (pin % 2 === 0 ? this.nitrous : this.fuel).drive(level, us);
  }

  pass(us: number): void {
    this.nitrous.pass(us);
    this.fuel.pass(us);
  }

  get atRest(): boolean {
    return this.nitrous.atRest && this.fuel.atRest;
  }

  /**
   * Most of one, in microseconds of flow, that may have come without the other, given the voltages that were read. What a cut
   * leaves is bounded by the rule on how far the times of two valves may lie apart.
   */
  private excessUs(one: Solenoid, other: Solenoid, low: number, high: number): number {
    const moved = [one, other].map((s) => openingUs(s, low) - openingUs(s, high));
    const tolerance = this.pulses * (ROUNDING_US + moved[0]! + moved[1]!);
    const apart = [low, high].map((mv) => openingUs(other, mv) - openingUs(one, mv));
    const later = Math.max(0, ...apart);
    // After "open" the fuel valve makes up for opening late (nothing is allowed), the nitrous valve does not.
    const ahead = one === this.stage.fuelSolenoid ? this.held * later : 0;
    if (!this.cut) return tolerance + ahead;
    // Cut between the two openings, the one valve has opened and has yet to close, and the other never opens.
    const closes = later > 0 ? 0 : other.closingUs;
    return tolerance + ahead + later + Math.max(0, one.closingUs - closes);
  }

  /** Once both valves are shut: by how much, in microseconds, each that flowed exceeds the other beyond what is explained. */
  settle(low: number, high: number): { nitrous: number; fuel: number } {
    const { nitrousSolenoid: nitrous, fuelSolenoid: fuel } = this.stage;
    const more = this.nitrous.flowedUs - this.fuel.flowedUs;
    const over = {
      nitrous: more - this.excessUs(nitrous, fuel!, low, high),
      fuel: -more - this.excessUs(fuel!, nitrous, low, high),
    };
    const result = this.doubtful ? { nitrous: 0, fuel: 0 } : over;
    this.nitrous.flowedUs = this.fuel.flowedUs = 0;
    this.pulses = this.held = 0;
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
    this.pairs = settings.stages.map((stage) =>
      stage.fuelSolenoid ? new Pair(stage, settings.flow.frequencyHz, us) : undefined,
    );
  }

  /** Takes in what the pins did until `nowUs`; `mv` is the supply behind the relay as it was read, `runs` the stages that go on. Names stages whose mixture was wrong. */
  update(nowUs: number, edges: readonly PinEdge[], mv: number, runs: number): string[] {
    const late = nowUs - this.nowUs > LATE_US;
    this.nowUs = nowUs;
    this.readings.push({ us: nowUs, mv });
    while (this.readings[0]!.us < nowUs - MEMORY_US) this.readings.shift();
    return this.pairs.flatMap((pair, s) => {
      if (!pair) return [];
      pair.setVoltage(mv);
      const wrong = edges
        .filter(({ pin }) => pin >> 1 === s)
        .sort((a, b) => a.us - b.us)
        .flatMap((edge) => this.follow(pair, s, edge));
      pair.pass(nowUs);
      if (!((runs >> s) & 1)) pair.cut = true;
      if (late) pair.doubtful = true;
      return pair.atRest ? [...wrong, ...this.settled(pair, s)] : wrong;
    });
  }

  /** An edge; where both valves have come to rest before it, what flowed until then is judged by itself. */
  private follow(pair: Pair, s: number, edge: PinEdge): string[] {
    pair.pass(edge.us);
    const wrong = edge.level && pair.atRest ? this.settled(pair, s) : [];
    pair.drive(edge);
    return wrong;
  }

  private settled(pair: Pair, s: number): string[] {
    this.compared += pair.fuel.flowedUs;
    const voltages = this.readings.map(({ mv }) => mv);
    const { nitrous, fuel } = pair.settle(Math.min(...voltages), Math.max(...voltages));
    const tell = (over: number, what: string): string[] =>
      over > 0 ? [`stage ${s + 1}: ${Math.round(over)} us of ${what}`] : [];
    return [...tell(nitrous, "nitrous without its fuel"), ...tell(fuel, "fuel without its nitrous")];
  }
}
