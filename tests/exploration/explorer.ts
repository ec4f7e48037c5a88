// Breadth-first over the discrete states of the core: every new one is met once with every letter, for three lengths of time.
import type { CoreRig } from "#host/bench/core/rig.ts";
import { MODES } from "#shared-schema/model/interlocks.ts";
import { ALPHABET, ARM_OFF, GOOD, type Letter, LIFTED } from "./alphabet.ts";
import { type Part, partValue } from "./discrete.ts";
import { escapes } from "./escapes.ts";
import { Machine, type Moment } from "./machine.ts";

const TICK_US = 1000;
/** A round of turns. */
const ROUND_TICKS = 4;

/** A state that was reached: from which other, and how. Those with too much at once are not gone on from. */
interface Found {
  readonly key: string;
  readonly from: number;
  readonly by: string;
  readonly moment: Moment | undefined;
}

/** How far to go. What is left out has no bound. */
export interface Bounds {
  /** What may stand at the inputs: all letters where it is left out. */
  readonly letters?: readonly Letter[];
  /** Only states with at most so many kinds of disturbance under way at once are gone on from. */
  readonly atOnce?: number;
  /** At most so many states are gone on from. */
  readonly expand?: number;
}

/** What was seen, and the first things that were wrong. */
export interface Explored {
  readonly states: number;
  /** How many of them were gone on from, and whether that was all of them that the first bound allows. */
  readonly expanded: number;
  readonly closed: boolean;
  readonly transitions: number;
  readonly ticks: number;
  readonly parts: readonly Part[];
  /** By name of a part and by value, how many states of each mode have it. */
  readonly values: ReadonlyMap<string, ReadonlyMap<number, readonly number[]>>;
  /** Every change of mode that one tick or one request made: `armed-flowing`. */
  readonly moves: ReadonlySet<string>;
  readonly wrong: readonly string[];
}

/** Longer than the arm switch must be off, and from there to flow; shorter than a stage may flow. */
const CALM_TICKS = 300;
/** The self-test, and as long as the throttle must be seen closed. */
const LIFT_TICKS = 150;
/** More than a round of turns. */
const LOOK_TICKS = 6;
const MOST_WRONG = 5;
const UNBOUNDED = Number.POSITIVE_INFINITY;

class Explorer {
  private readonly found: Found[] = [];
  private readonly wrong: string[] = [];
  private readonly values = new Map<string, Map<number, number[]>>();
  private transitions = 0;
  private ticks = 0;
  private expanded = 0;
  private forgotten = 0;
  private closed = true;
  private readonly known = new Set<string>();
  private readonly moves = new Set<string>();
  private readonly machine: Machine;
  private readonly letters: readonly Letter[];
  private readonly atOnce: number;
  private readonly most: number;
  private readonly escapes: (moment: Moment) => string[];
  private readonly calm: readonly number[];
  /** Where calm flow stands: begun from as well as from the start, so that a bounded exploration comes to both. */
  private readonly flow: Moment;

  constructor(rig: CoreRig, { letters = ALPHABET, atOnce = UNBOUNDED, expand = UNBOUNDED }: Bounds) {
    const machine = new Machine(rig, ARM_OFF);
    this.machine = machine;
    this.letters = letters;
    this.atOnce = atOnce;
    this.most = expand;
    this.escapes = escapes(machine);
    const start = machine.save();
    for (let i = 0; i < CALM_TICKS; i++) machine.tick(ARM_OFF, TICK_US);
    for (let i = 0; i < LIFT_TICKS; i++) machine.tick(LIFTED, TICK_US);
    for (let i = 0; i < CALM_TICKS; i++) machine.tick(GOOD, TICK_US);
    if (!machine.fed) throw new Error("the explored settings do not flow");
    this.calm = machine.parts.map((part) => partValue(part, machine.words));
    this.flow = machine.save();
    machine.restore(start);
  }

  /** Notes where the machine stands; new states are asked for their ways out. */
  private note(from: number, by: string): void {
    const { machine, known, found } = this;
    this.transitions++;
    const { key } = machine;
    if (known.has(key)) return;
    known.add(key);
    const moment = machine.save();
    const atOnce = machine.armed ? machine.disturbed(this.calm) : 0;
    found.push({ key, from, by, moment: atOnce <= this.atOnce ? moment : undefined });
    this.count();
    for (const wrong of this.escapes(moment)) this.complain(found.length - 1, wrong);
  }

  private count(): void {
    const { machine, values } = this;
    for (const part of machine.parts) {
      const ofPart = values.get(part.name) ?? new Map<number, number[]>();
      const value = partValue(part, machine.words);
      const modes = ofPart.get(value) ?? MODES.map(() => 0);
      modes[machine.mode]!++;
      values.set(part.name, ofPart.set(value, modes));
    }
  }

  private complain(number: number, what: string): void {
    const path: string[] = [];
    for (let at = number; at >= 0; at = this.found[at]!.from) path.unshift(this.found[at]!.by);
    this.wrong.push(`${what}, after ${path.join("; ")}`);
  }

  private tick(letter: Letter, us: number, from: number): void {
    this.ticks++;
    const before = this.machine.mode;
    const broken = this.machine.tick(letter, us);
    this.moved(before);
    if (broken.length > 0) this.complain(from, `${broken.join(", ")} under ${letter.name}`);
  }

  private moved(before: number): void {
    const { mode } = this.machine;
    if (mode !== before) this.moves.add(`${MODES[before]}-${MODES[mode]}`);
  }

  /** A state meets letters, each for the three lengths of time. */
  private meet(letters: readonly Letter[], from: number, moment: Moment): void {
    for (const letter of letters) {
      this.machine.restore(moment);
      this.tick(letter, TICK_US, from);
      this.note(from, letter.name);
      for (let i = 1; i < ROUND_TICKS; i++) this.tick(letter, TICK_US, from);
      this.note(from, `${letter.name} for a round`);
      this.wait(letter, from);
    }
  }

  private expand(letters: readonly Letter[], from: number, moment: Moment): void {
    const { machine } = this;
    this.expanded++;
    this.meet(letters, from, moment);
    for (const on of [0, 1]) {
      machine.restore(moment);
      const { mode } = machine;
      machine.ask("service", { on });
      this.moved(mode);
      this.note(from, `request for service ${on}`);
    }
  }

  /** Late ticks until something discrete changes, or no time is running that could change it. */
  private wait(letter: Letter, from: number): void {
    const { machine } = this;
    const { ticks, us } = letter.patience;
    machine.mark();
    let pending = "";
    for (let i = 0; i < ticks && !machine.moved; i++) {
      if (i % LOOK_TICKS === 0) {
        const now = machine.pending;
        if (now === pending) return;
        pending = now;
      }
      this.tick(letter, us, from);
    }
    if (machine.moved) this.note(from, `${letter.name} until something changes`);
  }

  /** From the start and from calm flow, all that the letters lead to. */
  run(): void {
    this.note(-1, "start");
    this.machine.restore(this.flow);
    this.note(-1, "calm flow");
    this.goOn(0, this.letters);
  }

  /** Goes on from the states from a number on, and from those that are found thereby. */
  private goOn(first: number, letters: readonly Letter[]): void {
    const { found, most, wrong } = this;
    let next = first;
    for (; next < found.length && this.expanded < most && wrong.length < MOST_WRONG; next++) {
      const { moment } = found[next]!;
      if (moment) this.expand(letters, next, moment);
    }
    this.closed &&= next === found.length;
  }

  /** All that more letters lead to from what was found so far. Forgets it, so that others can follow. */
  with(more: readonly Letter[]): void {
    const { found, known } = this;
    const before = found.length;
    for (let at = 0; at < before; at++) this.meet(more, at, found[at]!.moment!);
    this.goOn(before, [...this.letters, ...more]);
    const states = found.splice(before);
    for (const { key } of states) known.delete(key);
    this.forgotten += states.length;
  }

  get explored(): Explored {
    const { found, forgotten, expanded, closed, transitions, ticks, values, moves, wrong, machine } = this;
    const states = found.length + forgotten;
    return { states, expanded, closed, transitions, ticks, parts: machine.parts, values, moves, wrong };
  }
}

/** Explores a core that is not started yet until the bounds are met; stops at the first few things that are wrong. */
export function explore(rig: CoreRig, bounds: Bounds): Explored {
  const explorer = new Explorer(rig, bounds);
  explorer.run();
  return explorer.explored;
}

/** What a driver does with a sound car: off, lifted, wide open. */
export const CALM: readonly Letter[] = [GOOD, LIFTED, ARM_OFF];

/**
 * All that calm letters lead to, and then for each list of disturbances all that calm letters and those lead to, however often
 * they come and go.
 */
export function exploreEach(rig: CoreRig, lists: readonly (readonly Letter[])[]): Explored {
  const explorer = new Explorer(rig, { letters: CALM });
  explorer.run();
  for (const list of lists) explorer.with(list);
  return explorer.explored;
}
