// The fault analysis names proofs that exist, word for word, and leaves no row of the catalogue and no input without a fault.
import { existsSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { SCENARIOS } from "#host/bench/prove/catalogue.ts";
import { faultDoc } from "#shared-schema/generate/fault-doc.ts";
import { PART_FAULTS } from "#shared-schema/model/fault-parts.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";
import { ADC_A } from "#shared-schema/model/pins.ts";
import { tableRows } from "../../../support/markdown.ts";

const proofs = SCENARIOS.map(({ row, fault }) => `${row}: ${fault}`);
const named = PART_FAULTS.flatMap(({ proof }) => (proof ? [`${proof[0]}: ${proof[1]}`] : []));

describe("the fault analysis", () => {
  test("names proofs that exist", () => {
    expect(named.filter((each) => !proofs.includes(each))).toEqual([]);
  });

  test("answers with rows of the catalogue, the proof's own among them", () => {
    const ids = INTERLOCKS.map(({ id }) => id);
    for (const { rows, proof, part, failure } of PART_FAULTS) {
      expect(rows.filter((id) => !ids.includes(id))).toEqual([]);
      if (proof) expect(rows, `${part}, ${failure}`).toContain(proof[0]);
    }
  });

  test("has a fault for every row but those that judge the car, not a part", () => {
    const answered = new Set(PART_FAULTS.flatMap(({ rows }) => rows));
    expect(INTERLOCKS.map(({ id }) => id).filter((id) => !answered.has(id))).toEqual(["COOLANT"]);
  });

  test("has every sensor with its wire open and shorted", () => {
    for (const name of ADC_A.filter((each) => each !== "battery" && each !== "driverSupply"))
      expect(
        PART_FAULTS.filter(({ part, rows }) => part === `${name} sensor` && rows.includes("SENSOR")),
      ).toHaveLength(2);
  });

  test("names tests of the circuit that exist, and none beside a proof at the pins", () => {
    const root = join(import.meta.dirname, "../../../..");
    for (const { circuit, proof, part, failure } of PART_FAULTS) {
      if (circuit === undefined) continue;
      expect(existsSync(join(root, circuit)), circuit).toBe(true);
      expect(proof, `${part}, ${failure}`).toBeUndefined();
    }
  });

  test("names what sees a shorted clamp, and gives each part of the pump its own row", () => {
    const rowsOf = (part: string, failure: string): readonly string[] | undefined =>
      PART_FAULTS.find((fault) => fault.part === part && fault.failure === failure)?.rows;
    expect(rowsOf("clamp of a solenoid coil", "suppressor shorted")).toEqual(["CLAMP"]);
    expect(rowsOf("charge pump", "C3 open, D2 or D4 shorted")).toEqual([]);
    expect(rowsOf("charge pump", "C1 shorted")).toContain("RELAY");
    expect(rowsOf("charge pump", "C2 shorted")).toEqual(["KEEP-ALIVE"]);
    expect(rowsOf("charge pump", "its diode or capacitor shorted or open")).toBeUndefined();
  });

  test("is a table with a line for each fault", () => {
    expect(tableRows(faultDoc())).toHaveLength(PART_FAULTS.length);
  });
});
