// What of the drains' voltages a tick can have looked at: on which side of three limits each is, against what its pin lets expect.

import { CLAMPS_LOOKED } from "./drivers";
import {
  ADC_DRIVER_SUPPLY,
  DRAIN_CONDUCTING as CONDUCTING,
  INPUTS_ADC_A,
  INPUTS_ADC_B,
  DRAIN_LOADED as LOADED,
} from "./generated/blocks";
import { inputs, state } from "./state";

/** The pins at the end of the tick before, and those that were told to stay low. */
class Drains {
  pinsBefore: u32;
  gaps: u32;
}

const DRAINS: usize = memory.data(8, 4);
const drains = changetype<Drains>(DRAINS);

/** Bits of a drain: a load pulls it up; its driver pulls it down; it is under half the supply, or where a kick is awaited, under that. */
const LOADS: u32 = 1;
const CONDUCTS: u32 = 2;
const HALF: u32 = 4;
const ALL: u32 = 7;
/** One more than the largest code. */
const CODES: u32 = 4096;
/** Bits of each drain. */
const WIDTH: u32 = 3;

/** To be called after each tick, when what it looked at has been worked out. */
export function noteDrains(): void {
  drains.pinsBefore = state.pinsBefore;
  drains.gaps = state.gaps;
}

/** Which of its bits a tick looks at outside of the test at arming. */
// @inline
function looked(n: u32, level: u32, code: u32): u32 {
  const steady =
    ~((inputs.solenoidPins as u32) ^ drains.pinsBefore) | (drains.gaps & ~(inputs.solenoidPins as u32));
  if (!((steady >> n) & 1)) return 0;
  return level || code >= LOADED ? LOADS : LOADS | CONDUCTS;
}

/** Bits in which the drain of a pin is not as its level lets expect. `kicks`: a kick was looked for. */
// @inline
function unexpected(n: u32, testing: bool, supply: u32, kicks: bool): u32 {
  const code = load<u16>(INPUTS_ADC_B + ((n as usize) << 1)) as u32;
  const level = ((inputs.solenoidPins as u32) >> n) & 1;
  const low = kicks ? code + (state.kickPair & 0xffff) < CODES : code << 1 < supply;
  const sides: u32 = (code >= LOADED ? LOADS : 0) | (code < CONDUCTING ? CONDUCTS : 0) | (low ? HALF : 0);
  const seen = testing ? ALL : looked(n, level, code) | (kicks ? HALF : 0);
  return (sides ^ (level ? CONDUCTS | HALF : LOADS)) & seen;
}

/** Three bits for each drain; 0 when all are as expected. `testing`: the tick may have looked at everything. */
export function unexpectedDrains(testing: bool): u32 {
  const supply = load<u16>(INPUTS_ADC_A + ((ADC_DRIVER_SUPPLY as usize) << 1)) as u32;
  const kicks = load<u8>(CLAMPS_LOOKED) as u32;
  let all: u32 = 0;
  for (let n: u32 = 0; n < 8; n++)
    if ((state.solenoids >> n) & 1)
      all |= unexpected(n, testing, supply, ((kicks >> n) & 1) !== 0) << (n * WIDTH);
  return all;
}
