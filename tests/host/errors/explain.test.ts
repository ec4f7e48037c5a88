// Pages of interlocks say all that a row can come to: its reaction, and the trip that a hold-off turns into.
import { expect, test } from "vitest";
import { pagesFor } from "#host/errors/explain.ts";
import { REACTIONS } from "#shared-schema/model/interlock-text.ts";
import { INTERLOCKS } from "#shared-schema/model/interlocks.ts";

test.each(INTERLOCKS.map((row) => [row.id, row] as const))("%s", (id, { reaction, lasting }) => {
  const [page] = pagesFor(id).filter(({ kind }) => kind === "interlock");
  const said = page!.paragraphs.join(" ");
  expect(said).toContain(REACTIONS[reaction]);
  if (reaction !== "trip") expect(said.includes(REACTIONS.trip)).toBe(lasting === "trip");
});
