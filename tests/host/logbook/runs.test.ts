// The logbook's patience, and records as words and numbers; whole runs are tested where they are recorded.
import { fc, test } from "@fast-check/vitest";
import { describe, expect } from "vitest";
import { csvOf } from "#host/logbook/csv.ts";
import { decodeHead, decodePage } from "#host/logbook/page.ts";
import { decodeRecord, LOG_FIELDS } from "#host/logbook/record.ts";
import { settledInfo } from "#host/logbook/runs.ts";
import { samplesOf } from "#host/logbook/sample.ts";
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

  test.prop([fc.array(bytes, { maxLength: 12 })])(
    "make a file of numbers only, every line as long, time strictly rising",
    (records) => {
      const file = csvOf(samplesOf(records));
      expect(file.endsWith("\r\n")).toBe(true);
      const [head = "", ...lines] = file.slice(0, -2).split("\r\n");
      expect(head).not.toMatch(/["\n]/);
      expect(lines).toHaveLength(records.length);
      const rows = lines.map((line) => line.split(","));
      for (const row of rows) {
        expect(row).toHaveLength(head.split(",").length);
        for (const cell of row) expect(cell).toMatch(/^\d+(\.\d+)?$/);
      }
      const times = rows.map(([time]) => Number(time));
      for (const [i, time] of times.slice(1).entries()) expect(time).toBeGreaterThan(times[i]!);
    },
  );

  test("of one hundredth of a second keep their order, and go on where the counter of time ends", () => {
    const at = (count: number): Uint8Array => {
      const record = new Uint8Array(LOG_RECORD_BYTES);
      new DataView(record.buffer).setUint16(0, count, true);
      return record;
    };
    const counts = [1, 2, 2, 3, 0xffff, 0xffff, 0xffff];
    expect(samplesOf(counts.map(at)).map(({ time }) => time)).toEqual([
      0.01, 0.02, 0.021, 0.03, 655.35, 655.36, 655.37,
    ]);
  });

  test("have a column of 0 and 1 for each switch and output, and for the reasons and trips that occur", () => {
    const record = new Uint8Array(LOG_RECORD_BYTES);
    record.set([4, 0, 1, 0], 2);
    record.set([1, 3, 5], 17);
    const [head = "", line = ""] = csvOf(samplesOf([record, new Uint8Array(LOG_RECORD_BYTES)])).split("\r\n");
    const [titles, cells] = [head.split(","), line.split(",")];
    const cellOf = (title: string): string | undefined => cells[titles.indexOf(title)];
    expect(titles.filter((title) => title.startsWith("reason "))).toEqual(["reason WOT", "reason BATT-LOW"]);
    expect(cellOf("reason WOT")).toBe("1");
    expect(cellOf("switch arm")).toBe("1");
    expect(cellOf("switch bottle valve")).toBe("0");
    expect(cellOf("trip RPM-LOST")).toBe("1");
    expect(cellOf("mode [0=off 1=armed 2=flowing 3=tripped 4=service 5=arming 6=locked]")).toBe("3");
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
