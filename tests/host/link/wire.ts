// A serial wire between a client and the device twin in virtual time: bytes take their time, and can be damaged on the way.
import { Duplex } from "node:stream";
import type { Line } from "#host/link/line.ts";
import { DeviceTwin } from "./twin.ts";
import { VirtualClock } from "./virtual-clock.ts";

/** What the wire does to a piece of bytes under way; an empty list loses it. */
export type Damage = (bytes: number[], direction: "toDevice" | "toHost") => number[][];

/** Client end of the wire, device behind it. */
export class Wire implements Line {
  readonly name = "virtual";
  readonly clock: VirtualClock;
  readonly device: DeviceTwin;
  readonly stream: Duplex;
  baud = 115_200;
  damage: Damage = (bytes) => [bytes];
  /** Called with all bytes that have gone towards the device so far, before it gets the last of them. */
  watch: (sentBytes: number) => void = () => {};
  closed = false;
  private sentBytes = 0;
  /** When each direction has nothing more to carry: they do not wait for each other. */
  private readonly freeAtMs = { toDevice: 0, toHost: 0 };
  private lastGoodMs = 0;

  constructor(device = new DeviceTwin(), clock = new VirtualClock()) {
    this.clock = clock;
    this.device = device;
    this.stream = new Duplex({
      read() {},
      write: (chunk: Buffer, _, done) => {
        this.carry([...chunk], "toDevice", this.baud);
        done();
      },
    });
    this.stream.on("error", () => {});
  }

  /** Sends bytes off at the speed that their sender has now. */
  private carry(bytes: number[], direction: "toDevice" | "toHost", speed: number): void {
    for (const part of this.damage(bytes, direction)) {
      const start = Math.max(this.freeAtMs[direction], this.clock.nowMs());
      this.freeAtMs[direction] = start + (part.length * 10_000) / speed;
      this.clock.after(this.freeAtMs[direction] - this.clock.nowMs(), () =>
        this.arrive(part, direction, speed),
      );
    }
  }

  private arrive(bytes: number[], direction: "toDevice" | "toHost", speed: number): void {
    if (this.stream.destroyed) return;
    const heardAt = (ears: number): number[] =>
      ears === speed ? bytes : bytes.map((byte) => (byte * 37 + 11) % 256);
    if (direction === "toHost") {
      this.stream.push(Buffer.from(heardAt(this.baud)));
      return;
    }
    this.sentBytes += bytes.length;
    this.watch(this.sentBytes);
    if (this.stream.destroyed) return;
    this.fallBack();
    const before = this.device.state.baud;
    const answer = this.device.receive(heardAt(before));
    if (answer.length === 0) return;
    this.lastGoodMs = this.clock.nowMs();
    this.carry(answer, "toHost", before);
  }

  /** After 3 s without a good frame the device is at its first speed again. */
  private fallBack(): void {
    if (this.clock.nowMs() - this.lastGoodMs > 3000) this.device.state.baud = 115_200;
  }

  /** The adapter is pulled out. */
  unplug(): void {
    this.stream.destroy(Object.assign(new Error("the device was removed"), { disconnected: true }));
  }

  async setBaud(baud: number): Promise<void> {
    this.baud = baud;
  }

  async close(): Promise<void> {
    this.closed = true;
    this.stream.destroy();
  }
}
