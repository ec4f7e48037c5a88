// What is known of the tests: how long each takes, how many mutants it has killed, and which are best tried first.
import { hasSeen } from "./seen.ts";

/** A test may take this many times as long as without a mistake, and so much more. */
const PATIENCE = 8;
const GRACE_MS = 3_000;
/** Before it is known how long it takes. */
const FIRST_MS = 240_000;

interface TestRecord {
  readonly name: string;
  ms: number;
  kills: number;
  out: boolean;
  /** Functions of the core that it runs. */
  seen: readonly number[];
}

/** Kills for each millisecond spent, as far as is known; every test has half a kill to begin with. */
const worth = (test: TestRecord): number => (test.kills + 0.5) / (test.ms + 1);

/** Tests by their number in the bundle, shared by all workers. */
export class Records {
  private tests: TestRecord[] = [];

  /** Called by each worker that is ready; the names are always the same. */
  start(names: readonly string[]): void {
    if (this.tests.length === 0)
      this.tests = names.map((name) => ({ name, ms: 0, kills: 0, out: false, seen: [] }));
  }

  /** In the order of their files. */
  all(): number[] {
    return this.tests.map((_, i) => i);
  }

  /** Those that take part and run the function with this number, best first. */
  order(body: number): number[] {
    return this.tests
      .flatMap((test, i) => (test.out || !hasSeen(test.seen, body) ? [] : [i]))
      .sort((a, b) => worth(this.tests[b]!) - worth(this.tests[a]!));
  }

  limitMs(test: number): number {
    const { ms } = this.tests[test]!;
    return ms === 0 ? FIRST_MS : ms * PATIENCE + GRACE_MS;
  }

  passed(test: number, ms: number, seen: readonly number[]): void {
    this.tests[test]!.ms = ms;
    this.tests[test]!.seen = seen;
  }

  leaveOut(test: number): void {
    this.tests[test]!.out = true;
  }

  killedBy(test: number): string {
    this.tests[test]!.kills++;
    return this.tests[test]!.name;
  }

  nameOf(test: number): string {
    return this.tests[test]!.name;
  }

  get count(): number {
    return this.tests.filter(({ out }) => !out).length;
  }

  get leftOut(): string[] {
    return this.tests.filter(({ out }) => out).map(({ name }) => name);
  }
}
