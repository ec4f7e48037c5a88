// One request at a time over a line: numbered, repeated until answered, with a deadline on every wait.
import { Failure } from "#host/errors/failure.ts";
import { ANSWER_BIT, type Message, packedBytes, REFUSAL_KIND } from "#shared-schema/messages.ts";
import { type Clock, realClock } from "./clock.ts";
import { decodeFrame, encodeFrame, type Frame } from "./frame.ts";
import type { Line } from "./line.ts";
import { messageNamed, Refused } from "./message.ts";
import { Pace } from "./pace.ts";
import { type Decoded, decodePayload, encodePayload, type Values } from "./payload.ts";
import { FrameSplitter } from "./splitter.ts";

/** What a client counts. */
export interface LinkCounts {
  requests: number;
  /** Requests sent again because no answer came, or a damaged one. */
  repeats: number;
  /** Frames that came damaged. */
  damaged: number;
  /** Good frames that nobody was waiting for: late doubles. */
  stray: number;
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

interface Waiting {
  readonly message: Message;
  readonly sequence: number;
  readonly settle: (outcome: Frame | Failure) => void;
  /** Something came that may have been the answer: it need not be waited for much longer. */
  readonly hurry: () => void;
}

const PATIENCE_MS = 3000;
/** Longest time for one request while bytes do come back: from a controller, and from what has not answered yet. */
const NOISY_MS = 30_000;
const STRANGE_MS = 10_000;
/** After a damaged frame the same request is sent again so much later. */
const AFTER_DAMAGE_MS = 10;

/** Is it the answer to this message, or its refusal? A refusal names the kind that it refuses. */
function answers({ kind, payload }: Frame, message: Message): boolean {
  return kind === REFUSAL_KIND ? payload[0] === message.kind : kind === (message.kind | ANSWER_BIT);
}

/** Client side of the link. */
export class LinkClient {
  readonly line: Line;
  readonly counts: LinkCounts = { requests: 0, repeats: 0, damaged: 0, stray: 0, bytesIn: 0, bytesOut: 0 };
  private readonly clock: Clock;
  private readonly patienceMs: number;
  private readonly pace = new Pace();
  private sequence: number;
  private waiting: Waiting | undefined;
  private ended: Failure | undefined;
  private heard = false;
  private lastByteMs = 0;
  private queue: Promise<unknown> = Promise.resolve();

  constructor(line: Line, options: ClientOptions = {}) {
    this.line = line;
    this.clock = options.clock ?? realClock;
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
    this.waiting?.settle(this.ended);
  }

  private take(piece: Uint8Array): void {
    if (piece.length === 0) return;
    const frame = decodeFrame(piece);
    if (frame === undefined) {
      this.counts.damaged++;
      this.waiting?.hurry();
      return;
    }
    this.heard = true;
    const { waiting } = this;
    if (waiting?.sequence === frame.sequence && answers(frame, waiting.message)) waiting.settle(frame);
    else this.counts.stray++;
  }

  /**
   * Sends a request and waits for its answer. Requests made meanwhile wait their turn.
   * Fails with `Refused`, `silent`, `not-headgate`, `link-timeout`, `link-lost` or `interrupted`.
   */
  request(name: string, values: Values = {}, options: RequestOptions = {}): Promise<Decoded> {
    const turn = this.queue.then(() => this.ask(messageNamed(name), values, options));
    this.queue = turn.catch(() => undefined);
    return turn;
  }

  private async ask(message: Message, values: Values, options: RequestOptions): Promise<Decoded> {
    this.sequence = (this.sequence + 1) & 0xff;
    this.counts.requests++;
    const payload = encodePayload(message.request, values, options.tail);
    const bytes = encodeFrame({ sequence: this.sequence, kind: message.kind, payload });
    const { baud } = this.line;
    const answerBytes = packedBytes(message.answer) + (message.answer.tail ?? 0) + 10;
    const wireMs = Pace.wireMs(bytes.length + answerBytes, baud);
    const startMs = this.clock.nowMs();
    for (let attempt = 0; attempt === 0 || this.patient(startMs, options); attempt++) {
      if (attempt > 0) this.counts.repeats++;
      const outcome = await this.attempt(message, bytes, attempt, wireMs);
      if (outcome instanceof Failure) throw outcome;
      const decoded = outcome && this.understand(message, outcome);
      if (decoded) return decoded;
    }
    throw this.noAnswer(message);
  }

  private patient(startMs: number, options: RequestOptions): boolean {
    const now = this.clock.nowMs();
    if (options.withinMs !== undefined) return now < startMs + options.withinMs;
    const patienceMs = Math.max(options.patienceMs ?? 0, this.patienceMs);
    const most = Math.max(patienceMs, this.heard ? NOISY_MS : STRANGE_MS);
    return now < Math.max(startMs, this.lastByteMs) + patienceMs && now < startMs + most;
  }

  /** An answer of the wrong length counts as damage. */
  private understand(message: Message, frame: Frame): Decoded | undefined {
    if (frame.kind === REFUSAL_KIND) throw new Refused(message, frame.payload);
    const decoded = decodePayload(message.answer, frame.payload);
    if (decoded === undefined) this.counts.damaged++;
    return decoded;
  }

  /** Sends once; undefined when nothing usable came in time. */
  private async attempt(
    message: Message,
    bytes: Uint8Array,
    attempt: number,
    wireMs: number,
  ): Promise<Frame | Failure | undefined> {
    if (this.ended) return this.ended;
    const started = this.clock.nowMs();
    const outcome = await this.wait(message, this.pace.waitMs(attempt, wireMs), () =>
      this.send(attempt === 0 ? bytes : Uint8Array.from([0, ...bytes])),
    );
    const answered = outcome !== undefined && !(outcome instanceof Failure);
    if (answered) this.pace.learn(this.clock.nowMs() - started);
    return outcome;
  }

  /** Waits for the answer to what `send` sends; undefined when none came in time. */
  private async wait(message: Message, ms: number, send: () => void): Promise<Frame | Failure | undefined> {
    const outcome = await new Promise<Frame | Failure | undefined>((resolve) => {
      const callOff = [this.clock.after(ms, () => resolve(undefined))];
      const settle = (value: Frame | Failure): void => {
        for (const off of callOff) off();
        resolve(value);
      };
      const hurry = (): void => {
        if (callOff.length === 1) callOff.push(this.clock.after(AFTER_DAMAGE_MS, () => resolve(undefined)));
      };
      this.waiting = { message, sequence: this.sequence, settle, hurry };
      send();
    });
    this.waiting = undefined;
    return outcome;
  }

  private send(bytes: Uint8Array): void {
    this.counts.bytesOut += bytes.length;
    this.line.stream.write(bytes, (error) => {
      if (error) this.lost(error.message, error);
    });
  }

  private noAnswer(message: Message): Failure {
    if (this.heard) return new Failure("link-timeout", { data: { request: message.name } });
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
