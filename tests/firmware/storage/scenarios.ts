// Courses of events in which settings are stored; each is run once to find every flash operation in it.

import { crc32c } from "#host/codec/crc32c.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { FINGERPRINT } from "#shared-schema/generated/fingerprint.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import type { Document } from "#shared-schema/settings/pack.ts";
import { LAYOUT_VERSION } from "#shared-schema/settings/settings.ts";
import { fullDocument, smallDocument } from "../../support/documents.ts";
import type { Image, Operation } from "../../support/failing-flash.ts";
import { type Load, loadOf, SLOTS_FROM, SLOTS_TO, type StorageBench } from "./bench.ts";

const MAGIC = 0x54534748;
const HEADER_WORDS = 7;
/** What a slot uses of its sector: a page for its header, and four of settings, with zeros behind them. */
const SLOT_BYTES = 1280;
const BOARD_BITS_AT = 8;
/** Numbers of boards that have one at first. */
export const NUMBER = 0xc0ffee;

/** Bytes of a slot as docs/storage.md has them, written without the core. */
export function slotBytes(
  block: Uint8Array,
  sequence: number,
  { fingerprint = FINGERPRINT, layout = LAYOUT_VERSION, number = 0, retired = 0 } = {},
): Uint8Array {
  const bytes = new Uint8Array(FLASH.sector).fill(0xff);
  const view = new DataView(bytes.buffer);
  const words = [
    MAGIC,
    layout,
    fingerprint,
    sequence,
    block.length,
    number * 2 ** BOARD_BITS_AT + retired,
    crc32c(block),
  ];
  words.forEach((word, i) => {
    view.setUint32(4 * i, word, true);
  });
  view.setUint32(4 * HEADER_WORDS, crc32c(bytes.subarray(0, 4 * HEADER_WORDS)), true);
  bytes.fill(0, FLASH.page, SLOT_BYTES).set(block, FLASH.page);
  return bytes;
}

const blockOf = (document: unknown): Uint8Array => settingsBytes(document as Document);

function variant(riseLimitPercentPerS: number): Uint8Array {
  const document = fullDocument();
  (document.flow as Record<string, number>).riseLimitPercentPerS = riseLimitPercentPerS;
  return blockOf(document);
}

/** Different right settings, in the order in which scenarios store them; each offers another number. */
export const LOADS: readonly Load[] = [
  blockOf(fullDocument()),
  blockOf(smallDocument()),
  variant(700),
  variant(800),
  variant(900),
  variant(1000),
].map((block, i) => loadOf(block, i + 1, 0xa00001 + i));
/** What is stored after a recovery. */
export const LAST = loadOf(variant(500), 99, 0xffffff);

/** What the flash holds first, and which settings are stored one after the other. */
export interface Scenario {
  readonly name: string;
  readonly loads: readonly Load[];
  /** Does the main loop get time for its slow work between the loads? */
  readonly idle: boolean;
  /** Settings in force at first, and what their header holds. */
  readonly held?: InForce;
  /** Settings of another schema, in slot A. */
  readonly foreign?: Uint8Array;
  readonly foreignNumber?: number;
  /** Slots, from 0, with a bit that cannot be programmed (`high`) or not be erased. */
  readonly stuck?: readonly { readonly slot: number; readonly high: boolean }[];
}

const [first, second, third, fourth, fifth, sixth] = LOADS as [Load, Load, Load, Load, Load, Load];
const held = (sequence: number, number = NUMBER): InForce => ({ load: sixth, sequence, number });

export const SCENARIOS: readonly Scenario[] = [
  { name: "first-save", loads: [first], idle: true },
  { name: "first-save-at-once", loads: [first], idle: false },
  { name: "three-saves", loads: [first, second, third], idle: true, held: held(7) },
  { name: "three-saves-at-once", loads: [first, second, third], idle: false, held: held(7) },
  { name: "first-number", loads: [first, second], idle: true, held: held(7, 0) },
  { name: "first-number-at-once", loads: [first, second], idle: false, held: held(1, 0) },
  { name: "round-the-ring", loads: [first, second, third, fourth, fifth], idle: true, held: held(1) },
  { name: "sequence-wraps", loads: [first, second], idle: true, held: held(0xffff_ffff) },
  { name: "sequence-wraps-at-once", loads: [first, second, third], idle: false, held: held(0xffff_fffe) },
  { name: "same-again", loads: [sixth, loadOf(sixth.block, 7, 0xa00007)], idle: true, held: held(3) },
  {
    name: "other-schema",
    loads: [first, second],
    idle: true,
    foreign: slotBytes(third.block, 5, { fingerprint: 0x1234_5678, number: NUMBER }),
    foreignNumber: NUMBER,
  },
  {
    name: "other-schema-without-number",
    loads: [first],
    idle: true,
    foreign: slotBytes(third.block, 5, { fingerprint: 0x1234_5678 }),
  },
  {
    name: "bad-slot",
    loads: [first, second],
    idle: true,
    held: held(2, 0),
    stuck: [{ slot: 1, high: true }],
  },
  {
    name: "two-bad-slots",
    loads: [first, second],
    idle: false,
    held: held(2),
    stuck: [
      { slot: 1, high: true },
      { slot: 2, high: false },
    ],
  },
];

/** What must be in force: `undefined` is no settings. */
export interface InForce {
  readonly load: Load;
  readonly sequence: number;
  /** Number of the board, 0 for none. */
  readonly number: number;
}

/** One flash operation of a scenario, with the flash before it and what may be in force after a cut in it. */
export interface Point {
  readonly scenario: Scenario;
  readonly index: number;
  readonly operation: Operation;
  readonly before: Image;
  readonly allowed: readonly (InForce | undefined)[];
}

/** Fills the flash as a scenario has it at first. */
export function prepare(bench: StorageBench, { held: old, foreign, stuck = [] }: Scenario): void {
  const { flash } = bench;
  flash.onOperation = undefined;
  flash.restore(SLOTS_FROM, { bytes: new Uint8Array(SLOTS_TO - SLOTS_FROM).fill(0xff), weak: new Map() });
  if (old) flash.bytes.set(slotBytes(old.load.block, old.sequence, old), SLOTS_FROM);
  if (foreign) flash.bytes.set(foreign, SLOTS_FROM);
  flash.stuck.clear();
  for (const { slot, high } of stuck) {
    flash.stuck.set(SLOTS_FROM + slot * FLASH.sector + FLASH.page + 3, { bits: 0xff, high });
  }
}

/** Runs a scenario to its end; every flash operation in it. */
export function pointsOf(bench: StorageBench, scenario: Scenario): Point[] {
  const points: Point[] = [];
  let old: InForce | undefined = scenario.held;
  let coming: InForce | undefined;
  prepare(bench, scenario);
  bench.flash.onOperation = (operation) => {
    const allowed = coming ? [old, coming] : [old];
    points.push({ scenario, index: points.length, operation, before: bench.save(), allowed });
    return undefined;
  };
  bench.powerOn();
  if (scenario.idle) bench.idle();
  for (const load of scenario.loads) {
    bench.send(load);
    const number = (old?.number ?? scenario.foreignNumber) || load.number;
    coming = { load, sequence: nextSequence(scenario, old), number };
    if (bench.commit(load) !== coming.sequence) throw new Error("stored under another number");
    old = coming;
    coming = undefined;
    if (scenario.idle) bench.idle();
  }
  bench.flash.onOperation = undefined;
  return points;
}

const FOREIGN_SEQUENCE = 5;

function nextSequence({ foreign }: Scenario, old: InForce | undefined): number {
  return ((old?.sequence ?? (foreign ? FOREIGN_SEQUENCE : 0)) + 1) >>> 0;
}
