// What a proof asks a board over the serial line; whoever starts the proof provides the link.
import type { EmulatedBoard } from "../board/emulated-board.ts";

/** Columns of the status answer by name. */
export type Live = Readonly<Record<string, number | readonly number[]>>;

/** The parts of the hello answer that a proof compares. */
export interface Identity {
  readonly bootReason: string;
  readonly settingsCrc: number;
  readonly imageGood: boolean;
}

/** The line to one board. Every call lets virtual time pass. */
export interface BoardClient {
  status(): Promise<Live>;
  hello(): Promise<Identity>;
  /** Stores a settings block. Rejects when it is refused. */
  store(block: Uint8Array): Promise<void>;
  /** Makes a request; name of the refusal, undefined when it was answered. */
  refusal(
    name: string,
    values?: Readonly<Record<string, number>>,
    tail?: Uint8Array,
  ): Promise<string | undefined>;
  close(): Promise<void>;
}

/** Opens the line of a powered board. */
export type OpenBoardClient = (board: EmulatedBoard) => BoardClient;

/** A column that is one number. */
export function column(live: Live, name: string): number {
  const value = live[name];
  if (typeof value !== "number") throw new TypeError(`no column ${name}`);
  return value;
}
