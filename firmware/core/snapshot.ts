// The core's state between two ticks, as a piece of the ticks begins with it: all that ticks move, without what follows from the settings.
import { putWhole } from "./bits";
import * as B from "./generated/blocks";
import { LEAD, LEAD_RING, LEAD_RING_END, Lead, lead, SLOT_BYTES } from "./lead";
import { DRAFT, LOG, Log } from "./log";
import { bootInfo, HOLDS, STAGE_STATES, State } from "./state";
import { BOUNDS } from "./windows";

const AREAS: u32 = 11;

/** Words of one mask. */
const GROUP: u32 = 32;

/** Is a word another one than the word two before it? What repeats comes by stages and slots. */
// @inline
function differs(from: usize, n: u32): bool {
  const at = from + ((n as usize) << 2);
  return load<u32>(at) !== (n < 2 ? 0 : load<u32>(at - 8));
}

/** Up to 32 words from number `first` on: a bit for each that differs, and those. */
function putGroup(from: usize, first: u32, end: u32): void {
  let mask: u32 = 0;
  for (let n = first; n < end; n++) if (differs(from, n)) mask |= 1 << (n - first);
  putWhole(mask);
  for (let n = first; mask; n++, mask >>= 1) if (mask & 1) putWhole(load<u32>(from + ((n as usize) << 2)));
}

function putArea(from: usize, bytes: u32): void {
  const words = (bytes + 3) >> 2;
  putWhole((from as u32) | (words << 16));
  for (let first: u32 = 0; first < words; first += GROUP)
    putGroup(from, first, min<u32>(first + GROUP, words));
}

/** The slots that a share is still to be looked up in: from the one that is a lead ago to the present one, round the ring. */
function putLead(): void {
  const wraps = lead.before > lead.now;
  const first = wraps ? LEAD_RING_END : lead.now + SLOT_BYTES;
  putArea(lead.before, (first - lead.before) as u32);
  putArea(LEAD_RING, wraps ? ((lead.now + SLOT_BYTES - LEAD_RING) as u32) : 0);
  putArea(LEAD, offsetof<Lead>() as u32);
}

/** Writes the areas and what is in them, after the image's check sum and the number of areas. */
export function putSnapshot(): void {
  putWhole(bootInfo.imageCrc);
  putWhole(AREAS);
  putArea(B.INPUTS, B.INPUTS_BYTES);
  putArea(B.OUTPUTS, B.OUTPUTS_BYTES);
  putArea(B.LIVE, B.LIVE_BYTES);
  putArea(B.CORE_DATA, offsetof<State>() as u32);
  putArea(STAGE_STATES, (HOLDS + 48 - STAGE_STATES) as u32);
  putArea(BOUNDS, 64);
  putLead();
  putArea(LOG, offsetof<Log>() as u32);
  putArea(DRAFT, 28);
}
