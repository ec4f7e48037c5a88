// Outstanding requests, in the order in which they were sent. None waits for its answer beyond its deadline.
import type { Failure } from "#host/errors/failure.ts";
import { ANSWER_BIT, type Message, REFUSAL_KIND } from "#shared-schema/link/messages.ts";
import type { Clock } from "./clock.ts";
import type { Frame } from "./frame.ts";

/** The outcome of a request; undefined when no usable answer came in time. */
export type Outcome = Frame | Failure | undefined;

interface Entry {
  readonly message: Message;
  readonly settle: (outcome: Outcome) => void;
  readonly hurry: () => void;
}

/** Longest wait after a damaged frame, because that frame may have been the answer. */
const AFTER_DAMAGE_MS = 10;

/** Is this the answer to the message, or its refusal? A refusal names the kind that it refuses. */
function answers({ kind, payload }: Frame, message: Message): boolean {
  return kind === REFUSAL_KIND ? payload[0] === message.kind : kind === (message.kind | ANSWER_BIT);
}

/** The unanswered requests by sequence number. */
export class Waiting {
  private readonly clock: Clock;
  private readonly entries = new Map<number, Entry>();

  constructor(clock: Clock) {
    this.clock = clock;
  }

  /** Resolves with the answer to this request, or after `ms` without one. */
  wait(message: Message, sequence: number, ms: number): Promise<Outcome> {
    return new Promise((resolve) => {
      const callOff: (() => void)[] = [];
      const settle = (outcome: Outcome): void => {
        for (const off of callOff) off();
        this.entries.delete(sequence);
        resolve(outcome);
      };
      const within = (limitMs: number): unknown =>
        callOff.push(this.clock.after(limitMs, () => settle(undefined)));
      const hurry = (): void => {
        if (callOff.length === 1) within(AFTER_DAMAGE_MS);
      };
      within(ms);
      this.entries.set(sequence, { message, settle, hurry });
    });
  }

  /**
   * Hands a frame to the request that it answers; false when there is none. The controller answers in order, so requests
   * sent before that one stop waiting.
   */
  take(frame: Frame): boolean {
    const entry = this.entries.get(frame.sequence);
    if (!entry || !answers(frame, entry.message)) return false;
    for (const earlier of [...this.entries.values()]) {
      if (earlier === entry) break;
      earlier.settle(undefined);
    }
    entry.settle(frame);
    return true;
  }

  /** Notes a damaged frame. With several requests outstanding, the next answer shows which one it belonged to. */
  hurry(): void {
    const [only, ...others] = this.entries.values();
    if (others.length === 0) only?.hurry();
  }

  /**
   * Could this damaged frame have been an answer to an outstanding request? Its number and kind follow the first byte of
   * the COBS encoding, which is 1 when the number is 0.
   */
  resembles(piece: Uint8Array): boolean {
    const [code, second = 0, kind = 0] = piece;
    const entry = this.entries.get(code === 1 ? 0 : second);
    return entry !== undefined && kind === (entry.message.kind | ANSWER_BIT);
  }

  /** Stops waiting for every request. */
  end(failure: Failure): void {
    for (const entry of [...this.entries.values()]) entry.settle(failure);
  }
}
