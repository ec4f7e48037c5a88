// The board's virtual time: one clock for the whole life of a board, alarms in a binary heap, ties in the order they were set.

/** Called when its moment has come; `clock.nanos` is then exactly the time that was asked for. */
export type AlarmCallback = () => void;

/** One alarm. Setting it again moves it; it fires once a setting. */
export class VirtualAlarm {
  readonly callback: AlarmCallback;
  readonly #clock: VirtualClock;
  /** Virtual time at which it fires, ns. */
  ns = 0;
  order = 0;
  /** Place in the heap, -1 when not set. */
  slot = -1;

  constructor(clock: VirtualClock, callback: AlarmCallback) {
    this.#clock = clock;
    this.callback = callback;
  }

  /** Fires `deltaNanos` from now. */
  schedule(deltaNanos: number): void {
    this.#clock.put(this, this.#clock.nanos + deltaNanos);
  }

  /** Fires at virtual time `ns`; a time already past fires at the next chance. */
  scheduleAt(ns: number): void {
    this.#clock.put(this, ns);
  }

  cancel(): void {
    this.#clock.remove(this);
  }

  get scheduled(): boolean {
    return this.slot >= 0;
  }
}

const earlier = (a: VirtualAlarm, b: VirtualAlarm): boolean =>
  a.ns < b.ns || (a.ns === b.ns && a.order < b.order);

/** Virtual nanoseconds since the board was made. Alarms and cycles of 125 MHz are whole numbers, so sums stay exact. */
export class VirtualClock {
  /** Now, ns. */
  nanos = 0;
  /** When the earliest alarm fires, Infinity when none is set. */
  nextNanos = Number.POSITIVE_INFINITY;
  readonly #heap: VirtualAlarm[] = [];
  #orders = 0;

  createAlarm(callback: AlarmCallback): VirtualAlarm {
    return new VirtualAlarm(this, callback);
  }

  /** Sets an alarm, to the nearest whole nanosecond. */
  put(alarm: VirtualAlarm, ns: number): void {
    if (alarm.slot >= 0) this.remove(alarm);
    alarm.ns = Math.round(ns);
    alarm.order = this.#orders++;
    this.#heap.push(alarm);
    this.#up(alarm, this.#heap.length - 1);
    this.nextNanos = this.#heap[0]!.ns;
  }

  remove(alarm: VirtualAlarm): void {
    const slot = alarm.slot;
    if (slot < 0) return;
    alarm.slot = -1;
    const last = this.#heap.pop()!;
    if (last !== alarm) {
      this.#up(last, slot);
      this.#down(last, last.slot);
    }
    this.nextNanos = this.#heap[0]?.ns ?? Number.POSITIVE_INFINITY;
  }

  /** Fires every alarm up to `ns`, each at its own time, and leaves the clock at `ns`. */
  advanceTo(ns: number): void {
    while (this.nextNanos <= ns) {
      const alarm = this.#heap[0]!;
      this.remove(alarm);
      this.nanos = alarm.ns;
      alarm.callback();
    }
    this.nanos = ns;
  }

  /** Moves time up to the next multiple of a clock cycle that is a whole number of ns. */
  alignTo(cycleNs: number): void {
    if (Number.isInteger(cycleNs)) this.nanos = Math.ceil(this.nanos / cycleNs) * cycleNs;
  }

  #up(alarm: VirtualAlarm, from: number): void {
    let slot = from;
    while (slot > 0) {
      const parent = (slot - 1) >> 1;
      if (!earlier(alarm, this.#heap[parent]!)) break;
      this.#place(this.#heap[parent]!, slot);
      slot = parent;
    }
    this.#place(alarm, slot);
  }

  #down(alarm: VirtualAlarm, from: number): void {
    const size = this.#heap.length;
    let slot = from;
    for (;;) {
      let child = 2 * slot + 1;
      if (child >= size) break;
      if (child + 1 < size && earlier(this.#heap[child + 1]!, this.#heap[child]!)) child++;
      if (!earlier(this.#heap[child]!, alarm)) break;
      this.#place(this.#heap[child]!, slot);
      slot = child;
    }
    this.#place(alarm, slot);
  }

  #place(alarm: VirtualAlarm, slot: number): void {
    this.#heap[slot] = alarm;
    alarm.slot = slot;
  }
}

/** The part of the clock that one chip sees: all its alarms end with it. */
export class ChipClock {
  readonly board: VirtualClock;
  #alarms: VirtualAlarm[] = [];
  #disposed = false;

  constructor(board: VirtualClock) {
    this.board = board;
  }

  get nanos(): number {
    return this.board.nanos;
  }

  createAlarm(callback: AlarmCallback): VirtualAlarm {
    const alarm = this.board.createAlarm(() => {
      if (!this.#disposed) callback();
    });
    this.#alarms.push(alarm);
    return alarm;
  }

  dispose(): void {
    this.#disposed = true;
    for (const alarm of this.#alarms) alarm.cancel();
    this.#alarms = [];
  }
}
