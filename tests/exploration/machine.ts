// One core whose memory can be taken back to any moment, fed with letters; what it commands is judged in every tick.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { LOG_RING } from "#shared-schema/model/blocks.ts";
import { INTERLOCKS, MODES } from "#shared-schema/model/interlocks.ts";
import { type Document, pack, toBytes } from "#shared-schema/settings/pack.ts";
import { Arming } from "../oracle/arming.ts";
import { engineSilentUs } from "../oracle/conditions.ts";
import { Device } from "../oracle/device.ts";
import { looksLikeTry } from "../oracle/driver-try.ts";
import type { Letter } from "./alphabet.ts";
import { CoreMap, stateWord } from "./core-map.ts";
import { type Cause, discreteParts, type Part, partValue, SETTLED_US } from "./discrete.ts";
import { EXPLORED } from "./explored-settings.ts";
import { Plant, PULSE_AGE_US } from "./plant.ts";
import { type Snapshot, Snapshots } from "./snapshots.ts";
import { type Verdict, verdictOf } from "./verdict.ts";

const WORD = 4;
const WRAP = 2 ** 32;
const HELD_US = 20_000;
const [ARMED, FLOWING, ARMING] = [MODES.indexOf("armed"), MODES.indexOf("flowing"), MODES.indexOf("arming")];
const [TRIPPED, LOCKED] = [MODES.indexOf("tripped"), MODES.indexOf("locked")];

/** Where a machine stood: the core's memory, the inputs, and what the judge remembers. */
export interface Moment {
  readonly memory: Snapshot;
  readonly inputs: ReturnType<Plant["save"]>;
  readonly arming: Arming;
  readonly goodSinceUs: number;
  readonly letter: Letter;
  readonly letterTicks: number;
}

const [MODE_AT, TRIP_AT, ARMED_US_AT] = [stateWord("mode"), stateWord("trip"), stateWord("armedUs")];
const FLOWING_AT = stateWord("flowing");

function copyOf<T extends object>(value: T): T {
  return Object.assign(Object.create(Object.getPrototypeOf(value)), value);
}

/** A core with the explored settings, started, with the arm switch as in the first letter. */
export class Machine {
  readonly parts: readonly Part[];
  readonly words: Uint32Array;
  private readonly timers: readonly Part[];
  /** Words of what each stage asks for. */
  private readonly asked: readonly number[];
  private readonly marked: Uint16Array;
  private readonly rig: CoreRig;
  private readonly plant: Plant;
  private readonly snapshots: Snapshots;
  private arming = new Arming();
  private goodSinceUs = Number.POSITIVE_INFINITY;
  private letter: Letter;
  private letterTicks = 0;
  private verdict: Verdict;

  /** `rig` is not started yet. */
  constructor(rig: CoreRig, first: Letter) {
    this.rig = rig;
    rig.start();
    const settings = pack(EXPLORED as unknown as Document);
    new Device(rig).store(settings);
    this.words = new Uint32Array(rig.core.memory.buffer, 0, LOG_RING.address / WORD);
    this.plant = new Plant(rig);
    this.letter = first;
    this.verdict = verdictOf(first);
    this.tick(first, 1000);
    const map = new CoreMap(rig, toBytes(settings), this.plant.inputs.engine.count);
    this.parts = discreteParts(map);
    this.marked = new Uint16Array(this.parts.length);
    this.asked = EXPLORED.stages.map((_, s) => map.ofStage(s, "askedX32"));
    this.timers = this.parts.filter(({ limits, of }) => limits && !of);
    this.snapshots = new Snapshots(this.words);
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

  /**
   * Where the times stand that have not passed their last limit, and what stages ask for that do not flow yet: while one of
   * them moves, something will change.
   */
  get pending(): string {
    const { words, timers, asked } = this;
    let pending = "";
    for (const [s, at] of asked.entries()) if (!((words[FLOWING_AT]! >> s) & 1)) pending += `${words[at]} `;
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
    if (!reaction || cause?.reaction === reaction || cause?.lasting === reaction) return [];
    return [`${MODES[this.mode]} for ${cause?.id}`];
  }

  /** Is any solenoid pin driven, but for the test of a driver while it arms? */
  get fed(): boolean {
    for (let s = 0; s < 4; s++)
      if (this.plant.fed(s)) return !(this.mode === ARMING && looksLikeTry(this.plant.widths()));
    return false;
  }

  save(): Moment {
    const { plant, snapshots, arming, goodSinceUs, letter, letterTicks } = this;
    return {
      ...{ memory: snapshots.take(), inputs: plant.save(), arming: copyOf(arming) },
      ...{ goodSinceUs, letter, letterTicks },
    };
  }

  restore({ memory, inputs, arming, goodSinceUs, letter, letterTicks }: Moment): void {
    this.snapshots.restore(memory);
    this.plant.restore(inputs);
    this.arming = copyOf(arming);
    this.goodSinceUs = goodSinceUs;
    this.letter = letter;
    this.verdict = verdictOf(letter);
    this.letterTicks = letterTicks;
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
    if (letter !== this.letter) {
      this.letterTicks = 0;
      this.verdict = verdictOf(letter);
    }
    this.letter = letter;
    const { armed, plant } = this;
    const claims = { armed, up: armed || this.mode === ARMING };
    plant.pass(letter, us, this.letterTicks === 0);
    this.rig.core.tick((plant.inputs.nowUs % WRAP) | 0);
    this.letterTicks++;
    this.arming.update(plant.inputs, claims);
    return this.judge(us);
  }

  private judge(us: number): string[] {
    const { nowUs } = this.plant.inputs;
    if (this.verdict.systemAt(this.letterTicks)) this.goodSinceUs = Number.POSITIVE_INFINITY;
    else this.goodSinceUs = Math.min(this.goodSinceUs, nowUs);
    return this.fed ? this.broken(us) : [];
  }

  private broken(us: number): string[] {
    const { plant, verdict, letterTicks } = this;
    const { nowUs } = plant.inputs;
    const broken = EXPLORED.stages.flatMap((stage, s) => this.brokenStage(stage.kind, s));
    if (verdict.systemAt(letterTicks)) broken.push("system");
    if (this.mode !== FLOWING) broken.push(`fed in mode ${MODES[this.mode]}`);
    if (!plant.held) broken.push("relay open");
    if (!this.arming.allows(nowUs)) broken.push("arming");
    if (nowUs - this.goodSinceUs < HELD_US - us) broken.push("held");
    if (engineSilentUs(plant.inputs) > us + PULSE_AGE_US) broken.push("engine pulses");
    return broken;
  }

  private brokenStage(kind: "wet" | "dry", s: number): string[] {
    const { plant, verdict, letterTicks } = this;
    if (!plant.fed(s)) return [];
    const dry = kind === "wet" && plant.width(2 * s) > 0 && plant.width(2 * s + 1) === 0;
    return [
      ...(dry ? [`stage ${s + 1} without fuel`] : []),
      ...(verdict.stageAt(s, letterTicks) ? [`stage ${s + 1} outside its windows`] : []),
    ];
  }
}
