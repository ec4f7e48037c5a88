// The completion scripts for zsh and fish in the real shells: commands, verbs, words, options and files. A missing shell is an error.
import { spawnSync } from "node:child_process";
import { mkdirSync, rmSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Command } from "@commander-js/extra-typings";
import { type IPty, spawn } from "@lydell/node-pty";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { completionScript } from "#host/cli/manual/completion.ts";
import { treeOf } from "#host/cli/manual/tree.ts";
import { buildProgram } from "#host/cli/program.ts";
import { Session } from "#host/cli/session.ts";
import { tempFolder } from "../support/temp-folder.ts";

const nothing = { write: () => true };
const program = buildProgram(new Session({ stdin: {}, stdout: nothing, stderr: nothing, env: {} } as never));
const TREE = treeOf(program as unknown as Command);
const LONGEST_MS = 30_000;
/** What is typed before Tab, and all that may stand there. */
const CASES: readonly (readonly [typed: string, offered: readonly string[]])[] = [
  ["headgate bo", ["board"]],
  ["headgate board wi", ["wire"]],
  ["headgate board power o", ["off", "on"]],
  ["headgate completion f", ["fish"]],
  ["headgate new --preset ", ["bench", "demo"]],
  ["headgate load --ye", ["--yes"]],
  ["headgate check my", ["my.yaml"]],
];
/** A tree whose words hold what a shell might take for its own. */
const evilTree = (): ReturnType<typeof treeOf> => {
  const evil = new Command("headgate");
  evil
    .command("plan")
    .description("a car's 'plan'; $(touch broken) `touch broken`")
    .option("--its", "one 'more'");
  return treeOf(evil as unknown as Command);
};

const folder = tempFolder();
beforeAll(() => {
  mkdirSync(join(folder, "functions"));
  writeFileSync(join(folder, "my.yaml"), "");
  writeFileSync(join(folder, "functions/_headgate"), completionScript("zsh", TREE));
  writeFileSync(join(folder, "headgate.fish"), completionScript("fish", TREE));
});
afterAll(() => rmSync(folder, { recursive: true }));

function shell(name: string, ...args: string[]): { status: number | null; stdout: string; stderr: string } {
  const { error, ...ran } = spawnSync(name, args, {
    cwd: folder,
    encoding: "utf8",
    timeout: LONGEST_MS,
    env: { ...process.env, HOME: folder },
  });
  if (error) throw error;
  return ran;
}

describe("fish", { timeout: LONGEST_MS }, () => {
  test("offers what may follow, and nothing else", () => {
    const asks = CASES.map(([typed]) => `complete -C '${typed}'; echo ---`).join("; ");
    const { stdout, stderr } = shell("fish", "--private", "-c", `source headgate.fish; ${asks}`);
    expect(stderr).toBe("");
    const answers = stdout
      .split("---\n")
      .map((text) => text.split("\n").flatMap((line) => line.split("\t")[0] || []));
    expect(answers.slice(0, CASES.length).map((words) => words.sort())).toEqual(
      CASES.map(([, words]) => [...words].sort()),
    );
  });

  test("takes no word of a meaning for a command", () => {
    writeFileSync(join(folder, "evil.fish"), completionScript("fish", evilTree()));
    const ask = "source evil.fish; complete -C 'headgate pl'; test -e broken; and echo BROKEN";
    expect(shell("fish", "--private", "-c", ask).stdout).toMatch(/^plan\ta car's 'plan'; \$\(touch broken\)/);
  });
});

/** An interactive zsh in a terminal, as a person has it. */
class Zsh {
  private text = "";
  private readonly pty: IPty;

  constructor() {
    this.pty = spawn("zsh", ["-f", "-i"], {
      cols: 200,
      rows: 24,
      cwd: folder,
      env: { ...process.env, HOME: folder },
    });
    this.pty.onData((data) => {
      this.text += data;
    });
  }

  /** Writes keys, then waits for what the pattern says. */
  async type(keys: string, until: RegExp): Promise<RegExpExecArray> {
    this.text = "";
    this.pty.write(keys);
    const endMs = performance.now() + LONGEST_MS;
    for (;;) {
      const found = until.exec(this.text);
      if (found) return found;
      if (performance.now() > endMs) throw new Error(`${JSON.stringify(keys)}: ${JSON.stringify(this.text)}`);
      await new Promise((resolve) => setTimeout(resolve, 20));
    }
  }

  end(): void {
    this.pty.kill();
  }
}

test("zsh offers them at the first Tab, from a folder of its functions", {
  timeout: 3 * LONGEST_MS,
}, async () => {
  const zsh = new Zsh();
  const setUp =
    "fpath=($PWD/functions $fpath); autoload -Uz compinit && compinit -u -D; headgate() { print -r -- \"GOT:$*:\" }; PS1='% '; print READ''Y\n";
  await zsh.type(setUp, /READY\r/);
  // What zsh made of the line at Tab is what it then runs.
  for (const [typed, words] of CASES.filter(([, offered]) => offered.length === 1)) {
    const [, got] = await zsh.type(`${typed}\t\n`, /GOT:(.*):\r/);
    expect(got, typed).toBe([...typed.split(" ").slice(1, -1), words[0]].join(" "));
  }
  zsh.end();
});

test("zsh takes the script as it is, and no word of a meaning for a command", () => {
  for (const tree of [TREE, evilTree()]) {
    writeFileSync(join(folder, "plain.zsh"), completionScript("zsh", tree));
    expect(shell("zsh", "-f", "-n", "plain.zsh")).toMatchObject({ status: 0, stderr: "" });
    const ran = shell(
      "zsh",
      "-f",
      "-c",
      "compdef() { print -r -- $1 for $2 }; source ./plain.zsh; [[ -e broken ]] && print BROKEN",
    );
    expect(ran.stdout.trim()).toBe("_headgate for headgate");
  }
});
