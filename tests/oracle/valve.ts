// A solenoid valve as a thing with a state: it opens when its coil has had current for its opening time, shuts when it has had none for its closing time, and adds up what flows.

/** Times of a valve at the voltage of the moment, microseconds. */
export interface ValveTimes {
  readonly openingUs: number;
  readonly closingUs: number;
}

/** One valve, followed from edge to edge of its pin. Time never goes back. */
export class Valve {
  times: ValveTimes;
  /** How long it has flowed, microseconds. */
  flowedUs = 0;
  open = false;
  private level = false;
  private atUs: number;
  /** When it will have moved to where its coil drives it; undefined while it is there. */
  private movesUs: number | undefined;

  constructor(times: ValveTimes, atUs: number) {
    this.times = times;
    this.atUs = atUs;
  }

  /** The coil has or has no current from `us` on. */
  drive(level: boolean, us: number): void {
    this.pass(us);
    if (level === this.level) return;
    this.level = level;
    this.movesUs =
      level === this.open ? undefined : us + (level ? this.times.openingUs : this.times.closingUs);
  }

  /** Lets time go by until `us`. */
  pass(us: number): void {
    if (this.movesUs !== undefined && this.movesUs <= us) {
      this.count(this.movesUs);
      this.open = this.level;
      this.movesUs = undefined;
    }
    this.count(us);
  }

  private count(us: number): void {
    if (this.open) this.flowedUs += us - this.atUs;
    this.atUs = us;
  }

  /** Shut, and nothing on its way to open it. */
  get atRest(): boolean {
    return !this.open && !this.level;
  }
}
