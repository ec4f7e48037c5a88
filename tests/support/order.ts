// Order of the test files: slow ones first, so that no processor waits for one at the end; with a seed, any order.
import { relative } from "node:path";
import { BaseSequencer, type TestSpecification } from "vitest/node";
import { Random } from "./random.ts";
import { SLOW } from "./slow-tests.ts";

const byName = (a: TestSpecification, b: TestSpecification): number => (a.moduleId < b.moduleId ? -1 : 1);

function shuffled<T>(list: readonly T[], seed: number): T[] {
  const random = new Random(seed);
  const left = [...list];
  return list.map(() => left.splice(random.below(left.length), 1)[0]!);
}

/** `vitest run --sequence.seed=N` gives order N; without a seed, the slowest come first as far as is known. */
export class SlowFirst extends BaseSequencer {
  private isSlow({ moduleId }: TestSpecification): boolean {
    return SLOW.includes(relative(this.ctx.config.root, moduleId).replaceAll("\\", "/"));
  }

  override async sort(files: TestSpecification[]): Promise<TestSpecification[]> {
    const { seed } = this.ctx.config.sequence;
    if (seed !== undefined) return shuffled(files.sort(byName), seed);
    const known = await super.sort(files);
    return [...known.filter((file) => this.isSlow(file)), ...known.filter((file) => !this.isSlow(file))];
  }
}
