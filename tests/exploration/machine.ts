// One core whose memory can be taken back to any moment, fed with letters; what it commands is judged in every tick.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { INPUTS, LOG_RING, OUTPUT_BITS, OUTPUTS } from "#shared-schema/blocks.ts";
import { place } from "#shared-schema/generate/layout.ts";
import { INTERLOCKS, MODES } from "#shared-schema/interlocks.ts";
import { type Document, pack, toBytes } from "#shared-schema/pack.ts";
import { Arming } from "../oracle/arming.ts";
import { engineSilentUs } from "../oracle/conditions.ts";
import { Device } from "../oracle/device.ts";
import type { Raw } from "../oracle/raw.ts";
import { type Letter, supplyCode } from "./alphabet.ts";
import { CoreMap, stateWord } from "./core-map.ts";
import { type Cause, discreteParts, type Part, partValue, SETTLED_US } from "./discrete.ts";
import { EXPLORED } from "./explored-settings.ts";
import { type Verdict, verdictOf } from "./verdict.ts";

const WORD = 4;
/** Memory is kept in blocks of so many words: only those that differ from the start. */
const BLOCK = 16;
const WRAP = 2 ** 32;
const PULSE_AGE_US = 10;
const HELD_US = 20_000;
const LOW_MV = 100;
const FIRST_PULSES = 0x5eed_1234;
const FIRST_US = 0;
const [ARMED, FLOWING, ARMING] = [MODES.indexOf("armed"), MODES.indexOf("flowing"), MODES.indexOf("arming")];
const [TRIPPED, LOCKED] = [MODES.indexOf("tripped"), MODES.indexOf("locked")];
const NITROUS = EXPLORED.stages.map((_, s) => 2 * s);

/** Where a machine stood: the core's memory, the inputs, and what the judge remembers. */
export interface Moment {
  readonly blocks: Uint16Array;
  readonly words: Uint32Array;
  readonly raw: Omit<Raw, "adcA" | "adcB">;
  readonly arming: Arming;
  readonly goodSinceUs: number;
  readonly letter: Letter;
  readonly letterTicks: number;
}

function offsets(block: typeof INPUTS): Record<string, number> {
  return Object.fromEntries(place(block).map(({ field, offset }) => [field.name, block.address + offset]));
}
const IN = offsets(INPUTS);
const OUT = offsets(OUTPUTS);
const [MODE_AT, TRIP_AT, ARMED_US_AT] = [stateWord("mode"), stateWord("trip"), stateWord("armedUs")];
const KEEP_ALIVE = 1 << OUTPUT_BITS.keepAlive;

function copyOf<T extends object>(value: T): T {
  return Object.assign(Object.create(Object.getPrototypeOf(value)), value);
}

/** A core with the explored settings, started, with the arm switch as in the first letter. */
export class Machine {
  readonly parts: readonly Part[];
  private readonly timers: readonly Part[];
  private readonly marked: Uint16Array;
  readonly words: Uint32Array;
  private readonly rig: CoreRig;
  private readonly u16: Uint16Array;
  private readonly start: Uint32Array;
  private readonly raw: Raw;
  private arming = new Arming();
  private goodSinceUs = Number.POSITIVE_INFINITY;
  private letter: Letter;
  private letterTicks = 0;
  private verdict: Verdict;

  /** `rig` is not started yet. */
  constructor(rig: CoreRig, first: Letter) {
    this.rig = rig;
    rig.start();
    const words = pack(EXPLORED as unknown as Document);
    new Device(rig).store(words);
    this.u16 = new Uint16Array(rig.core.memory.buffer, 0, LOG_RING.address / 2);
    this.words = new Uint32Array(rig.core.memory.buffer, 0, LOG_RING.address / WORD);
    const pulses = { count: FIRST_PULSES, edgeUs: FIRST_US, periodUs: 0 };
    this.raw = {
      ...{ nowUs: FIRST_US, switches: 0, armCuts: 0, engine: pulses, road: { ...pulses, count: 0 } },
      ...{ adcA: new Array(8).fill(0), adcB: new Array(8).fill(0) },
      ...{ solenoidPins: 0, adcMissing: 0, adcRounds: 0 },
    };
    this.letter = first;
    this.verdict = verdictOf(first);
    this.tick(first, 1000);
    const map = new CoreMap(rig, toBytes(words), this.raw.engine.count);
    this.parts = discreteParts(map);
    this.marked = new Uint16Array(this.parts.length);
    this.timers = this.parts.filter(({ limits, of }) => limits && !of);
    this.start = this.words.slice();
  }

  get mode(): number {
    return this.words[MODE_AT]!;
  }

  /** The discrete part of the memory, as a text that is the same only for the same. */
  get key(): string {
    this.mark();
    return String.fromCharCode.apply(null, this.marked as unknown as number[]);
  }

  /** Remembers the discrete part of the memory, for `moved`. */
  mark(): void {
    const { parts, marked, words, ready } = this;
    for (let i = 0; i < parts.length; i++) {
      const part = parts[i]!;
      marked[i] = ready || !part.readyOnly ? partValue(part, words) : 0;
    }
  }

  /** Has anything discrete changed since the last mark, or key? */
  get moved(): boolean {
    const { parts, marked, words, ready } = this;
    for (let i = 0; i < parts.length; i++) {
      const part = parts[i]!;
      if ((ready || !part.readyOnly ? partValue(part, words) : 0) !== marked[i]) return true;
    }
    return false;
  }

  /** May flow begin, as far as the time since arming goes? */
  private get ready(): boolean {
    return this.armed && this.words[ARMED_US_AT]! >= SETTLED_US;
  }

  /** Where the times stand that have not passed their last limit: while one of them moves, something will change. */
  get pending(): string {
    const { words, timers } = this;
    let pending = "";
    for (const { at, limits } of timers) pending += `${Math.min(words[at]!, limits?.at(-1) ?? 1)} `;
    return pending;
  }

  /** How many kinds of disturbance are under way; `calm` is the state of all parts where none is. */
  disturbed(calm: readonly number[]): number {
    const { parts, words } = this;
    const causes = new Set<Cause>();
    parts.forEach((part, i) => {
      if (part.cause && partValue(part, words) !== calm[i]) causes.add(part.cause);
    });
    return causes.size;
  }

  /** Armed or flowing. */
  get armed(): boolean {
    const { mode } = this;
    return mode === ARMED || mode === FLOWING;
  }

  /** What the mode says must be the reaction that the catalogue has for the first cause. */
  get misnamed(): string[] {
    const reaction = { [TRIPPED]: "trip", [LOCKED]: "lockout" }[this.mode];
    const cause = INTERLOCKS[this.words[TRIP_AT]!];
    if (!reaction || cause?.reaction === reaction) return [];
    return [`${MODES[this.mode]} for ${cause?.id}`];
  }

  /** Is any solenoid pin driven? */
  get fed(): boolean {
    for (let n = 0; n < 8; n++) if (this.u16[OUT.pulse! / 2 + n]! > 0) return true;
    return false;
  }

  save(): Moment {
    const { words, start } = this;
    const blocks: number[] = [];
    for (let at = 0; at < words.length; at += BLOCK) {
      let i = at;
      while (i < at + BLOCK && words[i] === start[i]) i++;
      if (i < at + BLOCK) blocks.push(at / BLOCK);
    }
    const kept = new Uint32Array(blocks.length * BLOCK);
    blocks.forEach((block, i) => {
      kept.set(words.subarray(block * BLOCK, (block + 1) * BLOCK), i * BLOCK);
    });
    const { nowUs, switches, armCuts, engine, road, solenoidPins, adcMissing, adcRounds } = this.raw;
    return {
      blocks: Uint16Array.from(blocks),
      words: kept,
      raw: {
        ...{ nowUs, switches, armCuts, engine: { ...engine }, road: { ...road } },
        ...{ solenoidPins, adcMissing, adcRounds },
      },
      arming: copyOf(this.arming),
      goodSinceUs: this.goodSinceUs,
      letter: this.letter,
      letterTicks: this.letterTicks,
    };
  }

  restore(moment: Moment): void {
    this.words.set(this.start);
    const { blocks, words, raw } = moment;
    for (let i = 0; i < blocks.length; i++)
      this.words.set(words.subarray(i * BLOCK, (i + 1) * BLOCK), blocks[i]! * BLOCK);
    Object.assign(this.raw, raw);
    this.raw.engine = { ...raw.engine };
    this.raw.road = { ...raw.road };
    this.arming = copyOf(moment.arming);
    this.goodSinceUs = moment.goodSinceUs;
    this.letter = moment.letter;
    this.verdict = verdictOf(moment.letter);
    this.letterTicks = moment.letterTicks;
  }

  /** Removes the power and gives it back: the core starts anew, with what lies in flash. */
  restart(): void {
    this.rig.start();
    this.arming = new Arming();
  }

  /** A request over the line, with its answer thrown away. */
  ask(name: string, values: Record<string, number>): void {
    try {
      new Device(this.rig).ask(name, values);
    } catch {}
  }

  /** One tick under a letter; the clauses of the invariant that what it commands breaks. */
  tick(letter: Letter, us: number): string[] {
    if (letter !== this.letter) this.letterTicks = 0;
    if (letter !== this.letter) this.verdict = verdictOf(letter);
    this.letter = letter;
    const { armed } = this;
    const claims = { armed, up: armed || this.mode === ARMING };
    this.put(letter, us);
    this.rig.core.tick((this.raw.nowUs % WRAP) | 0);
    this.letterTicks++;
    this.arming.update(this.raw, claims);
    return this.judge(us);
  }

  private judge(us: number): string[] {
    const { raw, letterTicks, verdict } = this;
    if (verdict.systemAt(letterTicks)) this.goodSinceUs = Number.POSITIVE_INFINITY;
    else this.goodSinceUs = Math.min(this.goodSinceUs, raw.nowUs);
    return this.fed ? this.broken(us) : [];
  }

  private broken(us: number): string[] {
    const { raw, verdict, letterTicks } = this;
    const broken: string[] = [];
    const fedNitrous = (s: number): boolean => this.u16[OUT.pulse! / 2 + NITROUS[s]!]! > 0;
    const wetDry = EXPLORED.stages.findIndex(
      ({ kind }, s) => kind === "wet" && fedNitrous(s) && this.u16[OUT.pulse! / 2 + 2 * s + 1]! === 0,
    );
    const outside = EXPLORED.stages.findIndex((_, s) => fedNitrous(s) && verdict.stageAt(s, letterTicks));
    if (wetDry >= 0) broken.push(`stage ${wetDry + 1} without fuel`);
    if (outside >= 0) broken.push(`stage ${outside + 1} outside its windows`);
    if (verdict.systemAt(letterTicks)) broken.push("system");
    if (this.mode !== FLOWING) broken.push(`fed in mode ${MODES[this.mode]}`);
    if (!(this.words[OUT.flags! / WORD]! & KEEP_ALIVE)) broken.push("relay open");
    if (!this.arming.allows(raw.nowUs)) broken.push("arming");
    if (raw.nowUs - this.goodSinceUs < HELD_US - us) broken.push("held");
    if (engineSilentUs(raw) > us + PULSE_AGE_US) broken.push("engine pulses");
    return broken;
  }

  private put(letter: Letter, us: number): void {
    const { raw } = this;
    raw.nowUs += us;
    if ((raw.switches ^ letter.switches) & 1) raw.armCuts++;
    if (letter.cut && this.letterTicks === 0) raw.armCuts++;
    raw.switches = letter.switches;
    const { engine: e, road: r } = EXPLORED;
    pulse(raw.engine, raw.nowUs, (letter.rpm(raw.engine.count) * e.pulsesHalfPulses) / 120e6);
    pulse(raw.road, raw.nowUs, (letter.deciKmh(raw.road.count) * r!.pulsesPerKm) / 3.6e10);
    raw.adcMissing = letter.adcMissing;
    if (letter.adcRuns) this.convert(letter);
    this.write();
  }

  private convert(letter: Letter): void {
    const { raw } = this;
    raw.adcRounds = (raw.adcRounds + 1) & 0xffff;
    const held = (this.words[OUT.flags! / WORD]! & KEEP_ALIVE) !== 0;
    const on = letter.relay === "welded" || (held && letter.relay === "sound");
    const supply = on ? 13_800 : 0;
    for (let n = 0; n < 8; n++) raw.adcA[n] = letter.adcA[n]!;
    raw.adcA[7] = letter.adcA[7]! || supplyCode(supply);
    raw.solenoidPins = 0;
    for (let n = 0; n < 8; n++) {
      const high = letter.sampledHigh && this.u16[OUT.pulse! / 2 + n]! > 0;
      if (high) raw.solenoidPins |= 1 << n;
      raw.adcB[n] = supplyCode(letter.drainsMv.get(n) ?? (high ? LOW_MV : supply));
    }
  }

  private write(): void {
    const { raw, words, u16 } = this;
    words[IN.switches! / WORD] = raw.switches;
    words[IN.armCuts! / WORD] = raw.armCuts;
    words[IN.enginePulses! / WORD] = raw.engine.count;
    words[IN.engineEdgeUs! / WORD] = raw.engine.edgeUs;
    words[IN.enginePeriodUs! / WORD] = raw.engine.periodUs;
    words[IN.roadPulses! / WORD] = raw.road.count;
    words[IN.roadEdgeUs! / WORD] = raw.road.edgeUs;
    words[IN.roadPeriodUs! / WORD] = raw.road.periodUs;
    u16.set(raw.adcA, IN.adcA! / 2);
    u16.set(raw.adcB, IN.adcB! / 2);
    u16[IN.solenoidPins! / 2] = raw.solenoidPins;
    u16[IN.adcMissing! / 2] = raw.adcMissing;
    u16[IN.adcRounds! / 2] = raw.adcRounds;
  }
}

/** A pulse in every tick, with the period of its speed: what the speed is, not how often it is seen. */
function pulse(train: Raw["engine"], nowUs: number, perUs: number): void {
  if (perUs === 0) return;
  train.count++;
  train.edgeUs = nowUs - PULSE_AGE_US;
  train.periodUs = Math.round(1 / perUs);
}
