// Requests over a line: numbered, answered or repeated, with a deadline on every wait.
import { Failure } from "#host/errors/failure.ts";
import { ANSWER_BIT, BAUD_FALLBACK_US, type Message, REFUSAL_KIND } from "#shared-schema/link/messages.ts";
import { type Clock, realClock } from "./clock.ts";
import { decodeFrame, encodeFrame, type Frame, frameBytes } from "./frame.ts";
import type { Line } from "./line.ts";
import { messageNamed, refusalOf, wrongAnswer } from "./message.ts";
import { Pace } from "./pace.ts";
import { type Decoded, decodePayload, encodePayload, type Values } from "./payload.ts";
import { FrameSplitter } from "./splitter.ts";
import { type Outcome, Waiting } from "./waiting.ts";

/** What a client counts. */
export interface LinkCounts {
  requests: number;
  /** Requests sent again because no answer came, or a damaged one. */
  repeats: number;
  /** Frames that came damaged. */
  damaged: number;
  /** Good frames that nobody was waiting for: late doubles. */
  stray: number;
  /** Good frames that are requests: what was sent comes back. */
  echoes: number;
  bytesIn: number;
  bytesOut: number;
}

export interface ClientOptions {
  readonly clock?: Clock;
  /** Number of the first request, 0 to 255; any will do. */
  readonly firstSequence?: number;
  /** How long to go on repeating one request while nothing at all comes back. */
  readonly patienceMs?: number;
  /** Ends every wait when the user interrupts. */
  readonly signal?: AbortSignal;
}

/** What a single request can ask for beyond its payload. */
export interface RequestOptions {
  readonly tail?: Uint8Array;
  /** More patience than usual: flash work. */
  readonly patienceMs?: number;
  /** The whole time for this request, whatever comes back meanwhile. */
  readonly withinMs?: number;
}

/** A request that is sent once. */
export interface Post {
  readonly name: string;
  readonly values: Values;
  readonly tail?: Uint8Array;
}

/** A request as it goes over the line. */
interface Asked {
  readonly message: Message;
  readonly sequence: number;
  readonly bytes: Uint8Array;
}

/** Bytes of a request and of its longest answer. */
const bytesOf = ({ message, bytes }: Asked): number =>
  bytes.length + frameBytes(message.answer, message.answer.tail);

/** Longest piece: two of them with their frames fit into the controller's receive ring. */
export const MOST_PIECE_BYTES = 480;
/** Longer than the controller takes to come back from another speed, in which an earlier session may have left it. */
const PATIENCE_MS = BAUD_FALLBACK_US / 1000 + 600;
/** Longest time for one request while bytes do come back: from a controller, and from what shows no sign of being one. */
const NOISY_MS = 30_000;
const STRANGE_MS = 10_000;

/** Client side of the link. */
export class LinkClient {
  readonly line: Line;
  readonly counts: LinkCounts = {
    requests: 0,
    repeats: 0,
    damaged: 0,
    stray: 0,
    echoes: 0,
    bytesIn: 0,
    bytesOut: 0,
  };
  readonly clock: Clock;
  /** Length of the pieces in which more than one request can hold is moved, bytes; it follows what the line carries. */
  pieceBytes = MOST_PIECE_BYTES;
  private readonly patienceMs: number;
  private readonly pace = new Pace();
  private readonly waiting: Waiting;
  private sequence: number;
  private ended: Failure | undefined;
  /** A good frame came, or a damaged one that began like an answer. */
  private heard = false;
  private lastByteMs = 0;
  private queue: Promise<unknown> = Promise.resolve();

  constructor(line: Line, options: ClientOptions = {}) {
    this.line = line;
    this.clock = options.clock ?? realClock;
    this.waiting = new Waiting(this.clock);
    this.patienceMs = options.patienceMs ?? PATIENCE_MS;
    this.sequence = options.firstSequence ?? Math.floor(Math.random() * 256);
    this.listen();
    options.signal?.addEventListener("abort", () => this.end(new Failure("interrupted")), { once: true });
    if (options.signal?.aborted) this.end(new Failure("interrupted"));
  }

  private listen(): void {
    const { stream } = this.line;
    const splitter = new FrameSplitter();
    stream.on("data", (chunk: Uint8Array) => {
      this.counts.bytesIn += chunk.length;
      this.lastByteMs = this.clock.nowMs();
    });
    splitter.on("data", (piece: Uint8Array) => this.take(piece));
    stream.on("error", (cause: Error) => this.lost(cause.message, cause));
    stream.on("close", () => this.lost("the port is gone"));
    stream.on("end", () => this.lost("the other end closed the line"));
    stream.pipe(splitter);
  }

  private lost(why: string, cause?: unknown): void {
    this.end(new Failure("link-lost", { what: `the line to the controller was lost: ${why}`, cause }));
  }

  private end(failure: Failure): void {
    this.ended ??= failure;
    this.waiting.end(this.ended);
  }

  private take(piece: Uint8Array): void {
    if (piece.length === 0) return;
    const frame = decodeFrame(piece);
    if (frame && (frame.kind & ANSWER_BIT) === 0) {
      this.counts.echoes++;
      return;
    }
    this.heard ||= frame !== undefined || this.waiting.resembles(piece);
    if (frame === undefined) {
      this.counts.damaged++;
      this.waiting.hurry();
    } else if (!this.waiting.take(frame)) this.counts.stray++;
  }

  /**
   * Sends a request, again and again where needed, and waits for its answer. Requests made meanwhile wait their turn.
   * Fails with `Refused`, `wrong-answer`, `line-echo`, `silent`, `not-headgate`, `link-timeout`, `link-lost` or `interrupted`.
   */
  request(name: string, values: Values = {}, options: RequestOptions = {}): Promise<Decoded> {
    const turn = this.queue.then(() => this.ask(messageNamed(name), values, options));
    this.queue = turn.catch(() => undefined);
    return turn;
  }

  /**
   * Sends a request once, whatever else is on its way; undefined when no answer came in time: to be sent again.
   * `wireBytes`: what is on its way with it and before it, answers included. Fails with `Refused`, `link-lost` or `interrupted`.
   */
  async post({ name, values, tail }: Post, wireBytes: number): Promise<Decoded | undefined> {
    const asked = this.asked(messageNamed(name), values, tail);
    const ms = this.pace.waitMs(0, Pace.wireMs(wireBytes, this.line.baud));
    const answer = this.understand(asked.message, await this.send(asked, ms));
    if (answer === undefined) this.counts.repeats++;
    return answer;
  }

  private asked(message: Message, values: Values, tail?: Uint8Array): Asked {
    this.sequence = (this.sequence + 1) & 0xff;
    this.counts.requests++;
    const { sequence } = this;
    const payload = encodePayload(message.request, values, tail);
    return { message, sequence, bytes: encodeFrame({ sequence, kind: message.kind, payload }) };
  }

  private async ask(message: Message, values: Values, options: RequestOptions): Promise<Decoded> {
    const asked = this.asked(message, values, options.tail);
    const startMs = this.clock.nowMs();
    for (let attempt = 0; attempt === 0 || this.patient(startMs, options); attempt++) {
      if (attempt > 0) this.counts.repeats++;
      const decoded = await this.attempt(asked, attempt);
      if (decoded) return decoded;
    }
    throw this.noAnswer(message.name);
  }

  /** Is it still worth repeating what has not got on since `sinceMs`? */
  patient(sinceMs: number, options: RequestOptions = {}): boolean {
    const now = this.clock.nowMs();
    if (options.withinMs !== undefined) return now < sinceMs + options.withinMs;
    const patienceMs = Math.max(options.patienceMs ?? 0, this.patienceMs);
    const most = Math.max(patienceMs, this.heard ? NOISY_MS : STRANGE_MS);
    return now < Math.max(sinceMs, this.lastByteMs) + patienceMs && now < sinceMs + most;
  }

  private async attempt(asked: Asked, attempt: number): Promise<Decoded | undefined> {
    const started = this.clock.nowMs();
    const ms = this.pace.waitMs(attempt, Pace.wireMs(bytesOf(asked), this.line.baud));
    const again = attempt === 0 ? asked : { ...asked, bytes: Uint8Array.from([0, ...asked.bytes]) };
    const outcome = await this.send(again, ms);
    if (outcome) this.pace.learn(this.clock.nowMs() - started);
    return this.understand(asked.message, outcome);
  }

  /** Sends once and waits so long at most. */
  private async send({ message, sequence, bytes }: Asked, ms: number): Promise<Frame | undefined> {
    if (this.ended) throw this.ended;
    const waits: Promise<Outcome> = this.waiting.wait(message, sequence, ms);
    this.counts.bytesOut += bytes.length;
    this.line.stream.write(bytes, (error) => {
      if (error) this.lost(error.message, error);
    });
    const outcome = await waits;
    if (outcome instanceof Failure) throw outcome;
    return outcome;
  }

  /** Its check sum is right: an answer of another length is no damage, and asking again would not change it. */
  private understand(message: Message, frame: Frame | undefined): Decoded | undefined {
    if (frame === undefined) return undefined;
    if (frame.kind === REFUSAL_KIND) throw refusalOf(message, frame.payload);
    const decoded = decodePayload(message.answer, frame.payload);
    if (decoded === undefined) throw wrongAnswer(message, frame.payload.length);
    return decoded;
  }

  /** Why nothing came in answer to a request: `link-timeout`, `line-echo`, `not-headgate` or `silent`. */
  noAnswer(request: string): Failure {
    if (this.heard) return new Failure("link-timeout", { data: { request } });
    if (this.counts.echoes > 0) return new Failure("line-echo", { data: { line: this.line.name } });
    return new Failure(this.counts.bytesIn > 0 ? "not-headgate" : "silent", {
      data: { line: this.line.name },
    });
  }

  /** Ends all waiting and closes the line. */
  async close(): Promise<void> {
    this.end(new Failure("link-lost", { what: "the line was closed" }));
    await this.line.close();
  }
}
