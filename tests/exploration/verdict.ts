// For each letter, what the oracle says of it: after how many ticks of it no stage, or not this stage, may be fed any more.
import { Conditions } from "../oracle/conditions.ts";
import type { Raw } from "../oracle/raw.ts";
import { GOOD, type Letter } from "./alphabet.ts";
import { EXPLORED } from "./explored-settings.ts";

/** Longer than what the oracle's conditions wait before they are sure. */
const SURE_TICKS = 20;
const BEFORE_TICKS = 30;
/** From the speed of any letter an engine has come to that of any other after so many pulses. */
const ON_ITS_WAY_TICKS = 12;

/** Are the conditions surely broken in the n-th tick of a letter, counted from 1? */
export interface Verdict {
  readonly systemAt: (tick: number) => boolean;
  readonly stageAt: (s: number, tick: number) => boolean;
}

function rpmOf(letter: Letter, n: number): number {
  const onItsWay = !letter.jumps && letter.rpm(n) > 0 && n < BEFORE_TICKS + ON_ITS_WAY_TICKS;
  return (onItsWay ? GOOD : letter).rpm(n);
}

/** What a letter looks like to the oracle after `n` ticks; the relay and the drivers are judged elsewhere. */
function rawOf(letter: Letter, n: number): Raw {
  const { engine, road } = EXPLORED;
  const nowUs = 1000 * n;
  const train = (perUs: number, usually: number): Raw["engine"] => ({
    count: n,
    edgeUs: perUs > 0 ? nowUs - 10 : 1000 * BEFORE_TICKS - 10,
    periodUs: Math.round(1 / (perUs || usually)),
  });
  const perRpm = engine.pulsesHalfPulses / 120e6;
  const perDeciKmh = road!.pulsesPerKm / 3.6e10;
  return {
    nowUs,
    switches: letter.switches,
    armCuts: 0,
    engine: train(rpmOf(letter, n) * perRpm, GOOD.rpm(0) * perRpm),
    road: train(letter.deciKmh(n) * perDeciKmh, GOOD.deciKmh(0) * perDeciKmh),
    adcA: [...letter.adcA],
    adcB: new Array(8).fill(0),
    solenoidPins: 0,
    adcMissing: letter.adcMissing,
    adcRounds: letter.adcRuns ? n : BEFORE_TICKS,
  };
}

function judged(letter: Letter): Verdict {
  const conditions = new Conditions(EXPLORED);
  for (let n = 1; n <= BEFORE_TICKS; n++) conditions.update(rawOf(GOOD, n));
  const system: boolean[] = [];
  const stages: boolean[][] = EXPLORED.stages.map(() => []);
  for (let n = 1; n <= SURE_TICKS; n++) {
    conditions.update(rawOf(letter, BEFORE_TICKS + n));
    system.push(conditions.system.length > 0);
    for (const [s, stage] of stages.entries()) stage.push(conditions.stage(s).length > 0);
  }
  const at = (list: readonly boolean[], tick: number): boolean => list[Math.min(tick, SURE_TICKS) - 1]!;
  return { systemAt: (tick) => at(system, tick), stageAt: (s, tick) => at(stages[s]!, tick) };
}

const verdicts = new Map<Letter, Verdict>();

/** The same for the same letter. */
export function verdictOf(letter: Letter): Verdict {
  const known = verdicts.get(letter) ?? judged(letter);
  verdicts.set(letter, known);
  return known;
}
