// The interface that the logbook reads log pages through, usually from a controller on a line.

/** State of the stored log. */
export interface LogInfo {
  /** Sequence number of the next page; 0 in an empty log. */
  readonly sequence: number;
  /** Number of the newest run, 0 for none. */
  readonly run: number;
  /** Pages of records; those of ticks come after them. */
  readonly pages: number;
  /** The page that will be written next. */
  readonly next: number;
  /** Pages in memory that are not stored yet. */
  readonly waiting: number;
  readonly busy: "no" | "storing" | "erasing";
}

/** Called with the number of pages done and the total. */
export type Progress = (done: number, all: number) => void;

/** Reads pieces of a log. */
export interface LogSource {
  info(): Promise<LogInfo>;
  /** The 16 bytes of the heads of pages `page`, `page + stride`, ..., wrapping at the end of their part of the log. */
  heads(page: number, stride: number, count: number): Promise<Uint8Array[]>;
  /** The 256 bytes of each of these pages, in the given order. */
  pages(places: readonly number[], progress?: Progress): Promise<Uint8Array[]>;
}
