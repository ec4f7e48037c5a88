// Every error code is provoked by a test somewhere, has its page, and says what to do; those that need the whole tool are provoked here.
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { fileFailure } from "#host/cli/files.ts";
import { ERRORS, type ErrorCode } from "#host/errors/codes.ts";
import { pagesFor } from "#host/errors/explain.ts";
import { Failure } from "#host/errors/failure.ts";
import { exampleDocument } from "#host/settings/example.ts";
import { settingsBytes } from "#host/settings/hash.ts";
import { formatSettings } from "#host/settings/write.ts";
import { World } from "../cli/world.ts";

const codes = Object.keys(ERRORS) as ErrorCode[];
const TESTS = "tests/host";

const TEXTS = testTexts();

function testTexts(): string {
  const files = readdirSync(TESTS, { recursive: true, encoding: "utf8" }).filter((name) =>
    name.endsWith(".test.ts"),
  );
  return files.map((name) => readFileSync(join(TESTS, name), "utf8")).join("\n");
}

const error = (code: ErrorCode): object => ({ ok: false, error: { code, exit: ERRORS[code].exit } });

function world(): World {
  const made = new World();
  made.device.state.settings = [...settingsBytes(exampleDocument(1))];
  made.write("car.yaml", formatSettings(exampleDocument(2)));
  return made;
}

describe("the table", () => {
  test.each(codes)("%s has a page, and stands in a test", (code) => {
    expect(pagesFor(code).some(({ kind }) => kind === "error")).toBe(true);
    expect(TEXTS.includes(`"${code}"`)).toBe(true);
  });

  test("a failure carries what the table says", () => {
    for (const code of codes) {
      const failure = new Failure(code);
      expect([failure.exit, failure.todo, failure.message]).toEqual([
        ERRORS[code].exit,
        ERRORS[code].todo,
        ERRORS[code].what,
      ]);
    }
  });
});

describe("provoked through the tool", () => {
  test("needs-answer", async () => {
    expect((await world().run("load", "car.yaml", "--json")).json()).toMatchObject(error("needs-answer"));
  });

  test("declined", async () => {
    const made = world();
    made.terminal = true;
    made.answer = "no";
    expect((await made.run("load", "car.yaml", "--json")).json()).toMatchObject(error("declined"));
  });

  test("file-failed", async () => {
    expect((await world().run("check", "x".repeat(300), "--json")).json()).toMatchObject(
      error("file-failed"),
    );
  });

  test("unknown-code", async () => {
    expect((await world().run("explain", "nothing-like-it", "--json")).json()).toMatchObject(
      error("unknown-code"),
    );
  });

  test("bug", async () => {
    const made = world();
    Object.defineProperty(made, "ports", { get: () => undefined });
    const ran = await made.run("ports", "--json");
    expect(ran.json()).toMatchObject(error("bug"));
    expect(ran.exit).toBe(70);
  });

  test("read-back-differs", async () => {
    const made = world();
    const receive = made.device.receive.bind(made.device);
    made.device.receive = (bytes) => {
      const answer = receive(bytes);
      if (made.device.state.stores === 1) made.device.state.settings![20]! ^= 1;
      return answer;
    };
    expect((await made.run("load", "car.yaml", "--yes", "--json")).json()).toMatchObject(
      error("read-back-differs"),
    );
  });
});

test("what the operating system says becomes the fitting code", () => {
  const codeFor = (code: string): ErrorCode =>
    fileFailure("x", Object.assign(new Error("no"), { code })).code;
  expect(["ENOENT", "EISDIR", "EACCES", "EPERM", "EEXIST", "EIO"].map(codeFor)).toEqual([
    "no-file",
    "no-file",
    "file-permission",
    "file-permission",
    "file-exists",
    "file-failed",
  ]);
});

test("a file that cannot be opened is told of in our words, not in those of the operating system", () => {
  const said = (...[code, message]: [string, string]): string =>
    fileFailure("my.yaml", Object.assign(new Error(message), { code })).message;
  expect(said("ENOENT", "ENOENT: no such file or directory, open 'my.yaml'")).toBe(
    "my.yaml: there is no such file or folder",
  );
  expect(said("EISDIR", "EISDIR: illegal operation on a directory, read")).toBe("my.yaml: this is a folder");
  expect(said("EMFILE", "EMFILE: too many open files, open '/x'")).toBe("my.yaml: error EMFILE");
});
