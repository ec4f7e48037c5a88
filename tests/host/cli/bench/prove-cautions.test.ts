// What is unwise in the settings stands on the certificate that is made with them: terminal, page and JSON.
import { expect, test } from "vitest";
import { World } from "../world.ts";

const WORDS = "a wet stage and no proof of its fuel";

test.each([
  [[], false],
  [["--without", "fuel"], true],
])("new %j, proved", async (left, said) => {
  const world = new World();
  await world.run("new", "car.yaml", "--stages", "1", ...left);
  const row = ["--settings", "car.yaml", "--only", "LINK"];
  const ran = await world.run("prove", ...row, "--html", "proof.html");
  expect(ran.stdout.replace(/\s+/g, " ").includes(WORDS)).toBe(said);
  expect(world.read("proof.html").includes(WORDS)).toBe(said);
  const { cautions } = (await world.run("prove", ...row, "--json")).json() as { cautions: object[] };
  expect(cautions).toHaveLength(said ? 1 : 0);
});
