// What the core remembers between ticks, in linear memory so that a test can copy, set and compare all of it.
import { BOOT, Boot, INPUTS, Inputs, LIVE, Live, OUTPUTS, Outputs } from "./generated/blocks";
import { STAGES, STAGES_FIRST, STAGES_STRIDE } from "./generated/settings";

/** One flow stage. Times are in microseconds since the stage opened in this run. */
export class Stage {
  /** Present share of full flow, in 1/32 permille: 32000 is full. */
  shareX32: i32;
  openMs: u32;
  openRestUs: u32;
  flowedUs: u32;
  unconfirmedUs: u32;
  /** Bits of interlocks that hold this stage off. */
  reasons: u32;
}

/** The whole machine. */
export class State {
  nowUs: u32;
  dtUs: u32;
  mode: u32;
  trip: u32;
  tripValue: u32;
  /** Bits of interlocks that hold all stages off now. */
  reasons: u32;
  settingsValid: u32;
  /** How long the arm switch has been seen off; saturates. */
  armOffUs: u32;
  armOnUs: u32;
  armReady: u32;
  bootHold: u32;
  cutsSeen: u32;
  noiseCuts: u32;
  runNoiseCuts: u32;
  armedUs: u32;
  /** How long nothing has held flow off; saturates. */
  clearUs: u32;
  runFlowedUs: u32;
  riseRest: u32;
  riseX32: i32;
  /** Bit n: window n is entered (see windows.ts). */
  windows: u32;
  throttleIn: u32;
  launched: u32;
  launchSwitch: u32;
  launchMs: u32;
  launchRestUs: u32;
  engineAgeUs: u32;
  enginePulses: u32;
  engineTrust: u32;
  engineLostWatch: u32;
  engineRpm: u32;
  roadAgeUs: u32;
  roadPulses: u32;
  roadTrust: u32;
  roadDeciKmh: u32;
  throttlePermille: i32;
  manifoldDeciKpa: i32;
  batteryMv: u32;
  /** Ticks in a row that a needed sensor has been implausible, and that no ADC round has finished. */
  sensorBad: u32;
  adcRounds: u32;
  adcStaleTicks: u32;
  /** From the settings, so that a tick needs no division by them. */
  engineRpmUs: u32;
  roadDeciKmhUs: u32;
  throttleSlope: i32;
  manifoldSlope: i32;
  periodSteps: u32;
}

const STATE: usize = memory.data(192, 4);
const STAGE_STATES: usize = memory.data(96, 4);
/** Settings words in force. */
export const ACTIVE: usize = memory.data(768, 4);
/** Settings words that arrive or are being looked at; a whole number of flash pages. */
export const STAGING: usize = memory.data(768, 4);

export const state = changetype<State>(STATE);
export const inputs = changetype<Inputs>(INPUTS);
export const outputs = changetype<Outputs>(OUTPUTS);
export const live = changetype<Live>(LIVE);
export const bootInfo = changetype<Boot>(BOOT);

/** State of a stage, 0 to 3. */
export function stageState(s: u32): Stage {
  return changetype<Stage>(STAGE_STATES + (s as usize) * offsetof<Stage>());
}

/** A settings word in force, by its byte offset. */
export function setting(offset: usize): u32 {
  return load<u16>(ACTIVE + offset);
}

/** Byte offset of the settings of a stage. */
export function stageSettings(s: u32): usize {
  return STAGES_FIRST + (s as usize) * STAGES_STRIDE;
}

/** Clears everything but the settings. */
export function clearState(): void {
  memory.fill(STATE, 0, offsetof<State>());
  memory.fill(STAGE_STATES, 0, offsetof<Stage>() * STAGES);
}

/** Adds without wrapping past the largest value. */
export function addUntilFull(value: u32, more: u32): u32 {
  const sum = value + more;
  return sum < value ? 0xffffffff : sum;
}
