// A point-mass car that makes the senders turn: engine speed, road speed and manifold pressure from pedal, gears and flow. Invented.

/** What the car is. Masses in kg, power in W, lengths in m. */
export interface CarData {
  readonly massKg: number;
  readonly engineW: number;
  /** Power of all stages together at full share. */
  readonly nitrousW: number;
  readonly grip: number;
  readonly gears: readonly number[];
  readonly finalDrive: number;
  readonly tyreM: number;
  readonly launchRpm: number;
  readonly shiftRpm: number;
  readonly dragM2: number;
}

/** The demo car. */
export const DEMO_CAR: CarData = {
  massKg: 1380,
  engineW: 210_000,
  nitrousW: 110_000,
  grip: 0.82,
  gears: [3.2, 2.05, 1.45, 1.08],
  finalDrive: 3.7,
  tyreM: 1.98,
  launchRpm: 4200,
  shiftRpm: 6450,
  dragM2: 0.72,
};

const GRAVITY = 9.80665;
const AIR_KG_M3 = 1.2;
const IDLE_RPM = 1100;
/** Gauge pressure of the bottle at the start, and how it falls while everything flows. */
const BOTTLE_KPA = 6750;
const BOTTLE_FALL_KPA_S = 55;
const CLOSED_KPA = 32;
const OPEN_KPA = 97;
/** How fast the engine follows when nothing turns it, rpm a second. */
const REV_UP = 14_000;

/** The car's motion. `step` moves it on. */
export class Car {
  readonly data: CarData;
  speedMs = 0;
  rpm = IDLE_RPM;
  manifoldKpa = CLOSED_KPA;
  bottleKpa = BOTTLE_KPA;
  gear = 0;
  going = false;

  constructor(data: CarData) {
    this.data = data;
  }

  private roadRpm(): number {
    const { gears, finalDrive, tyreM } = this.data;
    return ((this.speedMs / tyreM) * 60 * finalDrive * (gears[this.gear] ?? 1)) as number;
  }

  /** Force at the tyres for a power, held by their grip. */
  private force(powerW: number): number {
    const limit = this.data.massKg * GRAVITY * this.data.grip;
    return Math.min(limit, powerW / Math.max(this.speedMs, 3));
  }

  /** Moves on by `dtS`. `share` is the flow now, 0 to 1 of all stages together. */
  step(dtS: number, pedal: number, holdBack: boolean, share: number): void {
    this.manifoldKpa += ((pedal > 0.5 ? OPEN_KPA : CLOSED_KPA) - this.manifoldKpa) * Math.min(1, dtS / 0.05);
    this.bottleKpa -= BOTTLE_FALL_KPA_S * share * dtS;
    this.going ||= pedal > 0.5 && !holdBack && this.rpm > 3000;
    if (this.going) this.roll(dtS, pedal, share);
    this.turn(dtS, pedal);
  }

  private roll(dtS: number, pedal: number, share: number): void {
    const power = pedal * (this.data.engineW + share * this.data.nitrousW);
    const drag = 0.5 * AIR_KG_M3 * this.data.dragM2 * this.speedMs ** 2 + 0.013 * this.data.massKg * GRAVITY;
    this.speedMs = Math.max(0, this.speedMs + ((this.force(power) - drag) / this.data.massKg) * dtS);
    if (this.roadRpm() > this.data.shiftRpm && this.gear < this.data.gears.length - 1) this.gear += 1;
  }

  /** The clutch slips until the road catches up with the launch speed. */
  private turn(dtS: number, pedal: number): void {
    const free = pedal > 0.5 ? this.data.launchRpm : IDLE_RPM;
    const wanted = this.going ? Math.max(this.roadRpm(), free) : free;
    const most = REV_UP * dtS;
    this.rpm += Math.max(-most, Math.min(most, wanted - this.rpm));
  }
}
