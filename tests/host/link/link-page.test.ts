// docs/link.md against the codec: its example frames, its check value, its longest frame, its tables, and the twin built from it.
import { readFileSync } from "node:fs";
import { describe, expect, test } from "vitest";
import { cobsDecode, cobsEncode } from "#host/codec/cobs.ts";
import { crc32c } from "#host/codec/crc32c.ts";
import { decodeFrame, encodeFrame, FRAME_MAX_BYTES } from "#host/link/frame.ts";
import { decodePayload } from "#host/link/payload.ts";
import { linkTables } from "#shared-schema/generate/link-doc.ts";
import { FINGERPRINT, RULE_IDS } from "#shared-schema/generated/fingerprint.ts";
import {
  ANSWER_BIT,
  MAX_PAYLOAD,
  MESSAGES,
  PROTOCOL_VERSION,
  REFUSAL,
} from "#shared-schema/link/messages.ts";
import { TRAPS } from "#shared-schema/model/blocks.ts";
import { WORDS } from "#shared-schema/settings/words.ts";
import { tableRows } from "../../support/markdown.ts";

const PAGE = readFileSync("docs/link.md", "utf8");
const bytes = (text: string): Uint8Array =>
  Uint8Array.from(text.trim().split(" "), (byte) => Number.parseInt(byte, 16));
const EXAMPLES = [...PAGE.matchAll(/before stuffing: (.*)\non the line: {5}(.*)\n/g)].map(
  ([, raw, line]) => ({
    raw: raw!,
    line: line!,
  }),
);

describe("examples", () => {
  test("there are four", () => {
    expect(EXAMPLES.length).toBe(4);
  });

  test.each(EXAMPLES)("$line", ({ raw, line }) => {
    const onLine = bytes(line);
    expect(onLine.at(-1)).toBe(0);
    expect(cobsDecode(onLine.subarray(0, -1))).toEqual(bytes(raw));
    expect(cobsEncode(bytes(raw))).toEqual(onLine.subarray(0, -1));
    const frame = decodeFrame(onLine.subarray(0, -1))!;
    expect(encodeFrame(frame)).toEqual(onLine);
  });

  test("mean what the page says", () => {
    const frames = EXAMPLES.map(({ line }) => decodeFrame(bytes(line).subarray(0, -1))!);
    expect(frames.map(({ sequence, kind }) => [sequence, kind])).toEqual([
      [1, 0x01],
      [2, 0x03],
      [7, 0x12 | ANSWER_BIT],
      [3, 0xff],
    ]);
    const read = MESSAGES.find((m) => m.name === "read")!;
    const commit = MESSAGES.find((m) => m.name === "writeCommit")!;
    expect(decodePayload(read.request, frames[1]!.payload)?.values).toEqual({ offset: 0, length: 4 });
    expect(decodePayload(commit.answer, frames[2]!.payload)?.values).toEqual({
      id: 0x04030201,
      sequence: 1,
      slot: 1,
    });
    expect(decodePayload(REFUSAL, frames[3]!.payload)?.values).toEqual({
      kind: 0x10,
      reason: 3,
      word: 0,
      rule: 0,
    });
  });
});

test("the check value is the codec's", () => {
  expect(PAGE).toContain(`0x${crc32c(new TextEncoder().encode("123456789")).toString(16).toUpperCase()}`);
});

test("the longest frame is the one that the codec makes of a full payload without zeros", () => {
  const longest = encodeFrame({ sequence: 1, kind: 1, payload: new Uint8Array(MAX_PAYLOAD).fill(1) });
  expect(longest.length - 1).toBe(FRAME_MAX_BYTES);
  expect(PAGE).toContain(`The longest frame is ${FRAME_MAX_BYTES} bytes`);
});

describe("a client written from the page alone", () => {
  const rowsUnder = (heading: string): string[][] => {
    const part = PAGE.split(`\n## ${heading}\n`)[1]?.split("\n## ")[0] ?? "";
    return tableRows(part).map((row) => row.map((cell) => cell.replaceAll("`", "")));
  };

  test("finds protocol, layout, fingerprint and length", () => {
    expect(Object.fromEntries(rowsUnder("This version"))).toMatchObject({
      protocol: String(PROTOCOL_VERSION),
      fingerprint: `0x${FINGERPRINT.toString(16).padStart(8, "0")}`,
      settingsBytes: String(2 * WORDS.length),
    });
  });

  test("finds every rule by its number, with what it asks", () => {
    const rows = rowsUnder("Rules");
    expect(rows.map(([number, id]) => [Number(number), id])).toEqual([...RULE_IDS.entries()]);
    expect(rows.every(([, , text]) => (text ?? "").length > 10)).toBe(true);
  });

  test("finds every trap by its number", () => {
    const [, numbers] = rowsUnder("Numbers with a meaning").find(([what]) => what === "traps (bootDetail)")!;
    expect(numbers).toBe(
      Object.entries(TRAPS)
        .map(([name, number]) => `${number} ${name}`)
        .join(", "),
    );
  });

  test("is told to compare the kind of a refusal", () => {
    expect(PAGE).toMatch(/a refusal must name in its payload \(`kind`\) the request that it refuses/);
  });
});

describe("tables", () => {
  test("stand in the page as they are made", () => {
    expect(PAGE).toContain(linkTables());
  });

  test("every word of the settings block is found by its formula", () => {
    const rows = [...linkTables().matchAll(/^\| (\d+(?: \+ \d+ [ijk])*) +\| `([\w.]+)` +\|/gm)];
    const places = new Map<string, number>();
    const put = (path: string, index: number, strides: [string, number][]): void => {
      const [first, ...rest] = strides;
      if (!first) {
        places.set(path, index);
        return;
      }
      for (let n = 0; n < 12; n++)
        put(path.replace(new RegExp(`\\.${first[0]}(?=\\.|$)`), `.${n}`), index + n * first[1], rest);
    };
    for (const [, formula, path] of rows) {
      const [base, ...terms] = formula!.split(" + ");
      put(
        path!,
        Number(base),
        terms.map((t) => [t.split(" ")[1]!, Number(t.split(" ")[0])]),
      );
    }
    for (const word of WORDS) expect([word.path, places.get(word.path)]).toEqual([word.path, word.index]);
  });
});
