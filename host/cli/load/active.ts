// Which settings a controller holds, by what it gives back: the new ones, the old ones, none, or neither of them.
import { crc32c } from "#host/codec/crc32c.ts";
import { Failure } from "#host/errors/failure.ts";
import type { LinkClient } from "#host/link/client.ts";
import { type Hello, hello } from "#host/link/device.ts";
import { readSettings } from "#host/link/transfer.ts";
import { hex8 } from "#host/settings/hash.ts";
import { NONE_ACTIVE, NOT_WHOLE, OLD_ACTIVE } from "./verdict.ts";

/** What can be active while one block is replaced by another; `before` is undefined where there was none. */
export interface Expected {
  readonly before: Uint8Array | undefined;
  readonly wanted: Uint8Array;
  /** The board whose settings these are, as it has to call itself from now on. */
  readonly boardId: string;
}

export type Active = "new" | "old" | "none" | "neither";

const same = (block: Uint8Array, other: Uint8Array | undefined): boolean =>
  other !== undefined && Buffer.from(block).equals(other);

/** A block counts only when the controller's own check sum is that of the block. */
export function activeOf(device: Hello, block: Uint8Array, { before, wanted }: Expected): Active {
  if (crc32c(block) !== device.settingsCrc) return "neither";
  if (same(block, wanted)) return "new";
  return same(block, before) ? "old" : "neither";
}

/** Fails with `board-changed` when another board answers than the one that this load is for. */
export function requireBoard(device: Hello, boardId: string): void {
  if (device.boardId === boardId) return;
  throw new Failure("board-changed", {
    expected: `board ${boardId}, not ${device.boardId}`,
    data: { board: device.boardId, expected: boardId },
  });
}

/** Asks the board and reads all that it holds. Fails with `board-changed` or as a request does. */
export async function activeNow(client: LinkClient, expected: Expected): Promise<Active> {
  const device = await hello(client);
  requireBoard(device, expected.boardId);
  if (device.slot === "none") return "none";
  return activeOf(device, await readSettings(client), expected);
}

/** The last line of a load that is not done, by what was read. */
export const verdictOf = (active: Exclude<Active, "new">): string =>
  ({ old: OLD_ACTIVE, none: NONE_ACTIVE, neither: NOT_WHOLE })[active];

/** Why a load is not done, by what was read after the controller had been asked to store. */
export const failureOf = (active: Exclude<Active, "new">): Failure =>
  new Failure(active === "neither" ? "read-back-differs" : "not-stored", { data: { active } });

/**
 * A line that was lost after the request to store, and did not come back: that nothing is half written stays true, but to repeat
 * the command is not the next step, as the verdict says too.
 */
export function unconfirmed(thrown: unknown, { before, wanted }: Expected): unknown {
  if (!(thrown instanceof Failure)) return thrown;
  const old = before === undefined ? "before there were none" : `${hex8(crc32c(before))} the old ones`;
  return new Failure(thrown.code, {
    what: thrown.message,
    todo: `reach the controller again and run headgate status: settings ${hex8(crc32c(wanted))} are the new ones, ${old}; load the file again unless the new ones are active`,
    data: thrown.data,
    cause: thrown,
  });
}
