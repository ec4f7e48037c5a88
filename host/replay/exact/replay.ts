// Replays what the core has read: its state as it was, and every tick with the inputs that it had.
import type { CoreRig } from "#host/bench/core/rig.ts";
import type { Piece } from "./pieces.ts";
import { putTick } from "./tick.ts";

/** Puts a piece's state into the memory of a core that has started with the run's settings. */
function putState(memory: Uint8Array, { areas }: Piece): void {
  for (const { at, bytes } of areas) memory.set(bytes, at);
}

/**
 * Runs every tick of the pieces; `seen` looks at the core after each, `n` counts from 0. `rig`: started with the settings
 * of the run, of the same core. `began` looks at the core before each piece, and then its state is put there where it
 * does not follow the piece before it.
 */
export function replayExact(
  rig: CoreRig,
  pieces: readonly Piece[],
  seen: (n: number) => void,
  began: (piece: Piece) => void = () => {},
): void {
  const all = rig.core.memory.buffer;
  const view = new DataView(all);
  let n = 0;
  for (const piece of pieces) {
    if (n === 0 || !piece.follows) putState(new Uint8Array(all), piece);
    began(piece);
    for (const tick of piece.ticks) {
      putTick(view, tick);
      rig.core.tick(tick.nowUs | 0);
      seen(n++);
    }
  }
}
