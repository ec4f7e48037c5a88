/** What the tests of the car file ask of a file that is refused. */
import { expect } from "vitest";
import { loadCar } from "#host/plan/input/resolve.ts";
import { carText } from "../cars.ts";

/** The errors of a car file that must be refused. */
export function errorsOf(text: string) {
  const loaded = loadCar(text);
  if (loaded.ok) throw new Error("the file was accepted");
  return loaded.errors;
}

/** The only error of the tests' car with other lines. */
export const one = (extra: Readonly<Record<string, string>>) => {
  const errors = errorsOf(carText(extra));
  expect(errors).toHaveLength(1);
  return errors[0]!;
};

export const UNDRIVEN = "{road-pulses: 4000 pulses/km, road-sender: undriven-wheel}";
