// What stands behind the controller's outputs: the master relay that follows the keep-alive, the solenoids and their drains.
const RELAY_US = 20_000;
/** A drain that is pulled low still shows a little. */
const LOW_MV = 100;

/** A sound car's wiring; each fault is a field. */
export class Wiring {
  relay: "sound" | "welded" | "dead" = "sound";
  /** Drains held at a voltage by a fault, by pin order. */
  readonly stuckDrainsMv = new Map<number, number>();
  supplyMv = 0;
  /** What contact, fuse and wiring to the drivers lose. */
  dropMv = 0;
  /** Bit n: solenoid pin n was high when its drain was sampled. */
  pins = 0;
  readonly drainsMv: number[] = new Array(8).fill(0);
  private keepAliveUs = 0;
  private closed = false;

  /** Passes `us` under what the core commanded; `levels` are those of the solenoid pins now. */
  pass(us: number, keepAlive: boolean, batteryMv: number, levels: readonly boolean[]): void {
    this.keepAliveUs = keepAlive === this.closed ? 0 : this.keepAliveUs + us;
    if (this.keepAliveUs >= RELAY_US) this.closed = keepAlive;
    const on = this.relay === "welded" || (this.closed && this.relay === "sound");
    this.supplyMv = on ? Math.max(0, batteryMv - this.dropMv) : 0;
    this.pins = 0;
    levels.forEach((high, n) => {
      if (high) this.pins |= 1 << n;
      this.drainsMv[n] = this.stuckDrainsMv.get(n) ?? (high ? LOW_MV : this.supplyMv);
    });
  }
}
