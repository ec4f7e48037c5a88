// What engine speeds are surely misread: a chain of readings of which no engine can have made one link, until another link undoes it.
import type { Raw } from "./raw.ts";
import type { Settings } from "./settings.ts";

const LONGEST_APART_US = 60_000;
/** A shaft that is silent for this long may already count as standing, and for that long it surely does. */
const MAY_STAND_US = 970_000;
const STANDS_US = 1_020_000;
/** No tick counts for longer. */
const LONGEST_TICK_US = 20_000;
/** More even pulses than any row that could be asked for. */
const ROW = 10;
/** Readings are whole numbers, and so is what is free of them. */
const ROUNDING_RPM = 4;
/** So near to what must be there, as a part of it, a speed has surely come back; and so near it may have. */
const NEAR = 0.115;
const PERHAPS_NEAR = 0.135;

/**
 * Follows the readings of one core's engine, in proportions: what is read over what must be there. Where it is not sure it
 * loses the chain, and says nothing until the engine has surely stood.
 */
export class SpeedWatch {
  /** A reading that no engine could come to was not undone by the next pulse, in this tick. */
  stayed = false;
  private readonly settings: Settings;
  private beforeUs = 0;
  private silentUs = 0;
  private edgeUs: number | undefined;
  private reading = 0;
  private even = 0;
  private misread = 1;
  private fresh = false;
  private returning = false;
  private lost = false;

  constructor(settings: Settings) {
    this.settings = settings;
  }

  /** Is the engine surely not as fast as it reads? */
  get doubted(): boolean {
    return this.misread !== 1;
  }

  /** Takes in a tick. */
  update(raw: Raw): void {
    this.stayed = false;
    this.silentUs += Math.min(raw.nowUs - this.beforeUs, LONGEST_TICK_US);
    this.beforeUs = raw.nowUs;
    const { edgeUs, periodUs } = raw.engine;
    if (!this.settings.engine.jump || edgeUs === this.edgeUs) return;
    const apartUs = edgeUs - (this.edgeUs ?? edgeUs);
    const { silentUs } = this;
    this.silentUs = 0;
    this.edgeUs = edgeUs;
    if (periodUs === 0 || silentUs >= STANDS_US) this.stand();
    else if (silentUs >= MAY_STAND_US || periodUs >= MAY_STAND_US) this.lose();
    else if (!this.lost) this.pulse(120e6 / this.settings.engine.pulsesHalfPulses / periodUs, apartUs);
  }

  private stand(): void {
    this.reading = this.even = 0;
    this.misread = 1;
    this.fresh = this.returning = this.lost = false;
  }

  private lose(): void {
    this.stand();
    this.lost = true;
  }

  private pulse(reading: number, apartUs: number): void {
    const before = this.reading;
    this.reading = reading;
    this.stayed = this.fresh;
    this.fresh = false;
    if (before === 0) return;
    const us = apartUs > 0 ? Math.min(apartUs, LONGEST_APART_US) : LONGEST_APART_US;
    const moved = Math.abs(reading - before);
    if (moved < 0.98 * this.reach(before, us) - ROUNDING_RPM) this.even++;
    else if (moved > 1.02 * this.reach(before, us) + ROUNDING_RPM) this.jump(before, reading);
    else this.lose();
    if (this.even >= ROW) this.returning = false;
  }

  /** How far an engine comes, rpm. */
  private reach(from: number, us: number): number {
    const { fastestRpmPerS, unevennessPermille } = this.settings.engine.jump!;
    return (from * unevennessPermille) / 1000 + (fastestRpmPerS * us) / 1e6;
  }

  private jump(before: number, reading: number): void {
    if (this.even < ROW && !this.doubted) {
      if (this.returning) this.lose();
      this.even = 0;
      return;
    }
    this.fresh = !this.doubted;
    this.misread *= reading / before;
    const real = reading / this.misread;
    const off = Math.abs(reading - real);
    const perhaps = Math.max(PERHAPS_NEAR * real, 1.05 * this.reach(real, LONGEST_APART_US)) + ROUNDING_RPM;
    if (off < NEAR * real - ROUNDING_RPM) this.back();
    else if (off < perhaps) this.lose();
  }

  private back(): void {
    this.even = 0;
    this.misread = 1;
    this.fresh = false;
    this.returning = true;
  }
}
