// The flow follows what is asked for by the lead of the retard request; a fall is never delayed.
import * as S from "./generated/settings";
import { Stage, setting, state } from "./state";

/** One slot each 8 ms: 128 slots hold a second, more than the longest lead. */
const SLOTS: u32 = 128;
const SLOT_MS: u32 = 8;
export const SLOT_BYTES: u32 = S.STAGES * 2;

/** Past asked shares, 16 bits a stage, and how far the present slot has come. */
export const LEAD_RING: usize = memory.data(1024, 8);
export const LEAD_RING_END: usize = LEAD_RING + ((SLOTS * SLOT_BYTES) as usize);

export class Lead {
  head: u32;
  restUs: u32;
  /** Lead in slots, rounded up, and one for the slot that is under way; 0 without a retard request. Where the shares of the head and of a lead ago lie. */
  slots: u32;
  now: usize;
  before: usize;
}

export const LEAD: usize = memory.data(20, 4);
export const lead = changetype<Lead>(LEAD);

/** Where the shares of all stages lie in a slot. */
function slot(index: u32): usize {
  return LEAD_RING + (((index & (SLOTS - 1)) * SLOT_BYTES) as usize);
}

function findSlots(): void {
  lead.now = slot(lead.head);
  lead.before = slot(lead.head - lead.slots);
}

/** Takes the lead from the settings in force. */
export function prepareLead(): void {
  lead.slots = setting(S.RETARD_PRESENT) ? (setting(S.RETARD_LEAD_MS) + SLOT_MS - 1) / SLOT_MS + 1 : 0;
  findSlots();
}

/** A stage that opens asks from now on: what its slots hold from before does not count. */
export function askFrom(stage: Stage): void {
  stage.askedFrom = lead.head;
}

/** Passes time; to be called once a round of turns, before `following`. */
export function passLead(): void {
  lead.restUs += state.roundUs;
  while (lead.restUs >= SLOT_MS * 1000) {
    lead.restUs -= SLOT_MS * 1000;
    lead.head += 1;
    store<u64>(slot(lead.head), load<u64>(lead.now));
    findSlots();
  }
}

/** Notes what a stage asks for now; returns the share that may flow: never more than now, nor than a lead ago. */
// @inline
export function following(stage: Stage): i32 {
  const asked = stage.askedX32;
  const place = (stage.number << 1) as usize;
  store<u16>(lead.now + place, asked as u16);
  if (lead.head - stage.askedFrom < lead.slots) return 0;
  return min<i32>(asked, load<u16>(lead.before + place));
}
