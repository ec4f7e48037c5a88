// What each tick has read, as bits: how it differs from what was to be expected. Written between ticks, in the order that docs/storage.md gives.
import { beginPiece, bits, endPiece, put, putNumber, putWord } from "./bits";
import { noteDrains, unexpectedDrains } from "./drains";
import * as B from "./generated/blocks";
import * as N from "./generated/numbers";
import { beginSensors, putSensors, readsOther } from "./kept-sensors";
import { log } from "./log";
import { putSnapshot } from "./snapshot";
import { inputs, outputs, stageState, state } from "./state";

/** The tick before, as a replay has it. */
class Kept {
  nowUs: u32;
  switches: u32;
  armCuts: u32;
  missing: u32;
  rounds: u32;
  pins: u32;
  drains: u32;
  lastMode: u32;
  /** The run that is being kept, and 1 while it is. */
  run: u32;
  keeps: u32;
  /** Bit s: the counter of stage s + 1 will be looked at. */
  follows: u32;
}

const KEPT: usize = memory.data(44, 4);
const kept = changetype<Kept>(KEPT);
/** Pulses, edge and period of the engine, then of the road, each with the mean size of what was off it. */
const TRAINS: usize = memory.data(48, 4);
const SIZES: usize = 12;
const ROAD: usize = 24;
const PHASES: usize = memory.data(8, 4);

/** Bits of what is not as expected; the first two stand by themselves. */
const ENGINE_CAME: u32 = 1;
const ROAD_CAME: u32 = 2;
const OTHER: u32 = 4;
const LATE: u32 = 1;
const MOVED: u32 = 2;
const BEGUN: u32 = 4;
const DRAINED: u32 = 8;
const SELDOM: u32 = 16;
const READS: u32 = 32;
const OTHERS: u32 = 6;

function sameTrain(at: usize, pulses: u32, edgeUs: u32, periodUs: u32): bool {
  return pulses === load<u32>(at) && edgeUs === load<u32>(at, 4) && periodUs === load<u32>(at, 8);
}

function keepTrain(at: usize, pulses: u32, edgeUs: u32, periodUs: u32): void {
  store<u32>(at, pulses);
  store<u32>(at, edgeUs, 4);
  store<u32>(at, periodUs, 8);
}

/** How many pulses more than one; when the last came, against as many periods; the time between the last two, against what that lets expect. */
function putTrain(at: usize, pulses: u32, edgeUs: u32, periodUs: u32): void {
  const count = pulses - load<u32>(at);
  const between = edgeUs - load<u32>(at, 4);
  const periodBefore = load<u32>(at, 8);
  putNumber(at + SIZES, (count - 1) as i32);
  putNumber(at + SIZES + 4, (between - count * periodBefore) as i32);
  putNumber(at + SIZES + 8, (periodUs - (count === 1 ? between : periodBefore)) as i32);
  keepTrain(at, pulses, edgeUs, periodUs);
}

function phase(s: u32): u32 {
  return load<u16>(B.INPUTS_PHASE + ((s as usize) << 1));
}

function phaseKept(s: u32): u32 {
  return load<u16>(PHASES + ((s as usize) << 1));
}

function keepPhase(s: u32, value: u32): void {
  store<u16>(PHASES + ((s as usize) << 1), value as u16);
}

/** Moves all counters on with the time, as they go while none begins anew. Returns one bit for each that is looked at and went otherwise. */
function passPhases(nowUs: u32): u32 {
  const period = (outputs.top as u32) + 1;
  const all = ((nowUs >> 1) - (kept.nowUs >> 1)) & 0x7fffffff;
  const steps = all < period ? all : all % period;
  let others: u32 = 0;
  for (let s: u32 = 0; s < 4; s++) {
    const to = phaseKept(s) + steps;
    const expected = to >= period ? to - period : to;
    keepPhase(s, expected);
    if ((kept.follows >> s) & 1 && phase(s) !== expected) others |= 1 << s;
  }
  return others;
}

function putPhases(others: u32): void {
  put(4, others);
  for (let s: u32 = 0; s < 4; s++) {
    if (!((others >> s) & 1)) continue;
    put(16, phase(s));
    keepPhase(s, phase(s));
  }
}

function isSeldom(): bool {
  return (
    inputs.switches !== kept.switches ||
    inputs.armCuts !== kept.armCuts ||
    (inputs.adcMissing as u32) !== kept.missing ||
    (inputs.adcRounds as u32) !== ((kept.rounds + 1) & 0xffff)
  );
}

function keepSeldom(): void {
  kept.switches = inputs.switches;
  kept.armCuts = inputs.armCuts;
  kept.missing = inputs.adcMissing;
  kept.rounds = inputs.adcRounds;
}

function putSeldom(): void {
  put(16, inputs.switches);
  putWord(inputs.armCuts);
  put(16, inputs.adcMissing);
  put(16, inputs.adcRounds);
}

/** What is not as expected, but for pulses. */
function others(late: u32, phases: u32, drains: u32): u32 {
  return (
    (late ? LATE : 0) |
    ((inputs.solenoidPins as u32) !== kept.pins ? MOVED : 0) |
    (phases ? BEGUN : 0) |
    (drains !== kept.drains ? DRAINED : 0) |
    (isSeldom() ? SELDOM : 0) |
    (readsOther() ? READS : 0)
  );
}

function putOthers(other: u32, late: u32, phases: u32, drains: u32): void {
  const more: u32 = other === MOVED ? 0 : 1;
  put(1, more);
  if (more) put(OTHERS, other);
  if (other & LATE) putWord(late);
  if (other & MOVED) put(8, (inputs.solenoidPins as u32) ^ kept.pins);
  if (other & BEGUN) putPhases(phases);
  if (other & DRAINED) put(24, drains);
  if (other & SELDOM) putSeldom();
}

function keepTicks(): void {
  const nowUs = state.nowUs;
  const late = nowUs - kept.nowUs - B.TICK_US;
  const phases = passPhases(nowUs);
  const drains = unexpectedDrains(state.mode === N.MODE_ARMING || kept.lastMode === N.MODE_ARMING);
  const other = others(late, phases, drains);
  const engineCame = !sameTrain(TRAINS, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  const roadCame = !sameTrain(TRAINS + ROAD, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  put(3, (engineCame ? ENGINE_CAME : 0) | (roadCame ? ROAD_CAME : 0) | (other ? OTHER : 0));
  if (engineCame) putTrain(TRAINS, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  if (roadCame) putTrain(TRAINS + ROAD, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  if (other) putOthers(other, late, phases, drains);
  putSensors();
  kept.nowUs = nowUs;
  kept.drains = drains;
  kept.pins = inputs.solenoidPins;
  keepSeldom();
  bits.ticks += 1;
}

/** What the next tick will look at follows from this one. */
function lookAhead(): void {
  kept.lastMode = state.mode;
  kept.follows = 0;
  for (let s: u32 = 0; s < 4; s++) if (stageState(s).periods) kept.follows |= 1 << s;
  noteDrains();
}

/** Begins a piece with the state and the inputs as they are now. */
function begin(): void {
  beginPiece();
  putSnapshot();
  memory.fill(TRAINS, 0, 48);
  kept.nowUs = state.nowUs;
  kept.pins = inputs.solenoidPins;
  kept.drains = 0;
  keepSeldom();
  keepTrain(TRAINS, inputs.enginePulses, inputs.engineEdgeUs, inputs.enginePeriodUs);
  keepTrain(TRAINS + ROAD, inputs.roadPulses, inputs.roadEdgeUs, inputs.roadPeriodUs);
  for (let s: u32 = 0; s < 4; s++) keepPhase(s, phase(s));
  beginSensors();
}

/**
 * Writes the tick that has just been made, from arming to off. Called between ticks, while its inputs still stand. Returns 1
 * when it took longer, because a piece began: nothing else should be done before the next tick.
 */
export function keepTick(): u32 {
  const over = log.phase !== 1;
  const begins = kept.run !== log.runs && !over;
  if (kept.keeps && !begins && !over) keepTicks();
  const ends = over || state.mode === N.MODE_OFF || state.mode === N.MODE_SERVICE;
  if (kept.keeps && ends && !begins) endPiece();
  kept.keeps = begins || (kept.keeps && !ends) ? 1 : 0;
  kept.run = log.runs;
  lookAhead();
  const full = kept.keeps && bits.pages >= B.PIECE_PAGES;
  if (full && !begins) endPiece();
  if (begins || full) begin();
  return begins || full ? 1 : 0;
}
