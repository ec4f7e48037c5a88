// Moves many units in pieces, with several pieces outstanding at once. A lost piece halves the size of the next ones; an acknowledged piece lets it grow.
import { type LinkClient, MOST_PIECE_BYTES, type Post } from "./client.ts";
import { frameBytes } from "./frame.ts";
import { messageNamed } from "./message.ts";
import type { Decoded } from "./payload.ts";

/** Most bytes outstanding in the busier direction: the controller's receive buffer holds 1024 bytes. */
const WINDOW_BYTES = 1000;
/** Shortest piece, unless one unit is longer; also the step by which pieces grow. */
const GROW_BYTES = 16;

/** Called with the number of units done and the total. */
export type Progress = (done: number, all: number) => void;

/** Units that are moved by requests of one kind. A request must be safe to repeat and to reorder. */
export interface Work {
  /** Name of the message. */
  readonly name: string;
  readonly units: number;
  readonly unitBytes: number;
  /** Do the bytes travel with the request, or with its answer? */
  readonly outward: boolean;
  /** The request that moves `count` units from `first` on. */
  readonly post: (first: number, count: number) => Omit<Post, "name">;
  /** Handles its answer. Returns the units that are then done, or undefined when it is not an answer to this request. */
  readonly take: (answer: Decoded, first: number, count: number) => Iterable<number> | undefined;
  readonly progress?: Progress | undefined;
}

const MISSING = 0;
const ASKED = 1;
const DONE = 2;

/** This many consecutive numbers from `first`. */
export const countFrom = (first: number, count: number): number[] =>
  Array.from({ length: count }, (_, i) => first + i);

/** One transfer in progress. */
class Mover {
  private readonly client: LinkClient;
  private readonly work: Work;
  private readonly state: Uint8Array;
  private left: number;
  private progressMs: number;
  /** Outstanding bytes: in the busier direction, and in both together. */
  private busy = 0;
  private both = 0;

  constructor(client: LinkClient, work: Work) {
    this.client = client;
    this.work = work;
    this.state = new Uint8Array(work.units);
    this.left = work.units;
    this.progressMs = client.clock.nowMs();
  }

  finish(units: Iterable<number>): void {
    const before = this.left;
    for (const unit of units) {
      if (unit >= this.work.units || this.state[unit] === DONE) continue;
      this.state[unit] = DONE;
      this.left--;
    }
    if (this.left < before) this.progressMs = this.client.clock.nowMs();
    this.work.progress?.(this.work.units - this.left, this.work.units);
  }

  async run(): Promise<void> {
    const flights = new Set<Promise<void>>();
    const crashes: unknown[] = [];
    while (this.left > 0) {
      for (let flight = this.next(); flight; flight = this.next()) {
        const landed = flight
          .catch((thrown: unknown) => void crashes.push(thrown))
          .finally(() => flights.delete(landed));
        flights.add(landed);
      }
      await Promise.race(flights);
      if (crashes.length > 0) throw crashes[0];
    }
  }

  /** Sends the next piece if units are missing and there is room. */
  private next(): Promise<void> | undefined {
    const { unitBytes, outward, name } = this.work;
    const first = this.state.indexOf(MISSING);
    if (first < 0) return undefined;
    const most = Math.max(1, Math.floor(this.client.pieceBytes / unitBytes));
    let count = 1;
    while (count < most && this.state[first + count] === MISSING) count++;
    const { request, answer } = messageNamed(name);
    const bytes = count * unitBytes;
    const there = frameBytes(request, outward ? bytes : 0);
    const back = frameBytes(answer, outward ? 0 : bytes);
    const busy = Math.max(there, back);
    if (this.busy > 0 && this.busy + busy > WINDOW_BYTES) return undefined;
    return this.fly(first, count, { busy, both: there + back });
  }

  private async fly(first: number, count: number, cost: { busy: number; both: number }): Promise<void> {
    this.state.fill(ASKED, first, first + count);
    this.busy += cost.busy;
    this.both += cost.both;
    const { name, post, take } = this.work;
    const answer = await this.client.post({ name, ...post(first, count) }, this.both);
    this.busy -= cost.busy;
    this.both -= cost.both;
    const done = answer && take(answer, first, count);
    if (done) this.finish(done);
    for (let unit = first; unit < first + count; unit++)
      if (this.state[unit] === ASKED) this.state[unit] = MISSING;
    this.adapt(done !== undefined);
  }

  private adapt(arrived: boolean): void {
    const { client } = this;
    const bytes = arrived ? client.pieceBytes + GROW_BYTES : client.pieceBytes >> 1;
    client.pieceBytes = Math.min(MOST_PIECE_BYTES, Math.max(GROW_BYTES, bytes));
    if (!arrived && !client.patient(this.progressMs)) throw client.noAnswer(this.work.name);
  }
}

/** Moves all units except those that are there already. Fails as a request does when it makes no progress. */
export async function inPieces(client: LinkClient, work: Work, there: Iterable<number> = []): Promise<void> {
  const mover = new Mover(client, work);
  mover.finish(there);
  await mover.run();
}
