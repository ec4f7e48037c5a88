// Pages under names that users give: only a page of the same kind is replaced, and what stops it is said before any work.
import { describe, expect, test } from "vitest";
import type { Io } from "#host/cli/io.ts";
import { writePage } from "#host/cli/page-file.ts";
import { World } from "./world.ts";

describe.each([
  ["rehearse", ["rehearse", "car.yaml"]],
  ["spread", ["spread", "car.yaml", "--runs", "1"]],
] as const)("%s --html", (_, words) => {
  test("leaves any other file as it is, before anything is driven", async () => {
    const world = new World();
    expect((await world.run("new", "car.yaml")).exit).toBe(0);
    world.write("notes.html", "<title>Notes</title>");
    const ran = await world.run(...words, "--html", "notes.html");
    expect([ran.exit, ran.stderr.includes("spread:")]).toEqual([64, false]);
    expect(ran.stderr).toContain('notes.html already exists and is not a page titled "Headgate: ');
    expect(world.read("notes.html")).toBe("<title>Notes</title>");
  });
});

test("a page of the same kind is replaced, whatever its title goes on with", () => {
  const world = new World();
  const io = { cwd: world.folder } as Io;
  writePage(io, "page.html", "<title>Plan for one</title>", "Plan for ");
  writePage(io, "page.html", "<title>Plan for two</title>", "Plan for ");
  expect(world.read("page.html")).toContain("two");
  expect(() => writePage(io, "page.html", "", "Build sheet for ")).toThrow("already exists");
});
