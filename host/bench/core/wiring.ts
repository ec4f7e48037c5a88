// What stands behind the controller's outputs: the master relay that follows the keep-alive, the solenoids and their drains.

/** Times of the relay that a controller has to bear, us; a sound one is quicker (see `SOUND_RELAY`). */
const SLOW_RELAY = { closesUs: 20_000, opensUs: 20_000 };
/** As the emulated board has it: four edges and the contact's travel; five milliseconds of hold and five of travel. */
export const SOUND_RELAY: typeof SLOW_RELAY = { closesUs: 12_000, opensUs: 10_000 };
/** A drain that is pulled low still shows a little; one whose coil kicks against a sound clamp, all that its channel can. */
const LOW_MV = 100;
const KICK_MV = 20_480;
/** For so long after switching off a kick shows at least (hardware-notes/circuit-times.md). */
const KICK_US = 1_500;

/** A sound car's wiring; each fault is a field. */
export class Wiring {
  relay: "sound" | "welded" | "dead" = "sound";
  /** Drains held at a voltage by a fault, by pin order. */
  readonly stuckDrainsMv = new Map<number, number>();
  supplyMv = 0;
  /** What contact, fuse and wiring to the drivers lose. */
  dropMv = 0;
  /** Bit n: the suppressor of solenoid n's clamp is shorted, or its load is a lamp: it does not kick. */
  kickless = 0;
  /** Bit n: solenoid pin n was high when its drain was sampled. */
  pins = 0;
  readonly drainsMv: number[] = new Array(8).fill(0);
  private readonly times: typeof SLOW_RELAY;
  private movingUs = 0;
  private closed = false;

  constructor(times = SLOW_RELAY) {
    this.times = times;
  }

  /** Passes `us` under what the core commanded; bit n of `levels`: solenoid pin n is high now. */
  pass(us: number, keepAlive: boolean, batteryMv: number, levels: number): void {
    this.movingUs = keepAlive === this.closed ? 0 : this.movingUs + us;
    const { closesUs, opensUs } = this.times;
    if (this.movingUs >= (keepAlive ? closesUs : opensUs)) {
      this.closed = keepAlive;
      this.movingUs = 0;
    }
    const on = this.relay === "welded" || (this.closed && this.relay === "sound");
    this.supplyMv = on ? Math.max(0, batteryMv - this.dropMv) : 0;
    const kicking = us < KICK_US && on ? this.pins & ~levels & ~this.kickless : 0;
    this.pins = levels;
    for (let n = 0; n < this.drainsMv.length; n++)
      this.drainsMv[n] = (levels >> n) & 1 ? LOW_MV : (kicking >> n) & 1 ? KICK_MV : this.supplyMv;
    if (this.stuckDrainsMv.size > 0) for (const [n, mv] of this.stuckDrainsMv) this.drainsMv[n] = mv;
  }
}
