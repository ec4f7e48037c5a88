// What the kept ticks of a run must say: every input that a tick has looked at, and of the others nothing new.
import { drainCodes } from "#host/replay/exact/drains.ts";
import type { Piece } from "#host/replay/exact/pieces.ts";
import type { Tick } from "#host/replay/exact/tick.ts";
import { SENSOR_UV_PER_CODE, SUPPLY_MV_PER_CODE } from "#shared-schema/model/blocks.ts";
import { DRAIN_CODES } from "#shared-schema/model/drains.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import type { KeptRun, Made } from "../support/kept-run.ts";
import type { Settings } from "./settings.ts";
import { TURN_TICKS } from "./stand.ts";

const CHANNELS = ADC_A.length;
const PINS = [0, 1, 2, 3, 4, 5, 6, 7] as const;
const STAGES = [0, 1, 2, 3] as const;
const ALWAYS = ["battery", "driverSupply"] as const;
const SUPPLY = ADC_A.indexOf("driverSupply");
const FAST = ["throttle", "manifold"] as const;
/** By the turn in which a tick reads them. */
const SLOW = ["bottle", "fuel", "lambda", "coolant"] as const;
const channelOf = (name: (typeof ADC_A)[number]): number => ADC_A.indexOf(name);

/** What is fitted, from the settings. */
export function fittedIn(settings: Settings): Set<(typeof ADC_A)[number]> {
  const { throttle, manifold, bottle, fuel, lambda, coolant } = settings;
  const parts = { throttle: throttle.position, manifold, bottle, fuel, lambda, coolant };
  const fitted = Object.entries(parts).flatMap(([name, part]) =>
    part ? [name as (typeof ADC_A)[number]] : [],
  );
  return new Set([...ALWAYS, ...fitted]);
}

function pinsIn({ stages }: Settings): number[] {
  return stages.flatMap(({ kind }, s) => (kind === "wet" ? [2 * s, 2 * s + 1] : [2 * s]));
}

/** Which channels each tick reads: the usual ones, or all of them. */
class Reads {
  private readonly settings: Settings;
  private readonly fitted: ReadonlySet<(typeof ADC_A)[number]>;
  private readonly doubted = new Set<(typeof SLOW)[number]>();
  private turn = 0;
  private pattern = false;

  constructor(settings: Settings) {
    this.settings = settings;
    this.fitted = fittedIn(settings);
  }

  /** Takes in the next tick since the start. */
  next({ adcA }: Tick): number[] {
    const pattern = adcA.every((code) => code === adcA[0]);
    const every = this.doubted.size > 0 || pattern || this.pattern;
    this.pattern = pattern;
    this.turn = (this.turn + 1) % TURN_TICKS;
    const slow = SLOW[this.turn]!;
    const usual = [...ALWAYS, ...FAST, slow].filter((name) => this.fitted.has(name)).map(channelOf);
    for (const name of new Set([...this.doubted, slow])) {
      if (this.isBad(name, adcA)) this.doubted.add(name);
      else this.doubted.delete(name);
    }
    return every ? adcA.map((_, n) => n) : usual;
  }

  private isBad(name: (typeof SLOW)[number], adcA: readonly number[]): boolean {
    const sensor = this.settings[name];
    if (!sensor) return false;
    const mv = (adcA[channelOf(name)]! * SENSOR_UV_PER_CODE) / 1000;
    return mv < sensor.plausibleLowMv || mv > sensor.plausibleHighMv;
  }
}

/** Does a tick look at the drain of a pin, and what then counts: undefined where that depends on more. */
function looksAt(
  n: number,
  pins: readonly number[],
  now: Made,
  before: readonly Made[],
): boolean | undefined {
  if (!pins.includes(n)) return false;
  const last = before.slice(-3);
  const all = [...last, now];
  const supplied = all.every(({ tick }) => tick.adcA[SUPPLY]! * SUPPLY_MV_PER_CODE > 2_000);
  if (!supplied || !all.every(({ mode }) => mode === "armed" || mode === "flowing")) return undefined;
  const levels = all.map(({ tick }) => (tick.solenoidPins >> n) & 1);
  const level = levels.at(-1)!;
  if (levels.every((one) => one === level)) return true;
  const gap = level === 0 && ((before.at(-1)!.gaps >> n) & 1) === 1;
  return gap || (level !== levels.at(-2) ? gap : undefined);
}

/** On which side of its limits a drain is, as far as its driver is judged by it. */
function sideOf(code: number, level: number): string {
  if (code >= DRAIN_CODES.loaded) return "loaded";
  return level === 1 || code < DRAIN_CODES.conducting ? "conducting" : "between";
}

/** Names what a kept tick says otherwise than it was. `before`: kept ticks and all ticks before it. */
function wrongIn(
  kept: Tick,
  keptBefore: Tick | undefined,
  now: Made,
  before: readonly Made[],
  { channels, pins, clamps }: { channels: readonly number[]; pins: readonly number[]; clamps: boolean },
): string[] {
  const { tick } = now;
  const wrong: string[] = [];
  const same = (name: string, a: unknown, b: unknown): void => {
    if (JSON.stringify(a) !== JSON.stringify(b))
      wrong.push(`${name}: ${JSON.stringify(a)}, was ${JSON.stringify(b)}`);
  };
  for (const name of [
    "nowUs",
    "switches",
    "armCuts",
    "engine",
    "road",
    "solenoidPins",
    "adcMissing",
    "adcRounds",
  ] as const)
    same(name, kept[name], tick[name]);
  for (let n = 0; n < CHANNELS; n++)
    if (channels.includes(n)) same(`code ${n}`, kept.adcA[n], tick.adcA[n]);
    else if (keptBefore) same(`code ${n}, not read`, kept.adcA[n], keptBefore.adcA[n]);
  for (const s of STAGES)
    if (before.at(-1)!.mode === "flowing" && (before.at(-1)!.runs >> s) & 1)
      same(`phase ${s}`, kept.phase[s], tick.phase[s]);
  const expected = drainCodes(tick.solenoidPins, 0, kept.adcA[SUPPLY]!);
  for (const n of PINS) {
    const looks = looksAt(n, pins, now, before);
    const level = (tick.solenoidPins >> n) & 1;
    const side = sideOf(tick.adcB[n]!, level);
    const usual = sideOf(expected[n]!, level);
    if (looks) same(`drain ${n}`, sideOf(kept.adcB[n]!, level), side);
    if (looks === undefined || (looks && side !== usual)) continue;
    // Where nobody is accused it is as the pin lets expect; but for a kick.
    if (clamps) same(`drain ${n}, not accused`, sideOf(kept.adcB[n]!, level), usual);
    else same(`drain ${n}, not accused`, kept.adcB[n], expected[n]);
  }
  return wrong;
}

/** All that kept ticks of a run say otherwise than it was, and in which tick; no more than a few. */
export function wrongOf(run: number, kept: KeptRun, pieces: readonly Piece[], settings: Settings): string[] {
  const reads = new Reads(settings);
  const channels = kept.made.map(({ tick }) => reads.next(tick));
  const numbers = kept.numbersOf(run);
  const keptTicks = pieces.flatMap((piece) => piece.ticks.map((tick, n) => ({ tick, begins: n === 0 })));
  const wrong = numbers.length === keptTicks.length ? [] : [`${keptTicks.length} ticks of ${numbers.length}`];
  const about = { pins: pinsIn(settings), clamps: settings.clamps !== undefined };
  keptTicks.forEach(({ tick, begins }, i) => {
    const n = numbers[i] ?? 0;
    const before = begins ? undefined : keptTicks[i - 1]!.tick;
    const said = wrongIn(tick, before, kept.made[n]!, kept.made.slice(Math.max(0, n - 3), n), {
      ...about,
      channels: channels[n]!,
    });
    if (wrong.length < 5) wrong.push(...said.map((words) => `tick ${n}: ${words}`));
  });
  return wrong;
}
