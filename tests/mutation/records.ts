// What is known of the tests: how long each takes, how many mutants it has killed, and which are best tried first.
import { hasSeen } from "./seen.ts";
import type { Told } from "./worker.ts";

/** A test may take this many times as long as without a mistake, and so much more. */
const PATIENCE = 8;
const GRACE_MS = 3_000;
/** Before it is known how long it takes. */
const FIRST_MS = 240_000;

interface TestRecord {
  readonly name: string;
  readonly fewerRuns: boolean;
  ms: number;
  /** Mutants that it has killed. */
  readonly killed: number[];
  out: boolean;
  /** Mistakes that would make a difference, where they stand, while it runs. */
  seen: readonly number[];
}

/** Mutants this close by their numbers are mistakes in about the same function. */
const NEAR = 40;
/** A kill there counts so many times. */
const NEAR_COUNTS = 10;

/** Kills for each millisecond spent, as far as is known; every test has half a kill to begin with. */
function worth({ killed, ms }: TestRecord, mutant: number): number {
  const near = killed.filter((other) => Math.abs(other - mutant) < NEAR).length;
  return (killed.length + NEAR_COUNTS * near + 0.5) / (ms + 1);
}

/** Tests by their number in the bundle, shared by all workers. */
export class Records {
  private tests: TestRecord[] = [];

  /** Called by each worker that is ready; the tests are always the same. */
  start(tests: readonly Told[]): void {
    if (this.tests.length === 0)
      this.tests = tests.map((test) => ({ ...test, ms: 0, killed: [], out: false, seen: [] }));
  }

  /** In the order of their files: all that were not left out, or of those the ones that make fewer runs than they should. */
  takingPart(onlyFewerRuns: boolean): number[] {
    return this.tests.flatMap(({ out, fewerRuns }, i) => (out || (onlyFewerRuns && !fewerRuns) ? [] : [i]));
  }

  /** Those that take part and in which this mistake would make a difference, best first. */
  order(mutant: number): number[] {
    return this.tests
      .flatMap((test, i) =>
        test.out || !hasSeen(test.seen, mutant) ? [] : [{ i, worth: worth(test, mutant) }],
      )
      .sort((a, b) => b.worth - a.worth)
      .map(({ i }) => i);
  }

  limitMs(test: number): number {
    const { ms } = this.tests[test]!;
    return ms === 0 ? FIRST_MS : ms * PATIENCE + GRACE_MS;
  }

  took(test: number, ms: number): void {
    this.tests[test]!.ms = ms;
  }

  saw(test: number, seen: readonly number[]): void {
    this.tests[test]!.seen = seen;
  }

  leaveOut(test: number): void {
    this.tests[test]!.out = true;
  }

  /** The name of a test that has killed a mutant. */
  killedBy(test: number, mutant: number): string {
    const { name, killed } = this.tests[test]!;
    killed.push(mutant);
    return name;
  }

  get count(): number {
    return this.tests.filter(({ out }) => !out).length;
  }

  get leftOut(): string[] {
    return this.tests.filter(({ out }) => out).map(({ name }) => name);
  }
}
