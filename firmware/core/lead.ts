// The flow follows what is asked for by the lead of the retard request; a fall is never delayed.
import * as S from "./generated/settings";
import { Stage, setting, state } from "./state";

/** One slot each 8 ms: 64 slots hold 512 ms, more than the longest lead. */
const SLOTS: u32 = 64;
const SLOT_MS: u32 = 8;

/** Past asked shares, 16 bits a stage, and how far the present slot has come. */
const RING: usize = memory.data(512, 8);

class Lead {
  head: u32;
  restUs: u32;
}

const LEAD: usize = memory.data(8, 4);
const lead = changetype<Lead>(LEAD);

function slot(s: u32, index: u32): usize {
  return RING + ((((index & (SLOTS - 1)) * S.STAGES + s) as usize) << 1);
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
    store<u64>(slot(0, lead.head), load<u64>(slot(0, lead.head - 1)));
  }
}

/** Notes what a stage asks for now; returns the share that may flow: never more than now, nor than a lead ago. */
export function following(s: u32, stage: Stage): i32 {
  store<u16>(slot(s, lead.head), stage.askedX32 as u16);
  if (!setting(S.RETARD_PRESENT)) return stage.askedX32;
  const slots = (setting(S.RETARD_LEAD_MS) + SLOT_MS - 1) / SLOT_MS;
  if (lead.head - stage.askedFrom < slots) return 0;
  return min<i32>(stage.askedX32, load<u16>(slot(s, lead.head - slots)));
}
