// What the core remembers between ticks, in linear memory so that a test can copy, set and compare all of it.
import {
  BOOT,
  Boot,
  CORE_DATA,
  INPUTS,
  Inputs,
  LIVE,
  Live,
  LOG_RING,
  OUTPUTS,
  Outputs,
} from "./generated/blocks";
import { MODE_ARMED, MODE_FLOWING } from "./generated/numbers";
import { STAGES, STAGES_FIRST, STAGES_STRIDE } from "./generated/settings";
import { Sensor } from "./sensor";
import { Shaft } from "./shaft";

export { addUntilFull, wholeMs } from "./time";
export { Sensor, Shaft };

/** One flow stage. */
export class Stage {
  /** Present share of full flow, in 1/32 permille: 32000 is full. */
  shareX32: i32;
  /** Share asked for now: the flow follows it by the lead of the retard request; and times the stage's portion. */
  askedX32: i32;
  askedFlow: u32;
  /** Pulses of the next period, while nothing stops them: nitrous, and fuel << 16. */
  pulses: u32;
  /** How the next on-run is to be made (see patterns.ts): periods of its pattern, and what flows in it in counter steps. */
  wanted: u32;
  wantedFlow: u32;
  /** The pattern under way: its periods, 0 while shut; number of the next period in it; what flows in it altogether. */
  periods: u32;
  period: u32;
  flow: u32;
  /** Counter steps that are left of both on-runs when the next period begins. */
  nitrousRun: u32;
  fuelRun: u32;
  /** Where in its period the slice's counter stood in the last tick. */
  phase: u32;
  /** Both valves stay open in the present period; a valve stays open for a period of the pattern. */
  wasOpen: u32;
  holdsOpen: u32;
  /** It was shut while it ran, and when: its valves may be open still. */
  wasShut: u32;
  shutUs: u32;
  /** Opening times at the present voltage and closing times, in counter steps; the dry stage's fuel valve is its nitrous valve. */
  wet: u32;
  nitrousOpening: u32;
  fuelOpening: u32;
  slowerOpening: u32;
  quickerOpening: u32;
  nitrousClosing: u32;
  fuelClosing: u32;
  /** No pattern can make less than this. */
  leastFlowing: u32;
  openMs: u32;
  openRestUs: u32;
  /** The supply as it was seen last while its coils drew from it, or nothing flowed. */
  drawnMv: u32;
  flowedUs: u32;
  unconfirmedUs: u32;
  /** How long everything but its own delay has allowed it. */
  waitedUs: u32;
  /** It has been closed since it last flowed. */
  closed: u32;
  /** Bits of interlocks that hold this stage off. */
  reasons: u32;
  /** Slot of the lead at which it began to ask. */
  askedFrom: u32;
  /** When it last had its turn, and the part of a share unit that the rise limit still owes it. */
  turnUs: u32;
  riseRest: u32;
  /** Windows of its own that it has left, but that on engine speed (see windows.ts); what lies inside each of them now. */
  windowsLeft: u32;
  roadLow: u32;
  roadWidth: u32;
  manifoldLow: u32;
  manifoldWidth: u32;
  gearLow: u32;
  gearWidth: u32;
  /** For each ramp, where the value lies that it goes over, and the point behind which its place was found last. */
  firstOver: usize;
  firstFound: usize;
  secondOver: usize;
  secondFound: usize;
  /** Its number, 0 to 3, as such and as a bit; and where its settings words in force lie. */
  number: u32;
  bit: u32;
  settings: usize;
  /** How long it may flow, and within what its enrichment must be confirmed; 0 for not at all. */
  longestUs: u32;
  confirmUs: u32;
}

/** A hold-off that must not hunt (see hold.ts). */
export class Hold {
  holds: u32;
  /** How long it has held, and what its stops of a flow still count. */
  heldUs: u32;
  stopsUs: u32;
}

/** The whole machine. What a tick touches most comes first: the first 128 bytes are the quickest to reach (see wasm-ops.h). */
export class State {
  nowUs: u32;
  dtUs: u32;
  mode: u32;
  /** Bits of interlocks that hold all stages off now. */
  reasons: u32;
  slowReasons: u32;
  settingsValid: u32;
  /** Which stage, and which slow sensor, has its turn in this tick: 0 to 3; and how long the last round of turns took. */
  turn: u32;
  stageInTurn: usize;
  roundUs: u32;
  roundSumUs: u32;
  /** Bit s: stage s + 1 flows. */
  flowing: u32;
  /** How long nothing has held flow off; saturates. */
  clearUs: u32;
  runFlowedUs: u32;
  longestRunUs: u32;
  /** Bit n: the sensor on channel n is believed. */
  sensorsGood: u32;
  /** Ticks in a row that a fitted sensor has been implausible, and that the converters have not been live. */
  sensorBad: u32;
  adcBad: u32;
  adcRounds: u32;
  adcStaleTicks: u32;
  /** Bit n: window n is left (see windows.ts). */
  windowsLeft: u32;
  gear: u32;
  batteryMv: u32;
  supplyMv: u32;
  /** How long the arm switch has been seen on and off; they saturate. */
  armOnUs: u32;
  armOffUs: u32;
  armedUs: u32;
  cutsSeen: u32;
  cutBackUs: u32;
  engineLostWatch: u32;
  /** The last engine pulse is older than its period explains. */
  engineLost: u32;
  throttleIn: u32;
  launched: u32;
  launchSwitch: u32;
  launchMs: u32;
  launchRestUs: u32;
  trip: u32;
  tripValue: u32;
  noiseCuts: u32;
  /** The keep-alive pin: low, with edges, or high without them. */
  keepAlive: u32;
  lampOn: u32;
  bottleFlags: u32;
  retardSteps: u32;
  periodSteps: u32;
  /** Longest pattern in periods; noise at the arm switch has stopped every on-run. */
  patternPeriods: u32;
  hushed: u32;
  /** Bit s: the engine is outside the stage's own window on its speed; the stage is wet. Bit n: solenoid n is configured. */
  enginesOut: u32;
  wetStages: u32;
  solenoids: u32;
  gears: u32;
  armReady: u32;
  bootHold: u32;
  runNoiseCuts: u32;
  /** Step of the self-test at arming, and time in it. */
  armStep: u32;
  armStepUs: u32;
  contradictUs: u32;
  /** How long the throttle has been seen closed since the arm switch went on; stays when it was long enough. */
  liftUs: u32;
  /** How long the supply behind the relay has been off the battery. */
  supplyApartUs: u32;
  leanUs: u32;
  fuelLowTurns: u32;
  /** Whole flow and the retard it asks for. */
  flowPermille: u32;
  retardDeciDeg: u32;
  /** When the retard last rose or stepped down, and the most that was wanted since. */
  retardSinceUs: u32;
  retardNext: u32;
  purgeUs: u32;
  purgeSpentUs: u32;
  purgeQuietUs: u32;
  heaterOn: u32;
  heaterUs: u32;
  heaterSpent: u32;
  valveOpenUs: u32;
  lampUs: u32;
  portions: u32;
  /** Share of the engine's speed that is no jump, in 1/65536. */
  unevenX64k: u32;
  /** Levels of the solenoid pins when their drains were sampled a tick ago. */
  pinsBefore: u32;
  /** Pins that were told to stay low since the last tick; those never seen low since then, and when that was (see gaps.ts). */
  gaps: u32;
  highSince: u32;
  gapUs: u32;
  /** Every valve that is set closes so slowly that it does not notice a gap. */
  closesSlowly: u32;
  /** Every valve opens so slowly that its driver may be tried; whose turn that is, how often it failed, and its bit while it conducts. */
  opensSlowly: u32;
  tryChannel: u32;
  triesFailed: u32;
  trying: u32;
  /** What makes the code of a drain that has kicked reach 4096, for both of a pair; 0 where no clamp is watched. */
  kickPair: u32;
}

const STATE: usize = CORE_DATA;
export const STAGE_STATES: usize = memory.data(832, 4);
const SENSORS: usize = memory.data(256, 4);
const SHAFTS: usize = memory.data(104, 4);
/** How much each solenoid driver is doubted, and the supply (see drivers.ts); the pins' past and doubts of clamps.ts. */
export const DRIVER_DOUBTS: usize = memory.data(36, 4);
export const HOLDS: usize = memory.data(48, 4);
/** For gears 0 (none) to 8: eight times the lowest ratio that counts as it, and the first above that does not; 16 bits each. */
export const GEAR_BOUNDS: usize = memory.data(36, 4);
/** Settings words in force. */
export const ACTIVE: usize = memory.data(1024, 4);
/** Settings words that arrive or are being looked at; a whole number of flash pages. */
export const STAGING: usize = memory.data(1024, 4);

export const state = changetype<State>(STATE);
export const engine = changetype<Shaft>(SHAFTS);
export const road = changetype<Shaft>(SHAFTS + 52);
export const inputs = changetype<Inputs>(INPUTS);
export const outputs = changetype<Outputs>(OUTPUTS);
export const live = changetype<Live>(LIVE);
export const bootInfo = changetype<Boot>(BOOT);

/** State of a stage, 0 to 3. */
export function stageState(s: u32): Stage {
  return changetype<Stage>(STAGE_STATES + (s as usize) * offsetof<Stage>());
}

/** The stage whose turn it is. */
// @inline
export function stageInTurn(): Stage {
  return changetype<Stage>(state.stageInTurn);
}

/** Sensor on a channel of ADC A, 0 to 7. */
export function sensor(channel: u32): Sensor {
  return changetype<Sensor>(SENSORS + (channel as usize) * offsetof<Sensor>());
}

/** One of the four hold-offs that must not hunt. */
export function holdState(n: u32): Hold {
  return changetype<Hold>(HOLDS + (n as usize) * offsetof<Hold>());
}

/** A settings word in force, by its byte offset. */
export function setting(offset: usize): u32 {
  return load<u16>(ACTIVE + offset);
}

/** Where the settings words in force of a stage begin. */
export function stageSettings(s: u32): usize {
  return ACTIVE + STAGES_FIRST + (s as usize) * STAGES_STRIDE;
}

/** Clears everything but the settings. Traps when a class has outgrown its room. */
export function clearState(): void {
  if (offsetof<State>() > 512 || STAGE_STATES < STATE + 512 || offsetof<Stage>() * STAGES > 832)
    unreachable();
  if (__heap_base > LOG_RING) unreachable();
  if (offsetof<Sensor>() * 8 > 256 || offsetof<Shaft>() !== 52) unreachable();
  memory.fill(STATE, 0, 512);
  memory.fill(STAGE_STATES, 0, 832);
  memory.fill(SENSORS, 0, 256);
  memory.fill(SHAFTS, 0, 104);
  memory.fill(DRIVER_DOUBTS, 0, 36);
  memory.fill(HOLDS, 0, 48);
  // The bottle's: its pressure must be well above its lowest before the first flow as well.
  holdState(3).holds = 1;
  state.windowsLeft = 0xff;
  state.launchMs = NOT_LAUNCHED;
}

/** The full share, in 1/32 permille. */
export const FULL_X32: i32 = 32_000;

/** Time since the launch before it: as a place on an axis, -1. */
export const NOT_LAUNCHED: u32 = 0xffffffff;

/** Armed or flowing: the only modes in which anything may flow. */
// @inline
export function isArmed(): bool {
  return state.mode - MODE_ARMED <= MODE_FLOWING - MODE_ARMED;
}
