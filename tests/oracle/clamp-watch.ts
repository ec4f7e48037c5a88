// Coils that surely did not kick when they were switched off: how often in a row, pin by pin.
import { SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import type { Raw } from "./raw.ts";
import { supplyMv } from "./self-test.ts";
import type { Settings } from "./settings.ts";

/** So many ticks high, and ticks no further apart than this, let a kick be sure. */
const HIGH_TICKS = 8;
const APART_US = 1_050;
const SUPPLIED_MV = 10_100;
const PINS = [0, 1, 2, 3, 4, 5, 6, 7] as const;
/** One more in a row than locks out. */
const TOO_MANY = 5;

interface Coil {
  /** Ticks that its pin has been high; ticks since it fell after long enough, while no kick has shown; missed in a row. */
  high: number;
  awaited: number;
  missed: number;
}

/** Follows the clamps in front of one core while it is armed. */
export class ClampWatch {
  /** Has a coil surely missed too many kicks in a row? */
  broken = false;
  private readonly kickMv: number | undefined;
  private readonly stages: Settings["stages"];
  private readonly coils: Coil[] = PINS.map(() => ({ high: 0, awaited: 0, missed: 0 }));
  private rounds = -1;

  constructor({ clamps, stages }: Settings) {
    this.kickMv = clamps?.kickMv;
    this.stages = stages;
  }

  /** Takes in a tick. */
  update({ raw, us, armed, believed }: { raw: Raw; us: number; armed: boolean; believed: boolean }): void {
    if (this.kickMv === undefined) return;
    const fresh = raw.adcRounds !== this.rounds && raw.adcMissing === 0;
    this.rounds = raw.adcRounds;
    const usable = armed && believed && fresh && us <= APART_US && supplyMv(raw) > SUPPLIED_MV;
    for (const n of PINS) {
      const coil = this.coils[n]!;
      if (usable && this.has(n)) this.sample(coil, raw, n, this.kickMv);
      else coil.high = coil.awaited = coil.missed = 0;
    }
  }

  private has(n: number): boolean {
    const stage = this.stages[n >> 1];
    return stage !== undefined && (n % 2 === 0 || stage.kind === "wet");
  }

  private sample(coil: Coil, raw: Raw, n: number, kickMv: number): void {
    const high = ((raw.solenoidPins >> n) & 1) === 1;
    const under = raw.adcB[n]! * SUPPLY_MV_PER_CODE < kickMv - 2 * SUPPLY_MV_PER_CODE;
    const fell = !high && coil.high >= HIGH_TICKS;
    if (fell) coil.awaited = 1;
    else if (coil.awaited === 1) coil.awaited = 2;
    // A shorter pulse, or one that is on again at once, may have been seen as well.
    if ((coil.awaited > 0 && (high || !under)) || (!high && coil.high > 0 && !fell))
      coil.awaited = coil.missed = 0;
    if (coil.awaited === 2) {
      coil.missed++;
      coil.awaited = 0;
    }
    coil.high = high ? coil.high + 1 : 0;
    this.broken ||= coil.missed >= TOO_MANY;
  }
}
