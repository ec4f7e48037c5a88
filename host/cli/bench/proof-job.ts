// What a worker of a proof is given and what it says: rows one by one, each on test benches of its own.
import type { Finding } from "#host/bench/prove/prove.ts";
import type { Document } from "#shared-schema/settings/pack.ts";

/** Given at the start: settings, and the files of the image. */
export interface ProofJob {
  readonly document: Document;
  readonly image: Uint8Array;
  readonly elf: Uint8Array;
}

/** From the worker: `fault` after each fault of a row, `row` with all findings of it. */
export type ProofWord =
  | { readonly is: "fault" }
  | { readonly is: "row"; readonly findings: readonly Finding[] };
