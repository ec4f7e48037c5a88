// A look at drivers that are on all the time: a gap in their pulse, too short for a valve to move, in which a short or an open load shows.
import { inputs, state } from "./state";

/** What has been high in every tick of so long is looked at. */
const EVERY_US: u32 = 50_000;
/** A look in which something was wrong is repeated after this, until the doubt is enough or gone (see drivers.ts). */
const AGAIN_US: u32 = 4_000;
const ALL: u32 = 0xff;
/** The nitrous pins. */
const NITROUS: u32 = 0x55;

/** A stage's pins have their gap together, so that nitrous is never without fuel. */
function bothOf(pins: u32): u32 {
  return pins | ((pins & NITROUS) << 1) | ((pins >> 1) & NITROUS);
}

/** Works out the pins that stay low until the next tick. The look itself does not count as seen low. */
export function followGaps(): void {
  state.highSince &= (inputs.solenoidPins as u32) | state.gaps;
  state.gaps = 0;
  state.gapUs += state.dtUs;
  if (!state.flowing) {
    state.gapUs = 0;
    return;
  }
  if (state.gapUs < EVERY_US) return;
  if (state.closesSlowly) state.gaps = bothOf(state.highSince & state.solenoids) & state.solenoids;
  state.gapUs = 0;
  state.highSince = ALL;
}

/** What was seen in the last look was wrong: the next comes soon. */
export function lookAgain(): void {
  state.gapUs = EVERY_US - AGAIN_US;
}
