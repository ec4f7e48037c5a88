// Every discrete state that a disturbance can bring the core to, breadth-first on the released core: off is always a tick away, and flow never out of reach.
import fc from "fast-check";
import { beforeAll, describe, expect, test } from "vitest";
import { CoreRig } from "#host/bench/core/rig.ts";
import { interlockNumber, MODES } from "#shared-schema/model/interlocks.ts";
import { pairsOf, TRANSITIONS } from "#shared-schema/model/modes.ts";
import { ALPHABET, type Letter } from "../../exploration/alphabet.ts";
import { stateWord } from "../../exploration/core-map.ts";
import { CALM, type Explored, explore, exploreEach } from "../../exploration/explorer.ts";
import { modesOf, neverReached, reachedText } from "../../exploration/reached.ts";
import { freshCore } from "../../support/core.ts";
import { ALL, sample } from "../../support/effort.ts";
import { Random } from "../../support/random.ts";
import { switchableCore, switchOff } from "../../support/switchable-core.ts";

/** HEADGATE_EXPLORATION=whole, in CI, has any two disturbances under way: it takes more than an hour. */
const WHOLE = process.env.HEADGATE_EXPLORATION === "whole";
const LONGEST_MS = WHOLE ? 14_400_000 : 900_000;
/** Without a disturbance under way, how many states meet all inputs. */
const EXPAND = ALL ? Number.POSITIVE_INFINITY : 80;
/** The longest time of a stage comes before that of the run (see interlocks-trip.ts); the settings here watch no clamps (see clamps.test.ts). */
const NEVER = ["runFlowedUs at 600000", "trip CLAMP"];

const letter = (name: string): Letter => ALPHABET.find((one) => one.name === name)!;
const SINGLE = ALPHABET.filter((one) => !CALM.includes(one)).map((one) => [one]);
/** No pressure counts as a fault only where the driver has opened the bottle's valve. */
const BY_HAND = [[letter("bottle at 500"), letter("bottleValve closed")]];
const PAIRS = SINGLE.flatMap(([first], i) => SINGLE.slice(i + 1).map(([second]) => [first!, second!]));
/** In CI so many pairs, others for each seed. */
const PAIRS_IN_CI = 3;

function disturbances(): readonly (readonly Letter[])[] {
  if (!ALL) return sample(SINGLE, 45);
  const random = new Random(fc.readConfigureGlobal()?.seed ?? 1);
  const pairs = WHOLE ? PAIRS : Array.from({ length: PAIRS_IN_CI }, () => random.pick(PAIRS));
  return [...SINGLE, ...BY_HAND, ...pairs];
}

/** The self-test ends, and in the same tick a value past its limit trips. */
const TWO_IN_ONE_TICK = "arming-tripped";

function tell(explored: Explored, how: string): void {
  const { states, expanded, closed, transitions, ticks } = explored;
  process.stdout.write(
    `exploration: ${states} states, ${transitions} transitions, ${ticks} ticks; ${closed ? "all" : "the first"} ` +
      `${expanded} gone on from; ${how}\n${reachedText(explored)}\n`,
  );
}

describe("the states of the released core", () => {
  let all: readonly Explored[];

  beforeAll(() => {
    const undisturbed = explore(freshCore(), { atOnce: 0, expand: EXPAND });
    tell(undisturbed, `gone on from those without a disturbance under way, under ${ALPHABET.length} inputs`);
    const lists = disturbances();
    const disturbed = exploreEach(freshCore(), lists);
    tell(
      disturbed,
      `under ${lists.length} disturbances one by one, in CI some of two together, as often as they like`,
    );
    all = [undisturbed, disturbed];
  }, LONGEST_MS);

  test("each has off one tick away, keeps the invariant, and is left as its mode allows", () => {
    expect(all.flatMap(({ wrong }) => wrong)).toEqual([]);
    expect(all.map(({ closed }) => closed)).toEqual([ALL, true]);
  });

  test("are of every mode, and in CI at every end of every time and of every cause that latches", () => {
    const reached = (number: number): boolean =>
      all.some((explored) => modesOf(explored, "mode", number).length > 0);
    expect(MODES.filter((_, number) => reached(number))).toEqual(MODES);
    const [undisturbed, disturbed] = all.map(neverReached);
    if (ALL) expect(disturbed!.filter((end) => undisturbed!.includes(end))).toEqual(NEVER);
  });

  test("change by transitions of the table alone", () => {
    const pairs = [...TRANSITIONS.flatMap(pairsOf), TWO_IN_ONE_TICK];
    const moves = all.flatMap((explored) => [...explored.moves]);
    expect(moves.filter((move) => !pairs.includes(move))).toEqual([]);
    expect(new Set(moves).size).toBeGreaterThan(10);
  });
});

describe("the exploration can fail", () => {
  let broken: WebAssembly.Module;

  beforeAll(async () => {
    broken = await switchableCore();
  });

  test.each([
    ["ARM", "arm open"],
    ["WOT", "throttle open"],
    ["SENSOR", "lambda short to ground"],
  ])("on a core without %s, by: %s", (id, by) => {
    const rig = new CoreRig(broken);
    switchOff(rig, interlockNumber(id));
    expect(exploreEach(rig, [[letter(by)]]).wrong).not.toEqual([]);
  });

  /** A core that goes from one mode to another in every tick. */
  function moved(from: number, to: number): CoreRig {
    const rig = freshCore();
    const { core } = rig;
    const words = new Uint32Array(core.memory.buffer);
    const tick = (nowUs: number): void => {
      const before = words[stateWord("mode")];
      core.tick(nowUs);
      if (before === from) words[stateWord("mode")] = to;
    };
    Object.assign(rig, { core: { ...core, tick } });
    return rig;
  }

  test.each([
    ["does not leave a trip", "tripped", "tripped"],
    ["does not leave armed", "armed", "armed"],
    ["leaves a lockout", "locked", "off"],
  ] as const)("on a core that %s", (_, from, to) => {
    const rig = moved(MODES.indexOf(from), MODES.indexOf(to));
    expect(exploreEach(rig, [[letter("relay welded")]]).wrong).not.toEqual([]);
  });
});
