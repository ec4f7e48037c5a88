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
  /** Called with all bytes that the host has sent so far. */
  watch: (sentBytes: number) => void = () => {};
  closed = false;
  private sentBytes = 0;
  private freeAtMs = 0;

  constructor(device = new DeviceTwin(), clock = new VirtualClock()) {
    this.clock = clock;
    this.device = device;
    this.stream = new Duplex({
      read() {},
      write: (chunk: Buffer, _, done) => {
        this.sentBytes += chunk.length;
        this.watch(this.sentBytes);
        this.carry([...chunk], "toDevice");
        done();
      },
    });
    this.stream.on("error", () => {});
  }

  private carry(bytes: number[], direction: "toDevice" | "toHost"): void {
    for (const part of this.damage(bytes, direction)) {
      const start = Math.max(this.freeAtMs, this.clock.nowMs());
      this.freeAtMs = start + (part.length * 10_000) / this.baud;
      this.clock.after(this.freeAtMs - this.clock.nowMs(), () => this.arrive(part, direction));
    }
  }

  private arrive(bytes: number[], direction: "toDevice" | "toHost"): void {
    if (this.stream.destroyed) return;
    const heard = this.device.state.baud === this.baud ? bytes : bytes.map((byte) => (byte * 37 + 11) % 256);
    if (direction === "toHost") this.stream.push(Buffer.from(heard));
    else {
      const answer = this.device.receive(heard);
      if (answer.length > 0) this.carry(answer, "toHost");
    }
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
