// Random right settings: drawn from the table word by word, each change kept only when the whole is valid.
import { validate } from "#shared-schema/rules/validate.ts";
import { pack, unpack } from "#shared-schema/settings/pack.ts";
import { inUse, WORDS, type Word } from "#shared-schema/settings/words.ts";
import { fullDocument } from "../support/documents.ts";
import type { Random } from "../support/random.ts";
import type { Axis, Ramp, Settings, Stage, Windows } from "./settings.ts";

/** How many numbers are drawn anew. */
const CHANGES = 80;
const PLAIN = WORDS.filter((word) => word.role === "value" && word.node.kind !== "points");

/** Largest place that a ramp's axis is worth trying at, raw. */
const REACH: Record<Axis, number> = {
  time: 3000,
  launch: 3000,
  "engine-speed": 9000,
  "road-speed": 3000,
  manifold: 3000,
};

function ramp(random: Random, settings: Settings): Ramp {
  const axes: Axis[] = ["time", "engine-speed"];
  if (settings.launch) axes.push("launch");
  if (settings.road) axes.push("road-speed");
  if (settings.manifold) axes.push("manifold");
  const over = random.pick(axes);
  const count = random.between(2, 12);
  const step = Math.max(2, Math.floor((2 * REACH[over]) / count));
  let at = random.below(step);
  const points = Array.from({ length: count }, (): [number, number] => {
    const point: [number, number] = [
      at,
      random.pick([random.pick([0, 1000]), random.between(0, 1000), random.between(300, 1000)]),
    ];
    at += random.between(1, step);
    return point;
  });
  return { over, points };
}

/** Deletes one in two of the named parts. */
function thin<T extends object>(random: Random, parts: T, names: readonly (keyof T)[]): void {
  for (const name of names) if (random.oneIn(2)) delete parts[name];
}

function dropUnfit(settings: Settings, windows: Windows): void {
  if (!settings.road) delete windows.roadSpeed;
  if (!settings.manifold) delete windows.manifold;
  if (!settings.gearbox) delete windows.gears;
}

function stage(random: Random, whole: Stage, settings: Settings, first: boolean): Stage {
  const { fuelSolenoid, ...rest } = {
    ...structuredClone(whole),
    kind: random.oneIn(3) ? "dry" : "wet",
  } as Stage;
  const made: Stage = rest.kind === "wet" && fuelSolenoid ? { ...rest, fuelSolenoid } : rest;
  dropUnfit(settings, made);
  thin(random, made, ["roadSpeed", "manifold", "engineSpeed", "gears", "follows", "delay"]);
  if (first && !random.oneIn(20)) delete made.follows;
  if (made.kind === "wet" && random.oneIn(2)) delete made.enrichment;
  made.ramps = Array.from({ length: random.between(1, 2) }, () => ramp(random, settings));
  return made;
}

/** Optional parts there or not, stages and ramps drawn; numbers still those of the table's examples. */
function shape(random: Random): Settings {
  const settings = fullDocument() as unknown as Settings;
  thin(random, settings, ["road", "launch", "manifold", "bottle", "fuel", "lambda", "coolant", "gearbox"]);
  thin(random, settings, ["driveline", "retard", "purge", "heater", "bottleValve"]);
  if (!random.oneIn(4)) delete settings.engine.jump;
  if (!settings.road) {
    delete settings.gearbox;
    delete settings.driveline;
  }
  if (!settings.bottle) {
    delete settings.heater;
    delete settings.bottleValve;
  }
  if (random.oneIn(3)) delete settings.throttle.position;
  else if (random.oneIn(2)) settings.throttle.switch = "no";
  dropUnfit(settings, settings.windows);
  thin(random, settings.windows, ["roadSpeed", "manifold", "gears"]);
  const whole = settings.stages[0]!;
  const made = Array.from({ length: random.between(1, 4) }, (_, s) =>
    stage(random, whole, settings, s === 0),
  );
  settings.stages = made;
  return settings;
}

function drawn(random: Random, word: Word, now: number): number {
  if (random.oneIn(4)) return random.pick([word.min, word.max]);
  if (random.oneIn(2)) return random.between(word.min, word.max);
  const near = Math.max(1, Math.floor((word.max - word.min) / 50));
  return Math.min(word.max, Math.max(word.min, now + random.between(-near, near)));
}

/** A right document and its words. `adapt` may change its parts; then numbers, but those `kept`, are drawn anew where the rules allow it. */
export function rightDocument(
  random: Random,
  adapt: (settings: Settings) => void = () => {},
  kept?: RegExp,
): { settings: Settings; words: Uint16Array } {
  const shaped = shape(random);
  adapt(shaped);
  const words = pack(shaped as unknown as Parameters<typeof pack>[0]);
  if (validate(words).length > 0) throw new Error(`the shape is wrong: ${JSON.stringify(validate(words))}`);
  const usable = PLAIN.filter(
    (word) => inUse(word, words) && !STRUCTURE.test(word.path) && !kept?.test(word.path),
  );
  for (let i = 0; i < CHANGES; i++) {
    const word = random.pick(usable);
    const before = words[word.index]!;
    words[word.index] = drawn(random, word, before);
    if (validate(words).length > 0) words[word.index] = before;
  }
  return { settings: unpack(words) as unknown as Settings, words };
}

/** Words that decide what else must be there, and one that would only make a test wait. */
const STRUCTURE = /\.(kind|over|waitMs)$/;
