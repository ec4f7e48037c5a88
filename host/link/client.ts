// Sends requests over a line: each is numbered, and repeated until it is answered. Every wait has a deadline.
import { Failure } from "#host/errors/failure.ts";
import { systemWords } from "#host/errors/system-words.ts";
import { ANSWER_BIT, BAUD_FALLBACK_US, type Message, REFUSAL_KIND } from "#shared-schema/link/messages.ts";
import { type Clock, realClock } from "./clock.ts";
import { decodeFrame, encodeFrame, type Frame, frameBytes } from "./frame.ts";
import type { Line } from "./line.ts";
import { messageNamed, refusalOf, wrongAnswer } from "./message.ts";
import { Pace } from "./pace.ts";
import { type Decoded, decodePayload, encodePayload, type Values } from "./payload.ts";
import { FrameSplitter } from "./splitter.ts";
import { type Outcome, Waiting } from "./waiting.ts";

/** Counters of a client. */
export interface LinkCounts {
  requests: number;
  /** Requests that were repeated because their answer was missing or damaged. */
  repeats: number;
  /** Damaged frames received. */
  damaged: number;
  /** Undamaged frames that no request was waiting for: late duplicates. */
  stray: number;
  /** Undamaged frames that are requests: the line echoes what was sent. */
  echoes: number;
  bytesIn: number;
  bytesOut: number;
}

export interface ClientOptions {
  readonly clock?: Clock;
  /** Sequence number of the first request, 0 to 255. Any value works. */
  readonly firstSequence?: number;
  /** How long to repeat one request while nothing at all is received. */
  readonly patienceMs?: number;
  /** Aborts every wait when the user interrupts. */
  readonly signal?: AbortSignal;
}

/** Options of a single request. */
export interface RequestOptions {
  readonly tail?: Uint8Array;
  /** A longer wait than usual, for work on the flash chip. */
  readonly patienceMs?: number;
  /** Total time for this request, whatever is received in the meantime. */
  readonly withinMs?: number;
}

/** A request that is sent once. */
export interface Post {
  readonly name: string;
  readonly values: Values;
  readonly tail?: Uint8Array;
}

/** A request in its encoded form. */
interface Asked {
  readonly message: Message;
  readonly sequence: number;
  readonly bytes: Uint8Array;
}

/** Bytes of a request together with its longest answer. */
const bytesOf = ({ message, bytes }: Asked): number =>
  bytes.length + frameBytes(message.answer, message.answer.tail);

/** Longest piece. Two of these, with their frames, fit into the controller's receive buffer. */
export const MOST_PIECE_BYTES = 480;
/** Longer than the controller needs to fall back from another speed, at which an earlier session may have left it. */
const PATIENCE_MS = BAUD_FALLBACK_US / 1000 + 600;
/** Longest time for one request while bytes are received: from a controller, and from a device that shows no sign of being one. */
const NOISY_MS = 30_000;
const STRANGE_MS = 10_000;

/** The client side of the link. */
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
  /** Length in bytes of the pieces in which long data is moved. It adapts to what the line carries. */
  pieceBytes = MOST_PIECE_BYTES;
  private readonly patienceMs: number;
  private readonly pace = new Pace();
  private readonly waiting: Waiting;
  private sequence: number;
  private ended: Failure | undefined;
  /** An undamaged frame was received, or a damaged one that began like an answer. */
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
    stream.on("error", (cause: Error) => this.lost(systemWords(cause), cause));
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
   * Sends a request, repeats it as needed, and waits for its answer. Requests made in the meantime are queued.
   * Fails with `Refused`, `wrong-answer`, `line-echo`, `silent`, `not-headgate`, `link-timeout`, `link-lost` or `interrupted`.
   */
  request(name: string, values: Values = {}, options: RequestOptions = {}): Promise<Decoded> {
    const turn = this.queue.then(() => this.ask(messageNamed(name), values, options));
    this.queue = turn.catch(() => undefined);
    return turn;
  }

  /**
   * Sends a request once, even while others are outstanding. Returns undefined when no answer came in time; the caller then
   * sends it again. `wireBytes` counts this request and those before it, with their answers. Fails with `Refused`, `link-lost` or `interrupted`.
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

  /** Is a request that has made no progress since `sinceMs` still worth repeating? */
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

  /** Sends once and waits for at most this long. */
  private async send({ message, sequence, bytes }: Asked, ms: number): Promise<Frame | undefined> {
    if (this.ended) throw this.ended;
    const waits: Promise<Outcome> = this.waiting.wait(message, sequence, ms);
    this.counts.bytesOut += bytes.length;
    this.line.stream.write(bytes, (error) => {
      if (error) this.lost(systemWords(error), error);
    });
    const outcome = await waits;
    if (outcome instanceof Failure) throw outcome;
    return outcome;
  }

  /** The check sum is right, so an answer of another length is not damaged, and repeating the request would not change it. */
  private understand(message: Message, frame: Frame | undefined): Decoded | undefined {
    if (frame === undefined) return undefined;
    if (frame.kind === REFUSAL_KIND) throw refusalOf(message, frame.payload);
    const decoded = decodePayload(message.answer, frame.payload);
    if (decoded === undefined) throw wrongAnswer(message, frame.payload.length);
    return decoded;
  }

  /** Why a request was not answered: `link-timeout`, `line-echo`, `not-headgate` or `silent`. */
  noAnswer(request: string): Failure {
    if (this.heard) return new Failure("link-timeout", { data: { request } });
    if (this.counts.echoes > 0) return new Failure("line-echo", { data: { line: this.line.name } });
    return new Failure(this.counts.bytesIn > 0 ? "not-headgate" : "silent", {
      data: { line: this.line.name },
    });
  }

  /** Aborts every wait and closes the line. */
  async close(): Promise<void> {
    this.end(new Failure("link-lost", { what: "the line was closed" }));
    await this.line.close();
  }
}
