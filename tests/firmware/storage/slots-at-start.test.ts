// What the slots hold when the controller starts, and what is done about it with a quiet line: which settings count, which are
// programmed once more, and that no slot is written before it has been erased.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { SLOT_NOTES } from "#shared-schema/link/messages.ts";
import { FLASH } from "#shared-schema/model/blocks.ts";
import { runs } from "../../support/effort.ts";
import { SLOTS_FROM, StorageBench } from "./bench.ts";
import { LOADS, NUMBER, pointsOf, prepare, SCENARIOS, type Scenario, slotBytes } from "./scenarios.ts";

const [first, second, third] = LOADS as [(typeof LOADS)[0], (typeof LOADS)[0], (typeof LOADS)[0]];

describe("what lies in the slots at the start", () => {
  const KINDS = ["blank", "torn", "senseless", "foreign", "fits"] as const;
  type Kind = (typeof KINDS)[number];
  const bench = new StorageBench();

  function contents(kind: Kind, sequence: number, number: number, otherLayout: boolean): Uint8Array {
    const foreign = otherLayout ? { layout: 0x77 } : { fingerprint: 0x1234_5678 };
    const { block } = LOADS[sequence % 6]!;
    if (kind === "blank") return new Uint8Array(FLASH.sector).fill(0xff);
    if (kind === "senseless") return slotBytes(new Uint8Array(block.length).fill(0xa5), sequence, { number });
    const whole = slotBytes(block, sequence, kind === "foreign" ? { ...foreign, number } : { number });
    if (kind === "torn") whole[FLASH.page + 40]! ^= 0x10;
    return whole;
  }

  const slot = fc.record({
    kind: fc.constantFrom(...KINDS),
    number: fc.integer({ min: 0, max: 0xff_ffff }),
    otherLayout: fc.boolean(),
  });
  const first4 = fc.shuffledSubarray([0, 1, 2, 3], { minLength: 4 });
  const base = fc.constantFrom(1, 7, 2 ** 31 - 2, 2 ** 32 - 2);

  test.prop([fc.tuple(slot, slot, slot, slot), first4, base], runs(400))(
    "decides which settings are in force, or kept, and the note, as docs/storage.md has it",
    (slots, order, from) => {
      prepare(bench, { name: "", loads: [], idle: true });
      const sequences = order.map((n) => (from + n) % 2 ** 32);
      slots.forEach(({ kind, number, otherLayout }, i) => {
        bench.flash.bytes.set(
          contents(kind, sequences[i]!, number, otherLayout),
          SLOTS_FROM + i * FLASH.sector,
        );
      });
      bench.powerOn();
      const newest = (kind: Kind): number =>
        [0, 1, 2, 3].filter((i) => slots[i]!.kind === kind).sort((a, b) => order[b]! - order[a]!)[0] ?? -1;
      const has = (...kinds: Kind[]): boolean => slots.some(({ kind }) => kinds.includes(kind));
      const inForce = newest("fits");
      const kept = inForce >= 0 ? inForce : newest("foreign");
      let note: number = has("torn", "senseless") ? SLOT_NOTES.damaged : SLOT_NOTES.empty;
      if (inForce >= 0) note = has("torn", "senseless") ? SLOT_NOTES.cutOff : SLOT_NOTES.ok;
      else if (kept >= 0) note = SLOT_NOTES.wrongSchema;
      expect(bench.hello()).toMatchObject({
        slot: inForce + 1,
        settingsSequence: kept < 0 ? 0 : sequences[kept],
        settingsCrc: inForce < 0 ? 0 : LOADS[sequences[inForce]! % 6]!.crc,
        boardNumber: kept < 0 ? 0 : slots[kept]!.number,
        slotNote: note,
        retired: 0,
      });
    },
  );

  const torn = slotBytes(second.block, 5).fill(0, FLASH.page, FLASH.page + 8);
  test.each([
    ["with nothing beside them", 4, undefined, false],
    ["the first ever", 1, undefined, true],
    ["with something beside them that is not whole", 4, torn, true],
  ] as const)(
    "settings in force, %s: with a quiet line they are programmed once more over themselves, or not",
    (_, sequence, beside, again) => {
      const bench = new StorageBench();
      prepare(bench, { name: "", loads: [], idle: true, held: { load: first, sequence, number: NUMBER } });
      if (beside) bench.flash.bytes.set(beside, SLOTS_FROM + FLASH.sector);
      bench.powerOn();
      const done: string[] = [];
      bench.flash.onOperation = ({ kind, offset, before, after }) => {
        const at = Math.floor((offset - SLOTS_FROM) / FLASH.sector);
        done.push(`${kind} slot ${at + 1}`);
        if (at === 0) expect(Buffer.compare(before, after), "the same bits").toBe(0);
        return undefined;
      };
      bench.idle();
      bench.flash.onOperation = undefined;
      const PAGES = 5;
      expect(done).toEqual([...new Array(again ? PAGES : 0).fill("program slot 1"), "erase slot 2"]);
      expect(bench.hello()).toMatchObject({ slot: 1, settingsSequence: sequence });
    },
  );

  test("settings stored later are not programmed once more, whatever was found at the start", () => {
    const bench = new StorageBench();
    prepare(bench, { name: "", loads: [], idle: true, held: { load: first, sequence: 4, number: NUMBER } });
    bench.flash.bytes.set(torn, SLOTS_FROM + FLASH.sector);
    bench.powerOn();
    bench.idle();
    bench.send(third);
    bench.commit(third);
    const programmed: number[] = [];
    bench.flash.onOperation = ({ kind, offset }) => {
      if (kind === "program") programmed.push(offset);
      return undefined;
    };
    bench.idle();
    expect(programmed).toEqual([]);
  });

  test("a slot that is whole in each of three readings but with another header each time is not whole", () => {
    const bench = new StorageBench();
    prepare(bench, { name: "", loads: [], idle: true, held: { load: first, sequence: 4, number: NUMBER } });
    const headers = [4, 6].map((sequence) => slotBytes(first.block, sequence, { number: NUMBER }));
    let readings = 0;
    const read = bench.flash.read.bind(bench.flash);
    bench.flash.read = (offset, length) => {
      if (offset === SLOTS_FROM) bench.flash.bytes.set(headers[readings++ % 2]!, SLOTS_FROM);
      return read(offset, length);
    };
    bench.powerOn();
    expect(bench.hello()).toMatchObject({ slot: 0, slotNote: SLOT_NOTES.damaged });
  });
});

const NOT_ERASED: Scenario = {
  name: "a slot that is not erased by an erase, at once",
  loads: [first, second],
  idle: false,
  held: { load: third, sequence: 4, number: NUMBER },
  stuck: [{ slot: 1, high: false }],
};

test.each([...SCENARIOS, NOT_ERASED])(
  "$name: no slot is written that has not been erased since the start",
  (scenario) => {
    const erased = new Set<number>();
    for (const { operation } of pointsOf(new StorageBench(), scenario)) {
      const { kind, offset, before, after } = operation;
      const slot = Math.floor((offset - SLOTS_FROM) / FLASH.sector);
      if (kind === "erase") erased.add(slot);
      else if (Buffer.compare(before, after) !== 0 && after.some((byte) => byte !== 0))
        expect([...erased]).toContain(slot);
    }
  },
);
