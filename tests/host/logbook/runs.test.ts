// The logbook's patience, and records as words and numbers; whole runs are tested where they are recorded.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { csvOf } from "#host/logbook/csv.ts";
import { decodeHead, decodePage } from "#host/logbook/page.ts";
import { decodeRecord, LOG_FIELDS } from "#host/logbook/record.ts";
import { settledInfo } from "#host/logbook/runs.ts";
import type { LogInfo, LogSource } from "#host/logbook/source.ts";
import { LOG_COLUMNS, LOG_PAGE, LOG_RECORD_BYTES } from "#shared-schema/link/columns.ts";

const INFO: LogInfo = { sequence: 1, run: 1, pages: 7616, next: 1, waiting: 0, busy: "no" };

/** A log that is busy for so many looks. */
function busyFor(looks: number, busy: LogInfo["busy"]): LogSource {
  let left = looks;
  return {
    info: () => Promise.resolve({ ...INFO, busy: left-- > 0 ? busy : "no" }),
    heads: () => Promise.resolve([]),
    pages: () => Promise.resolve([]),
  };
}

const pause = (): Promise<void> => Promise.resolve();

describe("a log that is at work", () => {
  test("is waited for while it stores", async () => {
    expect(await settledInfo(busyFor(5, "storing"), pause)).toEqual(INFO);
  });

  test.each([
    ["storing without an end", Number.POSITIVE_INFINITY, "storing"],
    ["erasing", 1, "erasing"],
  ] as const)("%s is told", async (_, looks, busy) => {
    await expect(settledInfo(busyFor(looks, busy), pause)).rejects.toMatchObject({ code: "log-busy" });
  });
});

describe("records", () => {
  const bytes = fc.uint8Array({ minLength: LOG_RECORD_BYTES, maxLength: LOG_RECORD_BYTES });

  test.prop([bytes])("of any bytes have every field, numbers in the unit of their column", (record) => {
    const values = decodeRecord(record);
    expect(Object.keys(values)).toEqual(LOG_FIELDS.map(({ name }) => name));
    const view = new DataView(record.buffer, record.byteOffset);
    let at = 0;
    for (const { name, type, scale, unit } of LOG_COLUMNS) {
      const raw = type === "u8" ? view.getUint8(at) : view.getUint16(at, true);
      at += type === "u8" ? 1 : 2;
      if (unit !== "") expect(values[name]).toBeCloseTo(raw * scale, 6);
    }
  });

  test.prop([fc.array(bytes, { maxLength: 5 })])("make a file of equally long lines", (records) => {
    const lines = csvOf(records.map(decodeRecord)).trimEnd().split("\n");
    expect(lines).toHaveLength(records.length + 1);
    for (const line of lines) expect(line.split(",")).toHaveLength(LOG_FIELDS.length);
  });

  test("say reasons, trip, switches and outputs in words", () => {
    const record = new Uint8Array(LOG_RECORD_BYTES);
    record.set([4, 0, 1, 0], 2);
    record.set([1, 2, 255], 17);
    expect(decodeRecord(record)).toMatchObject({
      reasons: "WOT BATT-LOW",
      switches: "arm",
      mode: "flowing",
      trip: "",
    });
  });
});

describe("pages", () => {
  test.prop([fc.uint8Array({ minLength: LOG_PAGE.bytes, maxLength: LOG_PAGE.bytes })])(
    "of random bytes are none, and no exception",
    (bytes) => {
      expect(decodePage(bytes)).toBeUndefined();
      decodeHead(bytes);
    },
  );
});
