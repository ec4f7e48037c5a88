// Run files, whole, cut and damaged: what is whole is read, what is not is named, and nothing is read that was not written.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { crc32c } from "#host/codec/crc32c.ts";
import { chunkBytes, MOST_BYTES, SIGNATURE } from "#host/logbook/run-file/chunk.ts";
import {
  type ReadRunFile,
  type RunFile,
  readRunFile,
  runFileBytes,
} from "#host/logbook/run-file/run-file.ts";
import { runs } from "../../../support/effort.ts";

/** A page of any kind: it ends in the check sum of the rest. */
const wholePage = fc.uint8Array({ minLength: 252, maxLength: 252 }).map((bytes) => {
  const page = new Uint8Array(256);
  page.set(bytes);
  new DataView(page.buffer).setUint32(252, crc32c(bytes), true);
  return page;
});
const text = fc.string({ unit: "grapheme", maxLength: 60 });
const facts = fc.record({
  run: fc.nat(),
  board: fc.constant("a1b2c3"),
  image: fc.constant("0.1.0"),
  imageCrc: fc.constant("00c0ffee"),
  protocol: fc.nat(9),
  fingerprint: fc.constant("01234567"),
  pulled: fc.date({ noInvalidDate: true }).map((date) => date.toISOString()),
  tool: fc.constant("0.1.0"),
});
const settings = fc.record({
  fingerprint: fc.nat(),
  block: fc.uint8Array({ minLength: 2, maxLength: 1000 }),
});
const file: fc.Arbitrary<RunFile> = fc.record(
  { facts, settings, car: text, note: text, pages: fc.array(wholePage, { maxLength: 40 }) },
  { requiredKeys: ["pages"] },
);

/** What was read is part of what was written: every member equal or left out, and pages in their order. */
function expectPartOf(read: ReadRunFile, written: RunFile): void {
  const { pages, lacks, ...members } = read;
  expect(written).toMatchObject(members);
  let at = 0;
  for (const page of pages) {
    while (at < written.pages.length && !Buffer.from(page).equals(written.pages[at]!)) at++;
    expect(at).toBeLessThan(written.pages.length);
    at++;
  }
}

/** The file, or the failure that nothing in it is whole. */
function readOrRefused(bytes: Uint8Array): ReadRunFile | undefined {
  try {
    return readRunFile(bytes);
  } catch (thrown) {
    expect(thrown).toMatchObject({ code: "not-a-run-file" });
    return undefined;
  }
}

describe("a whole run file", () => {
  test.prop([file], runs(50))("gives back what was written, and lacks nothing", (written) => {
    const { lacks, ...read } = readRunFile(runFileBytes(written));
    expect(lacks).toEqual([]);
    expect(read).toEqual(written);
  });

  test.prop(
    [file, fc.array(fc.tuple(fc.nat(), fc.uint8Array({ maxLength: 300 })), { maxLength: 4 })],
    runs(50),
  )("with chunks of unknown types between its own is read the same", (written, unknown) => {
    const bytes = runFileBytes(written);
    const ends = chunkEnds(bytes);
    const put = unknown
      .map(([place, content]) => ({ at: ends[place % ends.length]!, content }))
      .sort((a, b) => b.at - a.at);
    let all = Buffer.from(bytes);
    for (const { at, content } of put) {
      const chunk = chunkBytes({ type: "X9YZ", bytes: content });
      all = Buffer.concat([all.subarray(0, at), chunk, all.subarray(at)]);
    }
    expect(readRunFile(all)).toEqual({ ...written, lacks: [] });
  });

  test("does not hold more in a chunk than a chunk may", () => {
    expect(() => runFileBytes({ note: "x".repeat(MOST_BYTES + 1), pages: [] })).toThrow(RangeError);
  });

  test("may hold members of the facts that are not known yet, and pages that go over several chunks", () => {
    const known = { run: 3, board: "a1b2c3", image: "0.1.0", imageCrc: "00c0ffee" };
    const more = { protocol: 4, fingerprint: "01234567", pulled: "2026-05-01T10:20:30.000Z", tool: "9.0.0" };
    const bytes = Buffer.from(JSON.stringify({ ...known, ...more, later: [1, 2] }));
    const done = chunkBytes({ type: "DONE", bytes: new Uint8Array(0) });
    const read = readRunFile(Buffer.concat([SIGNATURE, chunkBytes({ type: "FACT", bytes }), done]));
    expect(read).toEqual({ facts: { ...known, ...more }, pages: [], lacks: [] });
  });
});

/** Where each chunk ends, and the signature. */
function chunkEnds(bytes: Uint8Array): number[] {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.length);
  const ends: number[] = [SIGNATURE.length];
  for (let at = SIGNATURE.length; at < bytes.length; ends.push(at)) at += 12 + view.getUint32(at + 4, true);
  return ends;
}

/** Pages of which the last byte stands before `cut`. */
function pagesBefore(bytes: Uint8Array, cut: number): number {
  const ends = chunkEnds(bytes);
  let pages = 0;
  for (const [i, end] of ends.slice(1).entries()) {
    const from = ends[i]!;
    if (Buffer.from(bytes.subarray(from, from + 4)).toString() !== "PAGE") continue;
    pages += Math.floor(Math.max(0, Math.min(cut, end - 4) - from - 8) / 256);
  }
  return pages;
}

describe("a damaged run file", () => {
  test.prop([file, fc.nat()], runs(100))(
    "that is cut gives every page before the cut, and says so",
    (written, place) => {
      const bytes = runFileBytes(written);
      const cut = place % bytes.length;
      const read = readOrRefused(bytes.subarray(0, cut));
      expect(read?.pages.length ?? 0).toBe(pagesBefore(bytes, cut));
      if (!read) return;
      expectPartOf(read, written);
      expect(read.lacks.at(-1)).toContain("cut short");
    },
  );

  test.prop([file, fc.nat(), fc.uint8Array({ minLength: 1, maxLength: 600 })], runs(100))(
    "with other bytes in one stretch loses what lies there and no more, and says so",
    (written, place, other) => {
      const whole = runFileBytes(written);
      const bytes = Uint8Array.from(whole);
      const from = place % bytes.length;
      bytes.set(other.subarray(0, bytes.length - from), from);
      if (Buffer.from(bytes).equals(whole)) return;
      const read = readOrRefused(bytes);
      if (!read) return;
      expectPartOf(read, written);
      expect(read.lacks.length).toBeGreaterThan(0);
      const touched = Math.ceil(other.length / 256) + 1;
      expect(read.pages.length).toBeGreaterThanOrEqual(written.pages.length - touched);
    },
  );

  test.prop([file, fc.nat(), fc.nat(700), fc.uint8Array({ maxLength: 300 })], runs(100))(
    "with bytes missing or put in loses what lies there and no more, and says so",
    (written, place, missing, put) => {
      const whole = runFileBytes(written);
      const from = place % whole.length;
      const bytes = Buffer.concat([whole.subarray(0, from), put, whole.subarray(from + missing)]);
      if (bytes.equals(whole)) return;
      const read = readOrRefused(bytes);
      if (!read) return;
      expectPartOf(read, written);
      expect(read.pages.length).toBeGreaterThanOrEqual(written.pages.length - Math.ceil(missing / 256) - 1);
    },
  );

  test.prop([fc.uint8Array({ maxLength: 3000 })], runs(100))("of any bytes is refused", (bytes) => {
    expect(readOrRefused(bytes)).toBeUndefined();
  });

  test("names the place", () => {
    const bytes = runFileBytes({ note: "13.42 s at 168 km/h", car: "name: coupe", pages: [] });
    const at = Buffer.from(bytes).indexOf("13.42");
    bytes[at]! ^= 1;
    const { lacks, note, car } = readRunFile(bytes);
    expect([note, car]).toEqual([undefined, "name: coupe"]);
    expect(lacks).toEqual([`bytes ${at - 8} to ${at + 22} of the file are damaged`]);
  });

  test.prop([fc.constantFrom("FACT", "SETT", "PAGE"), fc.uint8Array({ maxLength: 3 })])(
    "with a whole chunk %s that does not hold what it should says so",
    (type, bytes) => {
      fc.pre(type !== "PAGE" || bytes.length > 0);
      const done = chunkBytes({ type: "DONE", bytes: new Uint8Array(0) });
      const read = readRunFile(Buffer.concat([SIGNATURE, chunkBytes({ type, bytes }), done]));
      expect(read).toEqual({ pages: [], lacks: [`a chunk ${type} does not hold what its type promises`] });
    },
  );
});
