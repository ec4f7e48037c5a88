// Where log pages come from, seen from here: something that is read piece by piece, most often a controller on a line.

/** State of the stored log. */
export interface LogInfo {
  /** Sequence number of the next page; 0 in an empty log. */
  readonly sequence: number;
  /** Number of the newest run, 0 for none. */
  readonly run: number;
  readonly pages: number;
  /** Page that is written next. */
  readonly next: number;
  /** Records in memory that are not stored yet. */
  readonly waiting: number;
  readonly busy: "no" | "storing" | "erasing";
}

/** Called with pages done out of all. */
export type Progress = (done: number, all: number) => void;

/** Reads pieces of a log. */
export interface LogSource {
  info(): Promise<LogInfo>;
  /** The 16 bytes of the heads of pages `page`, `page + stride`, ..., wrapping at the end of the area. */
  heads(page: number, stride: number, count: number): Promise<Uint8Array[]>;
  /** All 256 bytes of each of these pages, in their order. */
  pages(places: readonly number[], progress?: Progress): Promise<Uint8Array[]>;
}
