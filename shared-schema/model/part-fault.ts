// The form of a fault of a part, and the short function that writes one.

/** One way in which a part fails. */
export interface PartFault {
  readonly part: string;
  readonly failure: string;
  /** Rows of the interlock catalogue that answer it; empty when only the circuit or the person does. */
  readonly rows: readonly string[];
  /** Fault of the proof that shows it, word for word as `headgate prove` lists it, with the row that it belongs to. */
  readonly proof?: readonly [row: string, fault: string];
  /** Test that computes or simulates it in the circuit, where no pin of the emulated board can show it. */
  readonly circuit?: string;
  /** What happens, in the program or in the circuit. */
  readonly answer: string;
  /** What nothing here can see or stop. */
  readonly left: string;
}

/** Writes one: part, failure, rows by id with spaces between, answer, what is left, and the proof. */
export function partFault(
  part: string,
  failure: string,
  rows: string,
  answer: string,
  left: string,
  proof?: readonly [string, string],
): PartFault {
  const ids = rows === "" ? [] : rows.split(" ");
  return { part, failure, rows: ids, answer, left, ...(proof ? { proof } : {}) };
}

/** A fault that no pin of the emulated board can show; `circuit` is the test that computes or simulates it. */
export function circuitFault(
  part: string,
  failure: string,
  rows: string,
  answer: string,
  left: string,
  circuit?: string,
): PartFault {
  return { ...partFault(part, failure, rows, answer, left), ...(circuit ? { circuit } : {}) };
}
